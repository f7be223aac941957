"""Customers read from a table, shown row by row, and saved from there."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.geometry.units import Unit
from regrind.record.actions import keep_customer
from regrind.shop.events import event
from regrind.shop.fields.forms import ShopForm
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .customer_import import CustomerList, form_of, read_customers
from .forms import MOST_CHARACTERS
from .packing_list.cells import Refused


class ImportForm(ShopForm):
    """Reads the table when it is cleaned: `read` is what it gives."""

    text = forms.CharField(
        label="Paste the rows",
        max_length=MOST_CHARACTERS,
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "autocomplete": "off", "spellcheck": "false"}),
        help_text="as copied from a sheet, with the row of heads",
    )
    file = forms.FileField(
        label="Or the file",
        required=False,
        help_text="XLSX or CSV",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.txt,.tsv"}),
    )

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit, self.read = unit, None  # type: tuple[Unit, CustomerList | None]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        text, file = data.get("text", ""), data.get("file")
        if self.errors or bool(text.strip()) == bool(file):
            if not self.errors:
                self.add_error("text", "Paste the rows or choose a file: one of the two.")
            return data
        try:
            self.read = read_customers(text, file.read() if file else b"", self.unit)
        except Refused as refused:
            self.add_error("file" if file else "text", str(refused).split("\n"))
        return data


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def import_customers(request: HttpRequest) -> HttpResponse:
    """Paste a table or choose its file; each new customer is shown as read, and nothing is saved before that."""
    sent = request.method == "POST"
    form = ImportForm(request.POST if sent else None, request.FILES if sent else None, unit=shop_settings().unit)

    def show() -> HttpResponse:
        read = form.read if sent and form.is_valid() else None
        status = 422 if sent and not form.is_valid() else 200
        return render(request, "receiving/customer_import.html", {"form": form, "customers": read}, status=status)

    def act() -> str:
        assert form.read is not None
        keep_customers(by=person_of(request), read=form.read)
        return reverse("receiving:customers")

    return save(request, form, act=act, show=show) if request.POST.get("do") == "save" else show()


def keep_customers(*, by: Person, read: CustomerList) -> None:
    """Make all of them, in one event. Refusal where one of the names was taken meanwhile."""
    with event(by, "customers imported"):
        for row in read.rows:
            form = form_of(row)
            form.is_valid()
            keep_customer(by=by, **form.values())
