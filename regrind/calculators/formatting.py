"""How the bench book writes its numbers: the reader's unit first, and the letters of a formula with their values."""

import math
import re

from django.forms import BoundField

from regrind.geometry.bibliography import UNCERTAINTY
from regrind.geometry.units import NARROW_SPACE, Unit, other_unit, show_with_unit, to_nm
from regrind.shop.fields.forms import LengthText

from .fields import FEET_A_MINUTE, CalculatorForm
from .result import Figure, WorkingStep

_MM = re.compile(r"(?:(-?[0-9][0-9.e+-]*) (and at most|to|and) )?(-?[0-9][0-9.e+-]*) mm")
_FINER = {"mm": 5, "in": 6}
_DIGIT = {"mm": 1e-4, "in": 25.4e-5}


def size(mm: float, unit: Unit) -> str:
    return show_with_unit(to_nm(mm), unit)


def fine(mm: float, unit: Unit) -> str:
    """A length with the digits that a check by hand needs: five places in mm, six in inches."""
    return show_with_unit(to_nm(mm), unit, places=_FINER[unit])


def fine_both(mm: float, unit: Unit) -> str:
    return f"{fine(mm, unit)} = {fine(mm, other_unit(unit))}"


def degrees(rad: float, places: int = 2) -> str:
    text = f"{math.degrees(rad):.{places}f}"
    return text.replace("-", "\u2212") + "°" if float(text) else f"{0:.{places}f}°"


def sure_length(expanded_mm: float, unit: Unit) -> str:
    """± in the unit, one place finer than sizes; nothing where no digit was given."""
    if not expanded_mm:
        return ""
    if expanded_mm < _DIGIT[unit] / 2:
        return f"± under {show_with_unit(to_nm(_DIGIT[unit]), unit, places=4 if unit == 'mm' else 5)}"
    return f"± {show_with_unit(to_nm(expanded_mm), unit, places=4 if unit == 'mm' else 5)}"


def sure_angle(expanded_rad: float) -> str:
    if not expanded_rad:
        return ""
    expanded = math.degrees(expanded_rad)
    return "± under 0.01°" if expanded < 0.005 else f"± {expanded:.2f}°"


def length_figure(label: str, mm: float, unit: Unit, expanded_mm: float = 0.0) -> Figure:
    return Figure(label, size(mm, unit), size(mm, other_unit(unit)), sure_length(expanded_mm, unit))


def angle_figure(label: str, rad: float, expanded_rad: float = 0.0) -> Figure:
    return Figure(label, degrees(rad), "", sure_angle(expanded_rad))


def surface_speed(m_s: float, unit: Unit, places: int = 1) -> str:
    """ft/min beside inches, m/s beside millimetres."""
    if unit == "in":
        return f"{m_s * FEET_A_MINUTE:.0f}{NARROW_SPACE}ft/min"
    return f"{m_s:.{places}f}{NARROW_SPACE}m/s"


def surface_speed_up(m_s: float, unit: Unit) -> str:
    """An uncertainty of a surface speed, rounded up so that it is never said to be nothing."""
    if unit == "in":
        return f"{math.ceil(m_s * FEET_A_MINUTE)}{NARROW_SPACE}ft/min"
    return f"{math.ceil(m_s * 100) / 100:.2f}{NARROW_SPACE}m/s"


def letters(unit: Unit, **values: float) -> str:
    """`r = 6.350 mm, d = …`, as a formula names them."""
    return ", ".join(f"{name} = {plain(value, unit)}" for name, value in values.items())


def plain(mm: float, unit: Unit) -> str:
    """A length without the zeros that nobody read."""
    text = show_with_unit(to_nm(mm), unit, places=_FINER[unit])
    figure, _, name = text.partition(NARROW_SPACE)
    whole, _, places = figure.partition(".")
    keep = 3 if unit == "mm" else 4
    return f"{whole}.{places[:keep]}{places[keep:].rstrip('0')}{NARROW_SPACE}{name}"


def in_unit(message: str, unit: Unit) -> str:
    """A refusal of the geometry, whose ranges are in mm, in the reader's unit."""
    if unit == "mm":
        return message

    def turn(match: re.Match[str]) -> str:
        low, between, high = match.groups()
        text = show_with_unit(to_nm(float(high)), unit)
        return f"{show_with_unit(to_nm(float(low)), unit)} {between} {text}" if low else text

    return _MM.sub(turn, message)


def budget(letter: str, form: CalculatorForm) -> WorkingStep:
    """What the uncertainty was made of: digits and standard uncertainties, and how they are combined."""
    inputs = [_describe_input(bound, form) for bound in (*form.digits(), *form.certificates())]
    text = ", ".join(words for words in inputs if words) or "no digit given: the uncertainty is not computed"
    return WorkingStep(
        f"U({letter}) = 2 √Σ(∂{letter}/∂input)² (digit²/12 + u²)",
        text,
        "",
        "propagation of independent inputs, k = 2",
        UNCERTAINTY,
    )


def _describe_input(bound: BoundField, form: CalculatorForm) -> str:
    value = form.cleaned_data.get(bound.name)
    if not value or not getattr(value, "nm", value):
        return ""
    text = plain(value.mm, form.unit) if isinstance(bound.field, LengthText) else f"{value / 100:g}°"
    label = str(bound.label)
    return f"{label[0].lower()}{label[1:]} {text}"
