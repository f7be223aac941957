"""A customer with unit and terms."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from regrind.geometry.units import Unit
from regrind.record.models import Customer
from regrind.shop.fields.forms import LengthText, MoneyText
from regrind.shop.models import UNITS
from regrind.shop.posts.stale import VersionedForm

from .fields import exact_text, set_unit

MOST_PERCENT = 50
HOLES = [("", "not named"), *((name, name) for name in ("H6", "H7", "H8", "H9", "H10"))]
MARKS = list(Customer._meta.get_field("decimal_mark").choices or ())


class PercentText(forms.CharField):
    """A share in per cent, kept in hundredths of a per cent (an int), or None where left empty."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def clean(self, value: str | None) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        plain = text.removesuffix("%").strip().replace(",", ".", 1)
        whole, _, part = plain.partition(".")
        if (
            not (whole + part).isascii()
            or not (whole + part).isdigit()
            or len(part) > 2
            or len(whole) > 3
            or Decimal(plain) > MOST_PERCENT
        ):
            raise ValidationError(f"“{text}” does not fit: per cent from 0 to {MOST_PERCENT}, two decimals at most.")
        return int(Decimal(plain) * 100)


class CustomerForm(VersionedForm):
    name = forms.CharField(max_length=120)
    unit = forms.ChoiceField(label="Preferred unit", choices=UNITS)
    decimal_mark = forms.ChoiceField(
        label="Numbers on documents", required=False, choices=MARKS, help_text="Inches keep their point."
    )
    smallest = LengthText(
        label="Smallest diameter",
        least_nm=100_000,
        most_nm=500_000_000,
        required=False,
        help_text="whatever the tool's size",
    )
    under = LengthText(
        label="No more under nominal than",
        most_nm=50_000_000,
        required=False,
        help_text=".015 in: “no more than .015 under”",
    )
    percent = PercentText(
        label="No more per cent under nominal than", max_length=8, required=False, help_text="5: “5 % under”"
    )
    step = LengthText(
        label="Keep on steps of",
        least_nm=2_540,
        most_nm=5_000_000,
        required=False,
        help_text=".005 in: finished sizes on .005 steps",
    )
    shortest = LengthText(label="Shortest usable length", most_nm=500_000_000, required=False)
    runout_limit = LengthText(label="Largest runout", least_nm=250, most_nm=1_000_000, required=False)
    chamfer = LengthText(
        label="Corners may be clipped, up to",
        most_nm=10_000_000,
        required=False,
        help_text="at 45°, along the axis, instead of a longer cut off the end; empty: ask",
    )
    hole = forms.ChoiceField(
        label="Holes are reamed to",
        choices=HOLES,
        required=False,
        help_text="where a reamer's line names no hole of its own",
    )
    keep = forms.ChoiceField(required=False, choices=list(Customer._meta.get_field("keep").choices or ()))
    always_ask = forms.BooleanField(label="Always ask before grinding", required=False)
    never_scrap_unasked = forms.BooleanField(label="Never scrap without asking", required=False)
    scrap = forms.ChoiceField(label="Scrap is", choices=list(Customer._meta.get_field("scrap").choices or ()))
    prices_on_slip = forms.BooleanField(label="Prices on the packing slip", required=False)
    regrinds_left_on_report = forms.BooleanField(label="Regrinds left on the report", required=False)
    batch_minimum = MoneyText(label="Batch minimum", max_length=12, required=False)
    rush_charge = MoneyText(label="Rush charge", max_length=12, required=False)
    note = forms.CharField(max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    active = forms.BooleanField(label="Active", required=False)

    refused_beside = "name"
    LENGTHS = ("smallest", "under", "step", "shortest", "runout_limit", "chamfer")
    PLAIN = (
        "name",
        "unit",
        "decimal_mark",
        "hole",
        "keep",
        "always_ask",
        "never_scrap_unasked",
        "scrap",
        "prices_on_slip",
        "regrinds_left_on_report",
        "note",
        "active",
    )

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_unit(self, unit)

    def values(self) -> dict[str, Any]:
        """By the names of Customer's columns."""
        data = self.cleaned_data
        return (
            {name: data[name] for name in self.PLAIN}
            | {f"{name}_nm": data[name].nm if data[name] else None for name in self.LENGTHS}
            | {
                "under_basis_points": data["percent"],
                "decimal_mark": data["decimal_mark"] or ".",
                "batch_minimum_minor": data["batch_minimum"] or 0,
                "rush_charge_minor": data["rush_charge"] or 0,
            }
        )

    @classmethod
    def initial_of(cls, customer: Customer) -> dict[str, Any]:
        percent, unit = customer.under_basis_points, customer.unit
        lengths: dict[str, Any] = {name: exact_text(getattr(customer, f"{name}_nm"), unit) for name in cls.LENGTHS}
        return (
            {name: getattr(customer, name) for name in cls.PLAIN}
            | lengths
            | {
                "percent": "" if percent is None else f"{percent / 100:g}",
                "batch_minimum": _money(customer.batch_minimum_minor),
                "rush_charge": _money(customer.rush_charge_minor),
            }
        )


def _money(minor: int) -> str:
    return f"{minor // 100}.{minor % 100:02d}" if minor else ""
