"""Forms of a batch: its details, the words for its lines, what is not this customer's."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils import timezone

from regrind.record.models import Batch, Customer
from regrind.shop.fields.dates import DoneAt, day
from regrind.shop.fields.forms import ShopForm
from regrind.shop.fields.whole_numbers import WholeText
from regrind.shop.models import UNITS
from regrind.shop.posts.stale import VersionedForm

LONGEST_DUE = timedelta(days=3 * 365)
MOST_COUNTED = 100_000
MOST_CHARACTERS = 100_000  # of the words for the lines of a box


class HeadForm(ShopForm):
    """What stands at the head of a box."""

    order_number = forms.CharField(label="Order number", max_length=60, required=False)
    their_count = WholeText(label="Customer's count", least=1, most=MOST_COUNTED, required=False)
    due = day(label="Due")
    rush = forms.BooleanField(label="Rush", required=False)
    note = forms.CharField(max_length=5000, required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def check_due(self, received: date) -> None:
        due = self.cleaned_data.get("due")
        last = received + LONGEST_DUE
        if due and not received <= due <= last:
            days = f"from {received:%Y-%m-%d}, when it was received, to {last:%Y-%m-%d}"
            self.add_error("due", f"{due:%Y-%m-%d} does not fit: write a day {days}.")


class BatchForm(HeadForm):
    """A box on the counter: whose it is and what its paper says. A new customer can be named at once."""

    customer = forms.ModelChoiceField(Customer.objects.none(), required=False, empty_label="choose a customer")
    new_customer = forms.CharField(label="Or a new customer", max_length=120, required=False)
    new_unit = forms.ChoiceField(label="Customer's unit", choices=UNITS, required=False)
    received_at = DoneAt(label="Received at, if not now")

    def __init__(self, *args: Any, may_add: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice = self.fields["customer"]
        assert isinstance(choice, forms.ModelChoiceField)
        choice.queryset = Customer.objects.filter(active=True)
        choice.error_messages["invalid_choice"] = "That customer is not in the list: choose one, or write a new name."
        if not may_add:
            del self.fields["new_customer"], self.fields["new_unit"]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if "customer" not in self.errors and bool(data.get("customer")) == bool(data.get("new_customer")):
            both = (
                "Choose a customer or write a new one, not both."
                if data.get("customer")
                else "Choose the customer, or write a new one."
            )
            self.add_error("customer", both)
        self.check_due(timezone.localdate(data.get("received_at") or timezone.now()))
        return data

    def refuse(self, message: str) -> None:
        self.add_error("new_customer" if self.cleaned_data.get("new_customer") else None, message)


class BatchHeadForm(HeadForm, VersionedForm):
    """The head of a box that is already logged, and who agreed where the counts differ."""

    difference = forms.CharField(label="Who agreed the difference", max_length=200, required=False)
    received_at = DoneAt(label="Received at", required=True)

    def __init__(self, *args: Any, batch: Batch, **kwargs: Any) -> None:
        initial = {
            name: getattr(batch, name)
            for name in ("order_number", "their_count", "due", "rush", "note", "difference", "received_at")
        }
        super().__init__(*args, initial=initial, **kwargs)
        self.set_version(batch)

    def head(self) -> dict[str, Any]:
        """By the names of Batch's columns."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("received_at"):
            self.check_due(timezone.localdate(data["received_at"]))
        return data


class ForeignItemForm(ShopForm):
    description = forms.CharField(label="In the box, not this customer's", max_length=200)


class WordingForm(ShopForm):
    wording = forms.CharField(
        label="What is in the box",
        max_length=MOST_CHARACTERS,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5, "autocomplete": "off", "spellcheck": "false"}),
        help_text="One line for each kind of tool: 12 x 1/4 3fl carbide 30° AlTiN, or 6x 8mm 4 flute",
    )
