"""The office's pages of quotes: the quotes of a box, one quote, its link."""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.formats import date_format
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.paper import qr
from regrind.paper import quote as paper
from regrind.record.find import batch_or_404
from regrind.record.models import Batch
from regrind.shop.people.access import needs
from regrind.shop.people.badge_drawing import path_of
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..headings import batch_facts, batch_link
from ..papers.quote import quote_or_404, quote_sheet
from ..quote_models import Quote
from . import links, making
from .content import draft_quote
from .forms import QuoteForm
from .pictures import pictures_of
from .shown import answered_rows, settled_parts, with_options
from .states import live_link, state_of


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def quotes(request: HttpRequest, number: str) -> HttpResponse:
    """The quotes of a box, and what a new one would ask."""
    batch = batch_or_404(number)
    draft = draft_quote(batch)
    form = QuoteForm(request.POST or None, draft=draft)

    def show() -> HttpResponse:
        rows = Quote.objects.filter(batch=batch).select_related("batch", "event__by").order_by("-number")
        context = {
            "heading": f"Quotes for batch {batch.number}",
            "facts": batch_facts(batch),
            **batch_link(batch),
            "form": form,
            "draft": draft,
            "states": [state_of(row) for row in rows],
        }
        return render(request, "office/quotes/list.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        data = form.cleaned_data
        made = making.make_quote(
            by=person_of(request),
            batch=batch,
            days=data["days"],
            note=data["note"],
            photos={int(key) for key in data["photos"]},
        )
        return _address(made)

    return save(request, form, act=act, show=show)


def _address(quote: Quote) -> str:
    return reverse("office:quote", args=[quote.batch.number, quote.number])


def _quote(number: str, quote: int) -> Quote:
    return quote_or_404(f"{number}/{quote}")


@needs("front_desk")
@require_GET
def quote(request: HttpRequest, number: str, quote: int) -> HttpResponse:
    """One quote: what it asks, what was answered, and its link."""
    row = _quote(number, quote)
    state = state_of(row)
    pictures = pictures_of(row)
    context = {
        "quote": row,
        "quote_number": str(row).replace("/", "_"),
        "heading": f"Quote {row}",
        "facts": [*batch_facts(row.batch), state.words, f"valid until {date_format(row.valid_until)}"],
        **_trail(row.batch),
        "state": state,
        "items": [(item, with_options(item), pictures[item.item.pk]) for item in state.items],
        "answered": answered_rows(state),
        "settled": settled_parts(row),
        "link": live_link(row),
        "lines": sorted({item.item.line for item in state.items if item.open_pieces}, key=lambda line: line.number),
        "public": settings.PUBLIC_ADDRESS,
    }
    return render(request, "office/quotes/quote.html", context)


def _trail(batch: Batch) -> dict[str, str]:
    return {
        **batch_link(batch),
        "quotes_label": "Quotes",
        "quotes_address": reverse("office:quotes", args=[batch.number]),
    }


@needs("front_desk")
@require_POST
def make_link(request: HttpRequest, number: str, quote: int) -> HttpResponse:
    """A new link, shown once: it is stored nowhere, so no later page can show it again."""
    row = _quote(number, quote)
    tokens: list[str] = []

    def act() -> str:
        tokens.append(making.make_link(by=person_of(request), quote=row))
        return _address(row)

    response = save(request, None, act=act, page=_address(row))
    if response.status_code != 302 or not tokens:
        return response
    address = links.address_of(tokens[0])
    context = {
        "quote": row,
        "heading": f"Link to quote {row}",
        "facts": batch_facts(row.batch),
        **_trail(row.batch),
        "quote_address": _address(row),
        "address": address,
        "token": tokens[0],
        "code": path_of(qr.modules(address, qr.ON_A_SHEET)),
        "link": live_link(row),
    }
    return render(request, "office/quotes/link.html", context)


@needs("front_desk")
@require_POST
def end_link(request: HttpRequest, number: str, quote: int) -> HttpResponse:
    """Revoke the link of a quote."""
    row = _quote(number, quote)

    def act() -> str:
        making.revoke_links(by=person_of(request), quote=row)
        return _address(row)

    return save(request, None, act=act, page=_address(row))


@needs("front_desk")
@require_POST
def print_link(request: HttpRequest, number: str, quote: int) -> HttpResponse:
    """The quote's paper with the code of its link, to hand out. It is not stored: the stored paper has no code."""
    row, token = _quote(number, quote), request.POST.get("link", "")[:60]
    link = links.find_link(token)
    if link is None or link.quote_id != row.pk:
        message = "That link has ended, so its code would open nothing. Make a new link."
        return render(request, "shop/refused.html", {"message": message, "page_address": _address(row)}, status=422)
    pdf = paper.draw(quote_sheet(row, address=links.address_of(token)))
    name = f"quote-{row}.pdf".replace("/", "_")
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={
            "Content-Disposition": f'inline; filename="{name}"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "no-store",
        },
    )
