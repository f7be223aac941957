"""One row of the price list as somebody writes it: text in, its place in the list and its amount out."""

from typing import Any

from django import forms

from regrind.geometry.units import Typed, Unit
from regrind.record.kinds import CHOICES
from regrind.record.models import Customer
from regrind.record.rates import Band, as_scope
from regrind.shop.fields.forms import LengthText, MoneyText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText

from .entries import Key
from .works import BY_WORDS, PLAIN, WORKS, Work, misfit

LARGEST_NM = 500_000_000
MOST_TEETH = 200
MOST_DISCOUNT = 100_00
WORK_CHOICES = [("", "–"), *((words, words) for words in WORKS.values())]
KIND_CHOICES = [("", "any tool"), *((words, words) for _, words in CHOICES)]
KIND_CODES = {words: code for code, words in CHOICES}


class RowForm(ShopForm):
    """A row: work, tool, amount. An empty row is no row."""

    work = forms.ChoiceField(label="Work", choices=WORK_CHOICES, required=False)
    kind = forms.ChoiceField(label="Kind", choices=KIND_CHOICES, required=False)
    over = LengthText(label="Over", most_nm=LARGEST_NM, required=False)
    up_to = LengthText(label="Up to", most_nm=LARGEST_NM, required=False)
    teeth_from = WholeText(label="Teeth from", least=1, most=MOST_TEETH, required=False)
    teeth_to = WholeText(label="Teeth to", least=1, most=MOST_TEETH, required=False)
    customer = forms.CharField(label="Customer", max_length=120, required=False)
    amount = MoneyText(label="Amount", required=False)

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.each_length(lambda name, field: field.set_unit(unit))
        for name, words, choices in (("work", "work", WORK_CHOICES), ("kind", "kind of tool", KIND_CHOICES)):
            listed = ", ".join(label for code, label in choices if code)
            message = f"“%(value)s” is no {words} of the list. Write one of: {listed}."
            self.fields[name].error_messages["invalid_choice"] = message

    def clean_customer(self) -> int | None:
        name = self.cleaned_data["customer"].strip()
        if not name:
            return None
        row = Customer.objects.filter(name__iexact=name).first()
        if row is None:
            raise forms.ValidationError(f"There is no customer “{name}”. Write the name as in the list of customers.")
        return row.pk

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors and any(value not in (None, "") for value in data.values()):
            self._check(data)
        return data

    def _check(self, data: dict[str, Any]) -> None:
        if not data["work"]:
            self.add_error("work", "This row says not what it is the price of. Choose the work.")
            return
        work = BY_WORDS[data["work"]]
        for name, message in self._faults(data, work):
            self.add_error(name, message)

    def _faults(self, data: dict[str, Any], work: Work) -> list[tuple[str, str]]:
        over, up_to = (value.nm if isinstance(value, Typed) else None for value in (data["over"], data["up_to"]))
        least, most = data["teeth_from"], data["teeth_to"]
        faults = [("work", misfit(work, KIND_CODES.get(data["kind"], "")))]
        if over is not None and up_to is not None and over >= up_to:
            faults.append(("up_to", f"{data['up_to'].text} is not above {data['over'].text}. Write a larger diameter."))
        if least and most and least > most:
            faults.append(("teeth_to", f"{most} is less than {least}. Write {least} or more."))
        if work[0] in PLAIN and (data["kind"] or over is not None or up_to is not None or least or most):
            faults.append(("kind", f"“{data['work']}” is for no single tool. Leave kind, diameters and teeth empty."))
        if work[0] == "discount" and data["customer"] is None:
            faults.append(("customer", "A discount is a customer's. Write the customer's name."))
        if work[0] == "discount" and (data["amount"] or 0) > MOST_DISCOUNT:
            faults.append(("amount", f"{data['amount'] / 100:g} is more than 100 per cent. Write 0 to 100."))
        return [(name, message) for name, message in faults if message]

    def entry(self) -> tuple[Key, int | None] | None:
        """Its place in the list and its amount (None ends it); None where the row is empty. After `is_valid`."""
        data = self.cleaned_data
        if not data["work"]:
            return None
        over, up_to = (value.nm if isinstance(value, Typed) else None for value in (data["over"], data["up_to"]))
        kind = KIND_CODES.get(data["kind"], "")
        band = Band(None, kind, data["customer"], over, up_to, data["teeth_from"], data["teeth_to"])
        return (as_scope(band), *BY_WORDS[data["work"]]), data["amount"]
