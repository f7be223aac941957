"""The owner's pages: which tool families are worth regrinding, as a page, as CSV and on paper."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.web.tables import as_csv

from . import words
from .charts.frame import Chart
from .columns import HEADS, SORTS, TABLE, Head
from .complaint_causes import count_causes
from .customers import customer_rows
from .families import all_rows, page_of, with_reasons
from .filters import CustomerLookForm, ReviewFilterForm
from .overview import draw_earnings
from .rows import Row


def _asked(request: HttpRequest) -> tuple[ReviewFilterForm, str, list[Row]]:
    """The form with what is asked, how it is sorted, and every row of it in that order."""
    sort = request.GET.get("sort") or "earns"
    if sort not in SORTS:
        raise Http404(sort)
    form = ReviewFilterForm(request.GET, shop_settings())
    return form, sort, all_rows(form.look(), form.what_if(), sort)


@needs("owner")
@require_GET
def families(request: HttpRequest) -> HttpResponse:
    """Families ranked; the address keeps filters, what-if, order and page."""
    form, sort, rows = _asked(request)
    shown, after = page_of(rows, request.GET.get("after", ""))
    heads = [Head(title, form.link(sort=key), key, key == sort) for key, title in HEADS]
    chart: Chart | None = draw_earnings(rows, shop_settings(), form.link(sort="")) if rows else None
    return render(
        request,
        "review/families.html",
        {
            "form": form,
            "rows": with_reasons(shown, form.look()),
            "count": len(rows),
            "sort": sort,
            "columns": heads,
            "query": form.link(sort=""),
            "link": form.link(sort=sort),
            "chart": chart,
            "what_if": form.what_if(),
            "tried": words.say_tried(form.what_if(), shop_settings().currency) or "no change",
            "narrowed": form.look().narrowed,
            "next": form.link(sort=sort, after=after) if after else "",
            "causes": count_causes(form.look(), sum(row.sums.complaints for row in rows)),
            "rules": words.say_rules(),
            "moved": sum(row.moved for row in rows),
        },
    )


@needs("owner")
@require_GET
def export(request: HttpRequest) -> HttpResponse:
    """Every row within the filters, not of the first page alone."""
    form, _, rows = _asked(request)
    rows, tried = with_reasons(rows, form.look()), words.say_tried(form.what_if(), shop_settings().currency)
    name, table = f"families-{timezone.localdate()}", TABLE
    if tried:
        name, table = (
            f"{name}-tried",
            (
                *TABLE,
                ("what-if, not saved", lambda row: tried),
                ("verdict now", lambda row: row.plain.words if row.plain else ""),
            ),
        )
    return as_csv(name, [title for title, _ in table], [[value(row) for _, value in table] for row in rows])


def _major(minor: float | None) -> float | None:
    return None if minor is None else minor / 100


@needs("owner")
@require_GET
def customers(request: HttpRequest) -> HttpResponse:
    """For each customer the tools received and good, and the saving against buying new."""
    form = CustomerLookForm(request.GET, shop_settings())
    rows = customer_rows(form.look())
    if request.GET.get("as") == "csv":
        return as_csv(
            f"customers-{timezone.localdate()}",
            CUSTOMER_HEAD,
            [
                [
                    row.name,
                    row.sums.received,
                    row.sums.decided,
                    row.sums.ground,
                    row.sums.good,
                    row.sums.complained,
                    _major(row.sums.charged_minor),
                    _major(row.sums.saved_minor) if row.sums.saved_n else None,
                    row.sums.saved_n,
                ]
                for row in rows
            ],
        )
    linked = [(row, form.link(customer=row.key)) for row in rows]
    return render(
        request,
        "review/customers.html",
        {
            "form": form,
            "rows": linked,
            "families_address": reverse("review:families") + form.link(),
            "csv": form.link(**{"as": "csv"}),
            "narrowed": form.look().narrowed,
        },
    )


CUSTOMER_HEAD = [
    "customer",
    "received",
    "finished",
    "ground",
    "good",
    "complaints",
    "charged",
    "saved against new",
    "tools whose new price is known",
]
