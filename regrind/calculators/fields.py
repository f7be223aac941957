"""Fields of the bench book's forms, each with the worked example that its page opens with."""

import math
import re
from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from regrind.geometry.errors import Refused
from regrind.geometry.units import NM_PER_MM, Unit
from regrind.shop.fields.forms import AngleText, LengthText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText

LONGEST_NM = 500 * NM_PER_MM
_NUMBER = re.compile(r"[0-9]{1,7}(?:[.,][0-9]{1,3})?")
_SPEED = re.compile(r"(?P<number>[0-9]{1,7}(?:[.,][0-9]{1,3})?) *(?P<unit>m/s|ft/min|sfm|sfpm)?")
DIGIT, CERTIFICATE = "_digit", "_u"  # ends of the names of fields that say how sure another is
ROOT = math.sqrt(12)
FEET_A_MINUTE = 60 / 0.3048  # of one metre a second


class CalculatorForm(ShopForm):
    """A form whose lengths are in the page's unit and whose every field has an example."""

    unit: Unit
    opens_empty = False  # the page asks, and shows no worked example

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit
        self._add_certificates()
        for field in self.fields.values():
            if isinstance(field, LengthText | SpeedText):
                field.unit = unit
                field.widget.attrs["data-unit"] = unit
            if isinstance(field, forms.CharField):
                field.error_messages["max_length"] = "That is too long to be read here."

    def asked(self) -> list[forms.BoundField]:
        """What the question is made of."""
        return [bound for bound in self if not bound.name.endswith((DIGIT, CERTIFICATE))]

    def digits(self) -> list[forms.BoundField]:
        """What its readings were read to."""
        return [bound for bound in self if bound.name.endswith(DIGIT)]

    def certificates(self) -> list[forms.BoundField]:
        """Their standard uncertainties, where a certificate gives one."""
        return [bound for bound in self if bound.name.endswith(CERTIFICATE)]

    def uses_certificates(self) -> bool:
        return any(bound.value() or bound.errors for bound in self.certificates())

    def _add_certificates(self) -> None:
        """Beside each digit an optional standard uncertainty of the same kind."""
        for name, read_to in list(self.fields.items()):
            if not name.endswith(DIGIT):
                continue
            label = f"{re.sub(' (read|known|set) to$', '', str(read_to.label))}, u"
            most = read_to.most if isinstance(read_to, AngleText) else 0
            self.fields[name.removesuffix(DIGIT) + CERTIFICATE] = (
                AngleText(label=label, least=0, most=most, required=False)
                if most
                else LengthText(label=label, least_nm=0, most_nm=2 * NM_PER_MM, required=False)
            )

    @classmethod
    def example(cls, unit: Unit) -> dict[str, str]:
        """What the page opens with, in this unit."""
        return {
            name: field.examples[unit]  # type: ignore[attr-defined]  # ours, on Django's field
            for name, field in cls.base_fields.items()
        }

    def mm(self, name: str) -> float:
        """A length in millimetres, 0 where left empty; a digit with its standard uncertainty as one wider digit."""
        return self._widen(name, self.typed_mm(name), self.typed_mm)

    def typed_mm(self, name: str) -> float:
        """The length as typed, a digit without its standard uncertainty."""
        typed = self.cleaned_data.get(name)
        return typed.mm if typed else 0.0

    def mm_if(self, name: str) -> float | None:
        typed = self.cleaned_data.get(name)
        return typed.mm if typed else None

    def rad(self, name: str) -> float:
        """An angle in radians, as `mm`."""

        def typed_rad(name: str) -> float:
            return math.radians((self.cleaned_data.get(name) or 0) / 100)

        return self._widen(name, typed_rad(name), typed_rad)

    def _widen(self, name: str, digit: float, typed: Callable[[str], float]) -> float:
        """The digit whose standard uncertainty, width/√12, is that of digit and certificate together."""
        if not name.endswith(DIGIT):
            return digit
        certified = typed(name.removesuffix(DIGIT) + CERTIFICATE)
        return math.hypot(digit, ROOT * certified) if certified else digit

    def rad_if(self, name: str) -> float | None:
        return None if self.cleaned_data.get(name) is None else self.rad(name)

    def show_refused(self, refused: Refused, fields: dict[str, str], message: str) -> None:
        """Put a refusal of the geometry beside the field that it names."""
        name = fields.get(refused.field, refused.field.removesuffix("_mm").removesuffix("_rad"))
        if name not in self.fields:
            self.add_error(None, f"{refused.field.replace('_', ' ')} {message}.".capitalize())
            return
        self.add_error(name, f"{self.fields[name].label} {message}.")


class NumberText(forms.CharField):
    """A plain number in its range, such as a spindle speed."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "angle"})

    def __init__(self, *, least: float, most: float, unit: str, **kwargs: Any) -> None:
        super().__init__(max_length=16, **kwargs)
        self.least, self.most, self.unit_name = least, most, unit

    def clean(self, value: str | None) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        plain = text.removesuffix(self.unit_name).strip()
        number = float(plain.replace(",", ".")) if _NUMBER.fullmatch(plain) else None
        if number is None or not self.least <= number <= self.most:
            raise ValidationError(f"“{text}” does not fit here: from {self.least:g} to {self.most:g} {self.unit_name}.")
        return number


class SpeedText(forms.CharField):
    """A surface speed, m/s or ft/min (bare: m/s on a millimetre page, ft/min on an inch page); cleans to m/s."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "angle"})
    unit: Unit = "mm"

    @property
    def unit_name(self) -> str:
        """The unit of a bare figure."""
        return "m/s" if self.unit == "mm" else "ft/min"

    def clean(self, value: str | None) -> float | None:
        text = super().clean(value)
        if not text:
            return None
        match = _SPEED.fullmatch(text)
        bare = self.unit_name
        number = float(match["number"].replace(",", ".")) if match else 0.0
        speed = number if match and (match["unit"] or bare) == "m/s" else number / FEET_A_MINUTE
        if not 0.1 <= speed <= 200:
            raise ValidationError(f"“{text}” does not fit here: from 0.1 to 200 m/s, or 20 to 39370 ft/min.")
        return speed


def length(
    label: str,
    *,
    mm: str,
    inch: str,
    least_mm: float = 0.001,
    most_nm: int = LONGEST_NM,
    needed: bool = True,
    help_text: str = "",
) -> LengthText:
    field = LengthText(
        label=label, least_nm=round(least_mm * NM_PER_MM), most_nm=most_nm, required=needed, help_text=help_text
    )
    field.examples = {"mm": mm, "in": inch}  # type: ignore[attr-defined]  # ours, on Django's field
    return field


def digit(label: str, *, mm: str = "0.001", inch: str = ".0001") -> LengthText:
    """The last digit of a gauge: what its reading is good for. Empty or 0: taken as exact."""
    return length(label, mm=mm, inch=inch, least_mm=0, most_nm=2 * NM_PER_MM, needed=False)


def angle(
    label: str, example: str, *, least: float = 0, most: float = 45, needed: bool = True, help_text: str = ""
) -> AngleText:
    field = AngleText(label=label, least=least, most=most, required=needed, help_text=help_text)
    field.examples = {"mm": example, "in": example}  # type: ignore[attr-defined]  # ours, on Django's field
    return field


def whole(label: str, example: str, *, least: int, most: int, help_text: str = "") -> WholeText:
    field = WholeText(label=label, least=least, most=most, help_text=help_text)
    field.examples = {"mm": example, "in": example}  # type: ignore[attr-defined]  # ours, on Django's field
    return field


def number(
    label: str, example: str, *, least: float, most: float, unit: str, needed: bool = True, help_text: str = ""
) -> NumberText:
    field = NumberText(label=label, least=least, most=most, unit=unit, required=needed, help_text=help_text)
    field.examples = {"mm": example, "in": example}  # type: ignore[attr-defined]  # ours, on Django's field
    return field


def speed(label: str, *, mm: str, inch: str, needed: bool = True, help_text: str = "") -> SpeedText:
    field = SpeedText(max_length=24, label=label, required=needed, help_text=help_text)
    field.examples = {"mm": mm, "in": inch}  # type: ignore[attr-defined]  # ours, on Django's field
    return field


def choice(label: str, options: list[tuple[str, str]], example: str, help_text: str = "") -> forms.ChoiceField:
    named = ", ".join(word for _, word in options)
    field = forms.ChoiceField(
        label=label,
        choices=options,
        help_text=help_text,
        error_messages={"invalid_choice": f"That is not one of these: {named}."},
    )
    field.examples = {"mm": example, "in": example}  # type: ignore[attr-defined]  # ours, on Django's field
    return field
