"""Wheel speed against the wheel's marked maximum. A computed speed is never a permission."""

import math

from regrind.geometry.bibliography import WHEEL_MAXIMUM, short_reference
from regrind.geometry.errors import Refused
from regrind.geometry.units import other_unit
from regrind.geometry.wheels import (
    check_rpm,
    find_marked_rpm,
    find_rpm,
    find_surface_speed,
    recommend_speed,
    warn_of_abrasive,
)

from . import formatting
from .draw_speed import draw_speed
from .fields import FEET_A_MINUTE, CalculatorForm, choice, digit, length, number, speed
from .result import CalculatorResult, Figure, WorkingStep, find_expanded

FIELDS = {
    "wheel_diameter_mm": "wheel",
    "surface_speed_m_s": "speed",
    "marked_max_rpm": "marked",
    "rpm": "rpm",
    "marked_rpm": "marked",
    "marked_m_s": "marked_speed",
    "diameter_new_mm": "new",
}
UNCHOSEN = ("", "choose")
ABRASIVES = [UNCHOSEN, ("diamond", "diamond"), ("CBN", "CBN")]
MATERIALS = [
    UNCHOSEN,
    ("carbide", "carbide"),
    ("HSS", "high-speed steel"),
    ("HSS-Co", "cobalt high-speed steel"),
    ("tool steel", "tool steel"),
]
MODES = [UNCHOSEN, ("wet", "wet"), ("dry", "dry")]
WARNINGS = {
    "diamond_on_steel": "Diamond on steel wears away fast: CBN is for high-speed steel (common practice).",
    "cbn_on_carbide": "CBN on carbide hardly cuts: diamond is for carbide (common practice).",
}
RULE = ("speed on a circle; the marked maximum is never passed", WHEEL_MAXIMUM)


class Wheel(CalculatorForm):
    """What both pages ask of the wheel. They open empty: a marking that nobody read must never stand there."""

    opens_empty = True
    wheel = length("Diameter of the wheel", mm="100.00", inch="4.0000", least_mm=1, most_nm=1_000_000_000)
    marked = number("Marked maximum, spindle speed", "4000", least=1, most=200_000, unit="rpm", needed=False)
    marked_speed = speed(
        "Marked maximum, surface speed",
        mm="",
        inch="",
        needed=False,
        help_text="If marked in m/s or ft/min; it holds for the wheel as new.",
    )
    new = length(
        "Diameter when new",
        mm="",
        inch="",
        needed=False,
        least_mm=1,
        most_nm=1_000_000_000,
        help_text="Required with a marked speed.",
    )
    abrasive = choice("Abrasive", ABRASIVES, "diamond")
    mode = choice("Coolant", MODES, "wet")
    material = choice("Tool’s material", MATERIALS, "carbide")
    wheel_digit = digit("Wheel’s diameter read to", mm="0.5", inch=".02")

    def allowed_rpm(self) -> float:
        """The lower of the markings; refused where the wheel has none, or a marked speed is of no known diameter."""
        new, now, marked_m_s = self.mm_if("new"), self.mm("wheel"), self.cleaned_data["marked_speed"]
        if marked_m_s and new is None:
            raise Refused("new", "is required: a marked speed holds for the wheel as new")
        if new is not None and new < now:
            raise Refused("new", f"must be at least what the wheel has now, {now:.6g} mm")
        return find_marked_rpm(new or now, marked_rpm=self.cleaned_data["marked"], marked_m_s=marked_m_s)


class RpmForm(Wheel):
    speed = speed("Surface speed wanted", mm="18 m/s", inch="3500 ft/min")
    field_order = ["wheel", "speed", "marked"]


class SpeedForm(Wheel):
    rpm = number("Spindle speed", "3400", least=1, most=200_000, unit="rpm")
    field_order = ["wheel", "rpm", "marked"]


def find_spindle(form: RpmForm) -> CalculatorResult:
    """The spindle speed for a surface speed, rounded down; refused above the marking."""
    allowed, wheel, wanted = form.allowed_rpm(), form.mm("wheel"), form.cleaned_data["speed"]
    rpm = find_rpm(wheel, wanted, allowed)
    expanded = find_expanded(
        lambda wheel_mm: 60_000 * wanted / (math.pi * wheel_mm),
        {"wheel_mm": wheel},
        {"wheel_mm": form.mm("wheel_digit")},
    )
    figures = [
        Figure(
            "Spindle speed",
            f"{math.floor(rpm)}\u202frpm",
            "rounded down",
            f"± {math.ceil(expanded)}\u202frpm" if expanded else "",
        ),
        _marked(form, allowed),
    ]
    working = [
        WorkingStep(
            "n = v / (π D)",
            f"v = {_both_units(wanted)}, {formatting.letters(form.unit, D=wheel)}",
            f"n = {rpm:.1f} rpm",
            *RULE,
        ),
        formatting.budget("n", form),
    ]
    return _build_result(form, figures, working, wanted, rpm, allowed)


def find_speed(form: SpeedForm) -> CalculatorResult:
    """The surface speed at a spindle speed; refused above the marking."""
    allowed, wheel, rpm = form.allowed_rpm(), form.mm("wheel"), form.cleaned_data["rpm"]
    check_rpm(rpm, allowed)
    speed_m_s = find_surface_speed(wheel, rpm)
    expanded = find_expanded(
        lambda wheel_mm: find_surface_speed(wheel_mm, rpm), {"wheel_mm": wheel}, {"wheel_mm": form.mm("wheel_digit")}
    )
    figures = [
        Figure(
            "Surface speed",
            formatting.surface_speed(speed_m_s, form.unit, 2),
            formatting.surface_speed(speed_m_s, other_unit(form.unit), 2),
            f"± {formatting.surface_speed_up(expanded, form.unit)}" if expanded else "",
        ),
        _marked(form, allowed),
    ]
    working = [
        WorkingStep(
            "v = π D n",
            f"n = {rpm:g} rpm, {formatting.letters(form.unit, D=wheel)}",
            f"v = {_both_units(speed_m_s)}",
            *RULE,
        ),
        formatting.budget("v", form),
    ]
    return _build_result(form, figures, working, speed_m_s, rpm, allowed)


def _marked(form: Wheel, allowed: float) -> Figure:
    surface = formatting.surface_speed(find_surface_speed(form.mm("wheel"), allowed), form.unit)
    return Figure("Marked maximum", f"{math.floor(allowed)}\u202frpm", surface)


def _build_result(
    form: Wheel, figures: list[Figure], working: list[WorkingStep], speed_m_s: float, rpm: float, allowed: float
) -> CalculatorResult:
    abrasive, mode = form.cleaned_data["abrasive"], form.cleaned_data["mode"]
    band, warned = recommend_speed(abrasive, mode), warn_of_abrasive(abrasive, form.cleaned_data["material"])
    notes = [
        "Within the marking, and no more than that: the machine, the flanges and the guard have limits of their "
        "own. A computed speed is never a permission.",
        f"Recommended for {abrasive} on {band.work}, {mode}: {_both_units(band.low_m_s)} to "
        f"{_both_units(band.high_m_s)} ({short_reference(band.source)}).",
    ]
    drawing = draw_speed(
        form.mm("wheel"),
        speed_m_s,
        rpm,
        find_surface_speed(form.mm("wheel"), allowed),
        (band.low_m_s, band.high_m_s),
        form.unit,
    )
    return CalculatorResult(figures, drawing, working, (), [WARNINGS[warned], *notes] if warned else notes)


def _both_units(m_s: float) -> str:
    return f"{m_s:.2f} m/s = {m_s * FEET_A_MINUTE:.0f} ft/min"
