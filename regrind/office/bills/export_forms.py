from datetime import date
from typing import Any

from django import forms
from django.utils import timezone

from regrind.shop.fields.dates import day
from regrind.shop.fields.forms import ShopForm

from ..bill_models import BillExport
from .export import read_columns

FORMATS = [("csv", "CSV"), ("xlsx", "XLSX")]


class ExportForm(ShopForm):
    """The days whose bills are exported, and the format."""

    first = day(label="From", required=True)
    last = day(label="Until", required=True)
    format = forms.ChoiceField(label="Format", choices=FORMATS)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        today = timezone.localdate()
        self.initial.update(first=today.replace(day=1), last=today, format="csv")

    def clean_last(self) -> date:
        last: date = self.cleaned_data["last"]
        first = self.cleaned_data.get("first")
        if first and last < first:
            raise forms.ValidationError(f"{last} is before {first}. Write a later day.")
        return last


class ColumnsForm(ShopForm):
    """Which columns the books take, a line each."""

    rows = forms.ChoiceField(label="Rows", choices=list(BillExport._meta.get_field("rows").choices or ()))
    columns = forms.CharField(label="Columns", max_length=4000, widget=forms.Textarea(attrs={"rows": 14}))

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if "columns" in data and "rows" in data:
            for fault in read_columns(data["columns"], data["rows"])[1]:
                self.add_error("columns", fault)
        return data
