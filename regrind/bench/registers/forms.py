from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model
from django.utils import timezone

from regrind.geometry.units import Typed, Unit, show_fine, to_nm
from regrind.geometry.wheels import TruedRunout, read_trued_runout
from regrind.paper.qr import OURS
from regrind.shop.fields.dates import day
from regrind.shop.fields.exact_lengths import exact_text
from regrind.shop.fields.forms import AngleText, LengthText
from regrind.shop.models import Gauge, Wheel
from regrind.shop.posts.stale import VersionedForm

FIRST_DAY, MOST_DAYS_ON = date(2000, 1, 1), 3653
MARKS = ("mark_1", "mark_2", "mark_3", "mark_4")
MM_NM = 1_000_000


class RegisterForm(VersionedForm):
    """A row of a register; length fields are named as the column without `_nm`."""

    name = forms.CharField(label="Name", max_length=60)
    apart: tuple[str, ...] = ("version",)  # fields that are no columns
    refused_beside = "name"

    def __init__(self, *args: Any, unit: Unit, row: Model | None, **kwargs: Any) -> None:
        super().__init__(*args, initial=_initial(self, row, unit), **kwargs)
        self.unit, self.stored_nm = unit, getattr(row, "trued_runout_nm", None)
        self.set_version(row)
        self.each_length(lambda _, field: field.set_unit(unit))

    def main_fields(self) -> list[forms.BoundField]:
        return [bound for bound in self.visible_fields() if bound.name not in MARKS]

    def mark_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in MARKS if name in self.fields]

    @property
    def marks_open(self) -> bool:
        return any(bound.errors for bound in self.mark_fields()) or any(bound.value() for bound in self.mark_fields())

    def columns(self) -> dict[str, Any]:
        """Clean values by the names of the columns."""
        columns: dict[str, Any] = {}
        for name, field in self.fields.items():
            value = self.cleaned_data[name]
            if name in self.apart:
                continue
            if isinstance(field, LengthText):
                columns[f"{name}_nm"] = value.nm if isinstance(value, Typed) else None
            elif isinstance(field, AngleText):
                columns[f"{name}_cdeg"] = value
            else:
                columns[name] = value
        return columns


def _initial(form: RegisterForm, row: Model | None, unit: Unit) -> dict[str, Any]:
    if row is None:
        return {"in_use": True}
    fields = {name: field for name, field in form.base_fields.items() if name not in form.apart}
    return {name: _initial_value(field, row, name, unit) for name, field in fields.items()}


def _initial_value(field: forms.Field, row: Model, name: str, unit: Unit) -> Any:
    if isinstance(field, LengthText):
        return exact_text(getattr(row, f"{name}_nm"), unit)
    if isinstance(field, AngleText):
        cdeg = getattr(row, f"{name}_cdeg")
        return "" if cdeg is None else f"{cdeg / 100:g}"
    return getattr(row, name)


class GaugeForm(RegisterForm):
    what = forms.ChoiceField(label="Kind", choices=Gauge._meta.get_field("what").choices)  # type: ignore[arg-type]  # the stubs allow None
    resolution = LengthText(label="Resolution", least_nm=10, most_nm=MM_NM)
    uncertainty = LengthText(
        label="Standard uncertainty", most_nm=MM_NM, required=False, help_text="from its certificate, k = 1"
    )
    most = LengthText(
        label="Measures up to",
        least_nm=10_000,
        most_nm=3_000 * MM_NM,
        required=False,
        help_text="the longest that it spans: 1 in, or 25 mm",
    )
    anvil = AngleText(
        label="Anvil angle of a V-anvil",
        least=60,
        most=180,
        required=False,
        help_text="60° for three teeth, 108° for five, 128.57° for seven",
    )
    calibrated_until = day(label="Calibrated until")
    sends = forms.ChoiceField(
        label="Sends its readings",
        choices=Gauge._meta.get_field("sends").choices,  # type: ignore[arg-type]  # the stubs allow None
        required=False,
        help_text="by USB or Bluetooth as a keyboard, or by a serial line; the reading lands in the field in use",
    )
    sent_unit = forms.ChoiceField(
        label="Unit that it sends",
        choices=Gauge._meta.get_field("sent_unit").choices,  # type: ignore[arg-type]  # the stubs allow None
        required=False,
    )
    sent_mark = forms.ChoiceField(
        label="Decimal mark that it sends",
        choices=Gauge._meta.get_field("sent_mark").choices,  # type: ignore[arg-type]  # the stubs allow None
        initial=".",
        required=False,
    )
    sent_before = forms.CharField(
        label="Sent before each figure", max_length=8, required=False, help_text="01A, for example; empty where nothing"
    )
    baud = forms.IntegerField(
        label="Speed of the serial line, baud",
        min_value=300,
        max_value=115_200,
        required=False,
        help_text="300 to 115200; 9600 is usual",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    in_use = forms.BooleanField(label="In use", required=False)

    def clean_sent_mark(self) -> str:
        return self.cleaned_data["sent_mark"] or "."

    def clean_sent_before(self) -> str:
        before: str = self.cleaned_data["sent_before"]
        if before[:1].upper() == OURS:
            raise ValidationError(f"“{before}” begins with {OURS}, as our own codes do. Set another on the gauge.")
        return before

    def clean_calibrated_until(self) -> date | None:
        until: date | None = self.cleaned_data["calibrated_until"]
        latest = timezone.localdate() + timedelta(days=MOST_DAYS_ON)
        if until and not FIRST_DAY <= until <= latest:
            raise ValidationError(f"{until} is not likely: from {FIRST_DAY} to {latest}.")
        return until

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        is_vee, anvil = data.get("what") == "v-anvil", data.get("anvil")
        if is_vee and anvil is None and "anvil" not in self.errors:
            self.add_error("anvil", "Write the angle of the V, 60° to 180°: it decides which teeth the gauge fits.")
        if not is_vee and anvil is not None:
            self.add_error("anvil", f"Only a V-anvil micrometer has this angle: leave {anvil / 100:g}° out.")
        return data

    def columns(self) -> dict[str, Any]:
        columns = super().columns()
        return columns | {"uncertainty_nm": columns["uncertainty_nm"] or 0}


class WheelForm(RegisterForm):
    abrasive = forms.ChoiceField(label="Abrasive", choices=Wheel._meta.get_field("abrasive").choices)  # type: ignore[arg-type]  # the stubs allow None
    grit = forms.CharField(label="Grit", max_length=12, required=False, help_text="D64 or B64, for example")
    bond = forms.CharField(label="Bond", max_length=12, required=False)
    shape = forms.CharField(label="Shape, FEPA code", max_length=20, required=False, help_text="11V9, for example")
    diameter = LengthText(label="Diameter", least_nm=MM_NM, most_nm=1_000 * MM_NM)
    width = LengthText(label="Width of the rim", most_nm=200 * MM_NM, required=False)
    marked_maximum_rpm = forms.IntegerField(
        label="Marked maximum, rev/min",
        min_value=1,
        max_value=200_000,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        help_text="read off the wheel, never worked out",
    )
    trued_runout = LengthText(label="Trued runout", most_nm=MM_NM, required=False)
    mark_1 = LengthText(label="Reading at mark 1", least_nm=-MM_NM, most_nm=MM_NM, required=False)
    mark_2 = LengthText(label="Reading at mark 2", least_nm=-MM_NM, most_nm=MM_NM, required=False)
    mark_3 = LengthText(label="Reading at mark 3", least_nm=-MM_NM, most_nm=MM_NM, required=False)
    mark_4 = LengthText(label="Reading at mark 4", least_nm=-MM_NM, most_nm=MM_NM, required=False)
    in_use = forms.BooleanField(label="In use", required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        width, diameter = data.get("width"), data.get("diameter")
        if width and diameter and width.nm > diameter.nm:
            self.add_error("width", f"The rim is wider than the wheel: {width.text} on {diameter.text}.")
        typed = [name for name in MARKS if data.get(name) is not None]
        if typed:
            for name in MARKS:
                if name not in typed and name not in self.errors:
                    self.add_error(name, "Read all four marks, a quarter turn apart, or none.")
        self._refuse_two_runouts(data)
        return data

    def _refuse_two_runouts(self, data: dict[str, Any]) -> None:
        """Marks and a total that was typed anew must agree: neither changes the other silently."""
        marks, typed = [mark for name in MARKS if (mark := data.get(name))], data.get("trued_runout")
        if typed is None or len(marks) < len(MARKS) or typed.nm == self.stored_nm:
            return
        total_nm = to_nm(read_trued_runout([mark.mm for mark in marks]).total_mm)
        if typed.nm != total_nm:
            total = show_fine(total_nm, self.unit)
            self.add_error(
                "trued_runout",
                f"The four marks say {total}, not {typed.text}: leave this empty, or read the marks again.",
            )

    def trued(self) -> TruedRunout | None:
        """The runout that the four marks give, where they were read."""
        marks = [self.cleaned_data[name] for name in MARKS]
        return read_trued_runout([mark.mm for mark in marks]) if all(mark is not None for mark in marks) else None

    def columns(self) -> dict[str, Any]:
        """The four marks, where they were read, give the runout."""
        columns, trued = super().columns(), self.trued()
        return columns | ({"trued_runout_nm": to_nm(trued.total_mm)} if trued else {})


class HoldingForm(RegisterForm):
    note = forms.CharField(label="Note", max_length=200, required=False)
    in_use = forms.BooleanField(label="In use", required=False)
