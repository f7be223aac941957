"""Where the stylus tip stands beside a cup wheel to grind a relief, with its lag on a helix."""

import math
from typing import TypedDict

from regrind.geometry.lag import (
    StylusSetup,
    find_drifted_relief,
    find_lag,
    find_lag_distance,
    find_setup_uncertainty,
    hands_agree,
    needs_mirrored_setup,
    set_stylus,
)

from . import formatting
from .cup_working import list_cup_steps
from .draw_stylus import draw_along, draw_end_on
from .fields import CalculatorForm, angle, choice, digit, length
from .result import CalculatorResult, Figure, find_expanded


class _Inputs(TypedDict):
    values: dict[str, float]
    digits: dict[str, float]


HANDS = [("right", "right"), ("left", "left")]
FIELDS = {
    "radius_mm": "diameter",
    "relief_rad": "relief",
    "helix_rad": "helix",
    "lag_distance_mm": "gap",
    "gap_mm": "gap",
    "radius_after_mm": "after",
    "lag_rad": "gap",
    "tip_u_mm": "height_digit",
    "lag_distance_u_mm": "gap_digit",
    "helix_u_rad": "helix_digit",
    "below_mm": "gap",
    "radius": "diameter_digit",
    "helix": "helix_digit",
    "e": "gap_digit",
}
ROOT = math.sqrt(12)


class CupForm(CalculatorForm):
    diameter = length("Diameter", mm="6.350", inch=".2500", least_mm=0.1)
    relief = angle("Relief wanted", "12")
    helix = angle("Helix angle", "30", most=70)
    cut = choice("Hand of cut", HANDS, "right")
    hand = choice("Hand of helix", HANDS, "right")
    gap = length(
        "Gap, wheel to stylus",
        mm="1.500",
        inch=".0590",
        least_mm=0,
        most_nm=100_000_000,
        help_text="Clear distance between their nearest corners, along the axis.",
    )
    wheel_width = length("Width of the wheel’s face", mm="1.500", inch=".0590", least_mm=0, most_nm=100_000_000)
    stylus_width = length("Width of the stylus", mm="0.750", inch=".0300", least_mm=0, most_nm=100_000_000)
    after = length("Diameter after, stylus not moved", mm="5.842", inch=".2300", least_mm=0.1, needed=False)
    height_digit = digit("Height set to", mm="0.01", inch=".0005")
    gap_digit = digit("Gap known to", mm="0.1", inch=".005")
    diameter_digit = digit("Diameter read to")
    helix_digit = angle("Helix known to", "1", most=10, needed=False)


def set_cup(form: CupForm) -> CalculatorResult:
    """Where the stylus tip belongs, what it costs to leave the lag out, and how sure the relief is."""
    radius, relief, helix, unit = form.mm("diameter") / 2, form.rad("relief"), form.rad("helix"), form.unit
    agree = hands_agree(form.cleaned_data["cut"], form.cleaned_data["hand"])
    widths = form.mm("wheel_width"), form.mm("stylus_width")
    distance = find_lag_distance(form.mm("gap"), *widths, agree=agree)
    setup = set_stylus(radius, relief, helix, distance, agree=agree)
    ground = find_setup_uncertainty(
        radius,
        setup.tip_below_mm,
        helix,
        distance,
        agree=agree,
        tip_u_mm=form.mm("height_digit") / ROOT,
        lag_distance_u_mm=form.mm("gap_digit") / ROOT,
        radius_u_mm=form.mm("diameter_digit") / 2 / ROOT,
        helix_u_rad=form.rad("helix_digit") / ROOT,
    )
    figures = [
        _height("Stylus tip", setup.tip_below_mm, form, _find_tip_expanded(form, agree, distance)),
        Figure("Relief ground so", formatting.degrees(relief), "", formatting.sure_angle(2 * ground.relief_rad)),
        *_list_wrong_settings(form, setup, agree, distance),
    ]
    drawings = [draw_along(radius, relief, helix, form.mm("gap"), *widths, agree, unit)]
    return CalculatorResult(
        figures,
        draw_end_on(radius, relief, setup, agree, unit),
        list_cup_steps(form, setup, distance, agree),
        _list_legend(),
        _list_notes(form, setup, agree),
        drawings=drawings,
    )


def _find_tip_expanded(form: CupForm, agree: bool, distance: float) -> float:
    relief = form.rad("relief")
    return find_expanded(
        lambda radius, helix, e: set_stylus(radius, relief, helix, e, agree=agree).tip_below_mm,
        **_axial(form, distance),
    )


def _list_wrong_settings(form: CupForm, setup: StylusSetup, agree: bool, distance: float) -> list[Figure]:
    """What the relief becomes where the lag is left out, the wheel's other corner cuts, or the tool shrinks."""
    relief, sign = form.rad("relief"), 1 if agree else -1
    expanded = find_expanded(
        lambda radius, helix, e: relief + sign * find_lag(radius, helix, e), **_axial(form, distance)
    )
    figures = [_wrong("If the lag on the helix is ignored", setup.relief_ignoring_lag_rad, expanded)]
    if form.mm("wheel_width") and form.rad("helix"):
        figures.append(_other_corner(form))
    if form.mm_if("after"):
        figures.append(_drift(form, agree, distance))
    return figures


def _axial(form: CupForm, distance: float) -> _Inputs:
    """Radius, helix and distance e, with the digits that they were read to."""
    return {
        "values": {"radius": form.mm("diameter") / 2, "helix": form.rad("helix"), "e": distance},
        "digits": {
            "radius": form.mm("diameter_digit") / 2,
            "helix": form.rad("helix_digit"),
            "e": form.mm("gap_digit"),
        },
    }


def _other_corner(form: CupForm) -> Figure:
    relief, width = form.rad("relief"), form.mm("wheel_width")
    values = {"radius": form.mm("diameter") / 2, "helix": form.rad("helix")}
    digits = {"radius": form.mm("diameter_digit") / 2, "helix": form.rad("helix_digit")}

    def find(radius: float, helix: float) -> float:
        return relief - find_lag(radius, helix, width)

    return _wrong(
        "If the distance e is measured from the wheel’s other corner",
        find(**values),
        find_expanded(find, values, digits),
    )


def _drift(form: CupForm, agree: bool, distance: float) -> Figure:
    relief, after, axial = form.rad("relief"), form.mm("after"), _axial(form, distance)

    def find(radius: float, helix: float, e: float) -> float:
        return find_drifted_relief(radius, after / 2, relief, find_lag(radius, helix, e), agree=agree)

    label = f"Relief at {formatting.size(after, form.unit)}, stylus not moved"
    return formatting.angle_figure(label, find(**axial["values"]), find_expanded(find, **axial))


def _wrong(label: str, relief: float, expanded: float) -> Figure:
    return Figure(
        label, formatting.degrees(relief, 1), "the heel rubs" if relief <= 0 else "", formatting.sure_angle(expanded)
    )


def _height(label: str, below_mm: float, form: CalculatorForm, expanded: float) -> Figure:
    where = "below centre" if below_mm >= 0 else "above centre"
    return formatting.length_figure(f"{label} {where}", abs(below_mm), form.unit, expanded)


def _list_legend() -> list[tuple[str, str]]:
    return [
        ("h", "height of the stylus tip from the tool’s centre"),
        ("α", "relief: how far the edge under the wheel stands below centre, as an angle"),
        ("Δθ", "lag: how far the helix turns the edge between wheel and stylus"),
        ("e", "distance along the axis from the wheel’s cutting corner to the stylus’ bearing corner"),
    ]


def _list_notes(form: CupForm, setup: StylusSetup, agree: bool) -> list[str]:
    notes = [
        "For a cup wheel with its face upright, or a wheel’s corner travelling straight; tooth face down on the stylus."
    ]
    if needs_mirrored_setup(form.cleaned_data["cut"]):
        notes.append(
            "A left-hand cut takes these numbers in the mirrored set-up: unmirrored its face looks up and the "
            "stylus cannot carry it. The drawing shows it from the end face then, not from the shank."
        )
    error = abs(setup.relief_per_distance_rad_mm) * form.mm("wheel_width")
    if error:
        notes.append(f"Taking the wheel’s other corner would be {formatting.degrees(error, 1)} off.")
    notes.append(
        "Hands agree: the edge stands higher at the stylus than under the wheel."
        if agree
        else "Hands differ: the edge stands lower at the stylus than under the wheel."
    )
    return notes
