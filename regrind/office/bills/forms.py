from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.utils import timezone

from regrind.shop.fields.dates import day
from regrind.shop.fields.forms import MoneyText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText

from ..bill_models import TAXES, Bill, BillLine, BillTerms
from ..forms import PieceBoxes
from ..models import Parcel
from .unbilled import Unbilled

MOST_DAYS = 365


class DayForm(ShopForm):
    """A form with a day that is not in the future."""

    def clean_day(self) -> date:
        typed: date = self.cleaned_data["day"]
        today = timezone.localdate()
        if not today - timedelta(days=MOST_DAYS) <= typed <= today:
            raise forms.ValidationError(f"{typed} is out of range. Write a day within the last year, up to today.")
        return typed


class BillForm(DayForm):
    """The parcels of a customer for one bill."""

    parcels = forms.MultipleChoiceField(
        label="Parcels",
        required=False,
        widget=PieceBoxes,
        error_messages={"invalid_choice": "One of these parcels was billed or undone meanwhile. Tick them again."},
    )
    day = day(label="Date of the bill", required=True)
    note = forms.CharField(label="Note on the bill", max_length=500, required=False)

    def __init__(self, *args: Any, rows: Sequence[Unbilled], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.listed = rows
        field = self.fields["parcels"]
        assert isinstance(field, forms.MultipleChoiceField)
        field.choices = [(str(row.parcel.pk), str(row.parcel)) for row in rows]
        field.initial = [str(row.parcel.pk) for row in rows if row.ready]
        self.initial["day"] = timezone.localdate()

    def chosen(self) -> list[Parcel]:
        wanted = set(self.cleaned_data["parcels"])
        return [row.parcel for row in self.listed if str(row.parcel.pk) in wanted]

    def rows(self) -> list[tuple[Unbilled, Any]]:
        """Each parcel with its tick box."""
        return list(zip(self.listed, self["parcels"], strict=True))


class CreditForm(DayForm):
    """What is taken back of each line of a bill."""

    why = forms.CharField(label="Why", max_length=500)
    day = day(label="Date of the credit note", required=True)

    def __init__(self, *args: Any, lines: Sequence[BillLine], rest: dict[int, int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines, self.rest = lines, rest
        for line in lines:
            self.fields[f"line_{line.position}"] = MoneyText(label=line.words, required=False)
        self.initial["day"] = timezone.localdate()

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for line in self.lines:
            minor, rest = data.get(f"line_{line.position}") or 0, self.rest[line.pk]
            if minor > rest:
                message = f"{minor / 100:.2f} is more than the {rest / 100:.2f} not credited yet. Write less."
                self.add_error(f"line_{line.position}", message)
        return data

    def amounts(self) -> dict[BillLine, int]:
        return {line: self.cleaned_data[f"line_{line.position}"] or 0 for line in self.lines}

    def rows(self) -> list[tuple[BillLine, int, forms.BoundField]]:
        return [(line, self.rest[line.pk], self[f"line_{line.position}"]) for line in self.lines]


class PaidForm(DayForm):
    """Money that came for a bill."""

    amount = MoneyText(label="Amount")
    day = day(label="Paid on", required=True)
    how = forms.CharField(label="How", max_length=120, required=False)

    def __init__(self, *args: Any, bill: Bill, rest: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.bill = bill
        self.initial.update(amount=f"{rest / 100:.2f}", day=timezone.localdate())


class PercentText(forms.CharField):
    """A rate in per cent with at most three decimals; cleans to thousandths of a per cent, 0 where it is empty."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: str | None) -> int:
        text = super().clean(value)
        plain = text.replace(",", ".").removesuffix("%").strip()
        try:
            rate = Decimal(plain or "0") if plain.isascii() and not set(plain) - set("0123456789.") else None
        except InvalidOperation:
            rate = None
        if rate is None or rate > 100 or rate * 1000 != int(rate * 1000):
            raise forms.ValidationError(
                f"“{text[:40]}” is not a rate. Write per cent from 0 to 100, such as 19 or 8.875."
            )
        return int(rate * 1000)


class TermsForm(ShopForm):
    """Tax and payment, of the shop or of one customer."""

    tax = forms.ChoiceField(label="Tax", choices=[("", "–"), *((code, f"{words} ({code})") for code, words in TAXES)])
    tax_milli = PercentText(label="Rate", required=False, max_length=12)
    tax_reason = forms.CharField(label="Why no tax is charged", max_length=200, required=False)
    tax_number = forms.CharField(label="Tax number", max_length=40, required=False)
    due_days = WholeText(label="Days to pay", least=0, most=MOST_DAYS, required=False)
    pay_to = forms.CharField(label="Pay to", max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, *args: Any, current: BillTerms | None, for_customer: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if for_customer:
            del self.fields["pay_to"]
            self.fields["tax"].required = False
            self.fields["tax"].help_text = "Empty: the shop’s."
            self.fields["due_days"].help_text = "Empty: the shop’s."
        if current is not None:
            self.initial.update({name: getattr(current, name) for name in self.fields if name != "tax_milli"})
            self.initial["tax_milli"] = f"{Decimal(current.tax_milli) / 1000:f}".rstrip("0").rstrip(".")
