"""Downloads of the record as CSV or XLSX."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from regrind.shop.fields.dates import day
from regrind.shop.fields.forms import ShopForm
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.web.tables import as_csv, as_xlsx

from ..bills.export_forms import FORMATS
from .tables import TABLES

MOST_ROWS = 100_000


class DownloadForm(ShopForm):
    """Which table, of which days, in which format."""

    table = forms.ChoiceField(label="Table", choices=[(name, table.title) for name, table in TABLES.items()])
    first = day(label="From", required=True)
    last = day(label="Until", required=True)
    format = forms.ChoiceField(label="Format", choices=FORMATS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        today = timezone.localdate()
        self.initial.update(first=today.replace(month=1, day=1), last=today, format="csv")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if {"table", "first", "last"} <= set(data):
            self._count(data)
        return data

    def _count(self, data: dict[str, Any]) -> None:
        if data["last"] < data["first"]:
            self.add_error("last", f"{data['last']} is before {data['first']}. Write a later day.")
            return
        self.rows = TABLES[data["table"]].rows(data["first"], data["last"])
        if (count := self.rows.order_by().count()) > MOST_ROWS:
            words = f"These days hold {count:,} rows, and a download at most {MOST_ROWS:,}. Choose fewer days."
            self.add_error("last", words)


@needs("owner")
@require_GET
def downloads(request: HttpRequest) -> HttpResponse:
    """The tables that can be downloaded; with one and its days in the address, the file."""
    form = DownloadForm(request.GET or None)
    if not form.is_valid():
        status = 422 if form.is_bound else 200
        return render(request, "office/downloads.html", {"form": form, "most": MOST_ROWS}, status=status)
    table, unit, data = TABLES[form.cleaned_data["table"]], shop_settings().unit, form.cleaned_data
    name = (
        f"{data['table']}-{data['first']}-{data['last']}" if table.dated else f"{data['table']}-{timezone.localdate()}"
    )
    write = as_xlsx if data["format"] == "xlsx" else as_csv
    return write(name, table.heads(unit), table.cells(form.rows, unit))
