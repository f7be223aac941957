"""What a page of the bench book answers: one figure, how sure it is, the formula and where it comes from."""
import math
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from regrind.geometry.errors import Refused
from regrind.geometry.units import show_with_unit, to_nm
from regrind.shop.forms import LengthText, ShopForm

SUFFIXES = ("_mm", "_rad", "_deg", "_m_s")


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with its label; `other` is the same in the other unit."""

    label: str
    value: str
    other: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """A page's answer. `sure` says how far it may be off, or why nothing is added for that."""

    figure: Figure
    sure: str
    formula: str
    source: str
    drawing: SafeString | str = ""
    more: tuple[Figure, ...] = ()
    notes: tuple[str, ...] = ()


class BookForm(ShopForm):
    """A page's form: every length reads a bare decimal in the page's unit."""

    example: dict[str, str] = {}      # the worked example that fills the page before anything is typed

    def __init__(self, *args: Any, unit: str, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self.unit = unit

        def set_unit(_name: str, field: LengthText) -> None:
            field.unit = unit       # type: ignore[assignment]
            field.widget.attrs["data-unit"] = unit
        self.each_length(set_unit)

    def mm(self, name: str) -> float:
        """The millimetres typed; a field left empty is refused by its name."""
        value = self.cleaned_data.get(name)
        if value is None:
            raise Refused(name, "is needed here")
        return float(value.mm)

    def rad(self, name: str) -> float:
        value = self.cleaned_data.get(name)
        if value is None:
            raise Refused(name, "is needed here")
        return math.radians(value / 100)

    def refuse(self, refused: Refused) -> None:
        """Say what the calculation refused beside the field it names."""
        for fault in (refused, *refused.others):
            name = fault.field
            for suffix in SUFFIXES:
                name = name.removesuffix(suffix)
            if name in self.fields:
                self.add_error(name, f"{self.fields[name].label or name} {fault.message}.")
            else:
                self.add_error(None, f"{name.replace('_', ' ').capitalize()} {fault.message}.")


def length(label: str, mm: float, unit: str) -> Figure:
    """A length in the page's unit with the other beside it."""
    other = "mm" if unit == "in" else "in"
    return Figure(label, in_unit(mm, unit), in_unit(mm, other))


def in_unit(mm: float, unit: str) -> str:
    return show_with_unit(to_nm(mm), unit)      # type: ignore[arg-type]


def angle(label: str, rad: float, digits: int = 2) -> Figure:
    return Figure(label, degrees(rad, digits))


def degrees(rad: float, digits: int = 2) -> str:
    return f"{math.degrees(rad):.{digits}f}°".replace("-", "\u2212")
