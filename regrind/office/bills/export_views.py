"""Bills as a table for the books, and which columns those take."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.shop.events import event
from regrind.shop.models import Person
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save
from regrind.shop.web.tables import as_csv, as_xlsx

from ..bill_models import BillExport, BillLine
from ..papers.bill import bill_or_404
from .export import FIELDS, OF_LINES, current_export, export_rows
from .export_forms import ColumnsForm, ExportForm
from .ubl import as_ubl
from .ubl_parties import list_lacking, parties_of


@needs("front_desk")
@require_GET
def export(request: HttpRequest) -> HttpResponse:
    """The days to export; with them in the address, the file."""
    form = ExportForm(request.GET or None)
    if not form.is_valid():
        status = 422 if form.is_bound else 200
        return render(request, "office/bills/export.html", {"form": form}, status=status)
    data = form.cleaned_data
    titles, rows = export_rows(data["first"], data["last"])
    name = f"bills-{data['first']}-{data['last']}"
    return (as_xlsx if data["format"] == "xlsx" else as_csv)(name, titles, rows)


@needs("front_desk")
@require_GET
def e_invoice(request: HttpRequest, number: str) -> HttpResponse:
    """A bill or credit note as an e-invoice; what it still lacks where it cannot be made."""
    bill = bill_or_404(number)
    parties = parties_of(bill)
    lacking = list_lacking(bill, parties)
    if lacking:
        message = f"This e-invoice cannot be made yet. {' '.join(lacking)} Write it under Bills, Tax and payment."
        page = reverse("office:bill", args=[bill])
        return render(request, "shop/refused.html", {"message": message, "page_address": page}, status=422)
    lines = list(BillLine.objects.filter(bill=bill).order_by("position"))
    return HttpResponse(
        as_ubl(bill, lines, parties),
        content_type="application/xml",
        headers={"Content-Disposition": f'attachment; filename="{bill}.xml"', "X-Content-Type-Options": "nosniff"},
    )


@needs("owner")
@require_http_methods(["GET", "POST"])
def columns(request: HttpRequest) -> HttpResponse:
    """The columns that the books of this shop take."""
    current = current_export()
    form = ColumnsForm(request.POST or None, initial={"rows": current.rows, "columns": current.columns})

    def show() -> HttpResponse:
        context = {"form": form, "fields": [*FIELDS], "line_fields": [*OF_LINES]}
        return render(request, "office/bills/columns.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        keep_columns(by=person_of(request), **form.cleaned_data)
        return reverse("office:bill_export")

    return save(request, form, act=act, show=show)


def keep_columns(*, by: Person, rows: str, columns: str) -> BillExport:
    """Write down which columns the books take; can be undone."""
    with event(by, "bill columns") as setting:
        return BillExport.objects.create(event=setting, rows=rows, columns=columns)
