from typing import Any

from django import forms
from django.db.models import Model

from regrind.geometry.units import Typed, show_with_unit
from regrind.shop.dates import day
from regrind.shop.forms import LengthText, ShopForm
from regrind.shop.models import Gauge, Wheel


class RegisterForm(ShopForm):
    """A row of a register; length fields are named as the column without `_nm`."""

    name = forms.CharField(max_length=60)

    def __init__(self, *args, unit: str, row: Model | None, **kwargs):
        super().__init__(*args, initial=_initial(self, row, unit), **kwargs)
        for field in self.fields.values():
            if isinstance(field, LengthText):
                field.unit = unit       # type: ignore[assignment]
                field.widget.attrs["data-unit"] = unit

    def columns(self) -> dict[str, Any]:
        """Clean values by the names of the columns."""
        found: dict[str, Any] = {}
        for name, field in self.fields.items():
            value = self.cleaned_data[name]
            if isinstance(field, LengthText):
                found[f"{name}_nm"] = value.nm if isinstance(value, Typed) else (None if not field.required else 0)
            else:
                found[name] = value
        return found


def _initial(form: RegisterForm, row: Model | None, unit: str) -> dict[str, Any]:
    if row is None:
        return {"in_use": True}
    told: dict[str, Any] = {}
    for name, field in form.base_fields.items():
        if isinstance(field, LengthText):
            nm = getattr(row, f"{name}_nm")
            told[name] = "" if nm is None else show_with_unit(nm, unit, places=5 if unit == "in" else 4)   # type: ignore[arg-type]
        else:
            told[name] = getattr(row, name)
    return told


class GaugeForm(RegisterForm):
    what = forms.ChoiceField(label="Kind", choices=Gauge._meta.get_field("what").choices)       # type: ignore[arg-type]
    resolution = LengthText(label="Resolution", least_nm=10, most_nm=1_000_000)
    uncertainty = LengthText(label="Standard uncertainty", most_nm=1_000_000)
    calibrated_until = day(label="Calibrated until")
    in_use = forms.BooleanField(label="In use", required=False)


class WheelForm(RegisterForm):
    abrasive = forms.ChoiceField(choices=Wheel._meta.get_field("abrasive").choices)     # type: ignore[arg-type]
    shape = forms.CharField(label="Shape, FEPA code", max_length=20, required=False)
    grit = forms.CharField(max_length=12, required=False)
    bond = forms.CharField(max_length=12, required=False)
    diameter = LengthText(label="Diameter", least_nm=1_000_000, most_nm=1_000_000_000)
    width = LengthText(label="Width of the rim", most_nm=200_000_000, required=False)
    marked_maximum_rpm = forms.IntegerField(label="Marked maximum, rev/min", min_value=1, max_value=200_000,
                                            required=False, widget=forms.TextInput(attrs={"inputmode": "numeric"}))
    trued_runout = LengthText(label="Trued runout, worst of four marks", most_nm=1_000_000, required=False)
    in_use = forms.BooleanField(label="In use", required=False)


class HoldingForm(RegisterForm):
    note = forms.CharField(max_length=200, required=False)
    in_use = forms.BooleanField(label="In use", required=False)
