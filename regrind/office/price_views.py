"""The page of a batch's prices."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.find import batch_or_404
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import actions, overview
from .charge_models import FixedTerms
from .charges import ChargeBook, box_charges, fixed_prices
from .extras import count_extras
from .fixing import say_fixed
from .headings import batch_link
from .price_form import PricesForm
from .proposals import propose


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def prices(request: HttpRequest, number: str) -> HttpResponse:
    """The price per piece of each line of a batch, proposed from the price list."""
    batch = batch_or_404(number)
    book = ChargeBook([batch])
    lines, prices_now, fixed = book.lines, book.prices, book.terms.get(batch.pk)
    earlier = overview.last_paid(batch, lines)
    form = PricesForm(
        request.POST or None,
        lines=lines,
        proposals=propose(lines, book.price_list),
        last_paid=earlier if request.GET.get("last") == "1" else {},
        items={line.pk: count_extras(book.pieces[line.pk], book.extras) for line in lines},
        prices=prices_now,
        fixed=fixed_prices(lines),
    )

    def show() -> HttpResponse:
        context = {
            "batch": batch,
            "heading": f"Prices of batch {batch.number}",
            **batch_link(batch),
            **_say_charges(box_charges(batch, book.price_list, fixed), fixed),
            "form": form,
            "rows": form.rows(earlier),
            "fixed_lines": [(line, prices_now[line.pk]["price"]) for line in lines if line.pk in form.fixed],
            "any_paid": any(line.family_id in earlier for line in lines if line.pk not in form.fixed),
        }
        return render(request, "office/prices.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        actions.set_prices(
            by=person_of(request),
            prices=form.prices(),
            listed=form.listed(),
            reasons=form.reasons(),
            extras=form.extras(),
        )
        return reverse("office:batch", args=[batch.number])

    return save(request, form, act=act, show=show)


def _say_charges(charges: tuple[int, int], fixed: FixedTerms | None) -> dict[str, object]:
    """The charges of the whole batch, (rush, least), and since when they are fixed."""
    rush, least = charges
    return {"minimum": least, "rush": rush, "fixed": say_fixed(fixed) if fixed else ""}
