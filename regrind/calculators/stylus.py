"""Heights that grind a relief: the stylus beside a cup wheel, with its lag on a helix; the straight wheel's centre."""

import math

from regrind.geometry.hollow import find_hollow_depth, find_hollow_drop, find_mean_relief
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
from regrind.geometry.relief import Way, find_drop
from regrind.geometry.setup import find_wheel_above
from regrind.geometry.units import Unit

from . import formatting
from .draw_stylus import draw_along, draw_end_on
from .draw_wheel import draw_straight_wheel
from .fields import BookForm, angle, choice, digit, length
from .result import Figure, Line, Sheet, find_spread

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
    "distance": "gap_digit",
}
STRAIGHT_FIELDS = {
    "radius_mm": "diameter",
    "relief_rad": "relief",
    "wheel_radius_mm": "wheel",
    "below_mm": "edge_above",
    "land_mm": "land",
    "distance_mm": "land",
    "wheel_above_mm": "wheel",
}
ROOT = math.sqrt(12)


class CupForm(BookForm):
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
    after = length("Diameter after, rest left alone", mm="5.842", inch=".2300", least_mm=0.1, needed=False)
    height_digit = digit("Height set to", mm="0.01", inch=".0005")
    gap_digit = digit("Gap known to", mm="0.1", inch=".005")
    diameter_digit = digit("Diameter read to")
    helix_digit = angle("Helix known to", "1", most=10, needed=False)


class StraightForm(BookForm):
    diameter = length("Diameter", mm="10.000", inch=".3750", least_mm=0.1)
    wheel = length("Diameter of the wheel", mm="150.00", inch="6.0000", least_mm=1, most_nm=1_000_000_000)
    relief = angle("Relief wanted", "10")
    edge_above = length(
        "Edge above the tool’s centre",
        mm="0",
        inch="0",
        least_mm=-250,
        most_nm=250_000_000,
        help_text="0 with the edge at centre height; below it, negative.",
    )
    land = length(
        "Width of the land",
        mm="0.500",
        inch=".0200",
        needed=False,
        most_nm=50_000_000,
        help_text="To say how hollow the wheel leaves it.",
    )
    wheel_digit = digit("Wheel’s diameter read to", mm="0.1", inch=".005")
    diameter_digit = digit("Tool’s diameter read to", mm="0.01", inch=".0005")
    edge_digit = digit("Edge’s height set to", mm="0.01", inch=".0005")


def set_cup(form: CupForm) -> Sheet:
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
        _height("Stylus tip", setup.tip_below_mm, form, _tip_spread(form, agree, distance)),
        Figure("Relief ground so", formatting.degrees(relief), "", formatting.sure_angle(2 * ground.relief_rad)),
        *_spoiled(form, setup, agree, distance),
    ]
    drawings = [draw_along(radius, relief, helix, form.mm("gap"), *widths, agree, unit)]
    return Sheet(
        figures,
        draw_end_on(radius, relief, setup, agree, unit),
        _cup_working(form, setup, distance, agree),
        _cup_legend(),
        _cup_notes(form, setup, agree),
        drawings=drawings,
    )


def set_straight(form: StraightForm) -> Sheet:
    """How far the straight wheel's centre stands above the tool's, and how hollow its periphery leaves the land."""
    radius, relief, unit = form.mm("diameter") / 2, form.rad("relief"), form.unit
    wheel, edge = form.mm("wheel") / 2, form.mm("edge_above")
    above = find_wheel_above(radius, relief, wheel, edge)
    expanded = find_spread(
        lambda radius_mm, wheel_mm, edge_mm: find_wheel_above(radius_mm, relief, wheel_mm, edge_mm),
        {"radius_mm": radius, "wheel_mm": wheel, "edge_mm": edge},
        {
            "radius_mm": form.mm("diameter_digit") / 2,
            "wheel_mm": form.mm("wheel_digit") / 2,
            "edge_mm": form.mm("edge_digit"),
        },
    )
    side = "above" if above >= 0 else "below"
    figures = [formatting.length_figure(f"Wheel’s centre {side} the tool’s", abs(above), unit, expanded)]
    working = [
        Line(
            "H = y + R sin(α + asin(y / r))",
            formatting.letters(unit, r=radius, R=wheel, y=edge) + f", α = {formatting.degrees(relief)}",
            f"H = {formatting.fine_both(above, unit)}",
            "tangents of wheel and tool at the edge; for y = 0 a handbook’s table, from memory, agrees in 92 "
            "of 96 values",
        )
    ]
    land = form.mm_if("land")
    if land:
        working.append(_hollow(radius, land, relief, wheel, unit))
        figures.append(_mean_relief(form, land))
    working.append(formatting.budget("H", form))
    return Sheet(
        figures,
        draw_straight_wheel(radius, wheel, edge, above, unit),
        working,
        [
            ("H", "height of the wheel’s centre over the tool’s"),
            ("y", "height of the edge over it, here 0" if not edge else "height of the edge over the tool’s centre"),
            ("R", "radius of the wheel"),
            ("r", "radius of the tool at the edge"),
        ],
    )


def _mean_relief(form: StraightForm, land: float) -> Figure:
    relief, wheel = form.rad("relief"), form.mm("wheel") / 2
    expanded = find_spread(
        lambda wheel_mm: find_mean_relief(relief, land, wheel_mm),
        {"wheel_mm": wheel},
        {"wheel_mm": form.mm("wheel_digit") / 2},
    )
    return formatting.angle_figure("Mean relief of the land", find_mean_relief(relief, land, wheel), expanded)


def _hollow(radius: float, land: float, relief: float, wheel: float, unit: Unit) -> Line:
    deep = find_hollow_depth(land, wheel)
    less = find_drop(relief, land, Way.LAND, radius) - find_hollow_drop(radius, land, relief, wheel)
    return Line(
        "hollow w²/(8R); mean relief α − asin(w/(2R))",
        formatting.letters(unit, w=land, R=wheel),
        f"hollow {formatting.fine(deep, unit)}; the heel drops {formatting.fine(less, unit)} less than on a flat land",
        "chord and arc of the wheel",
    )


def _tip_spread(form: CupForm, agree: bool, distance: float) -> float:
    relief = form.rad("relief")

    def tip(radius: float, helix: float, distance: float) -> float:
        return set_stylus(radius, relief, helix, distance, agree=agree).tip_below_mm

    return find_spread(
        tip,
        {"radius": form.mm("diameter") / 2, "helix": form.rad("helix"), "distance": distance},
        {"radius": form.mm("diameter_digit") / 2, "helix": form.rad("helix_digit"), "distance": form.mm("gap_digit")},
    )


def _spoiled(form: CupForm, setup: StylusSetup, agree: bool, distance: float) -> list[Figure]:
    """What the relief becomes where the lag is left out, the wheel's other corner cuts, or the tool shrinks."""
    radius, relief, sign = form.mm("diameter") / 2, form.rad("relief"), 1 if agree else -1
    values = {"radius": radius, "helix": form.rad("helix")}
    digits = {"radius": form.mm("diameter_digit") / 2, "helix": form.rad("helix_digit")}
    axial = {"values": {**values, "distance": distance}, "digits": {**digits, "distance": form.mm("gap_digit")}}
    ignoring = find_spread(lambda radius, helix, distance: relief + sign * find_lag(radius, helix, distance), **axial)
    figures = [_wrong("Were the lag ignored", setup.relief_ignoring_lag_rad, ignoring)]
    width, after = form.mm("wheel_width"), form.mm_if("after")
    if width and values["helix"]:

        def other(radius: float, helix: float) -> float:
            return relief - find_lag(radius, helix, width)

        figures.append(
            _wrong("Were e taken from the wheel’s other corner", other(**values), find_spread(other, values, digits))
        )
    if after:

        def drift(radius: float, helix: float, distance: float) -> float:
            return find_drifted_relief(radius, after / 2, relief, find_lag(radius, helix, distance), agree=agree)

        figures.append(
            formatting.angle_figure(
                f"Relief at {formatting.size(after, form.unit)}, rest left alone",
                drift(**axial["values"]),
                find_spread(drift, **axial),
            )
        )
    return figures


def _wrong(label: str, relief: float, expanded: float) -> Figure:
    return Figure(
        label, formatting.degrees(relief, 1), "the heel rubs" if relief <= 0 else "", formatting.sure_angle(expanded)
    )


def _height(what: str, below_mm: float, form: BookForm, expanded: float) -> Figure:
    where = "below centre" if below_mm >= 0 else "above centre"
    return formatting.length_figure(f"{what} {where}", abs(below_mm), form.unit, expanded)


def _cup_working(form: CupForm, setup: StylusSetup, distance: float, agree: bool) -> list[Line]:
    radius, unit, sign = form.mm("diameter") / 2, form.unit, "−" if agree else "+"
    gap = formatting.letters(unit, gap=form.mm("gap"), wheel=form.mm("wheel_width"), stylus=form.mm("stylus_width"))
    which = "e = gap, the hands agree" if agree else "e = gap + wheel + stylus, the hands differ"
    lag, relief, helix = formatting.degrees(setup.lag_rad, 2), formatting.degrees(form.rad("relief")), form.rad("helix")
    lines = [
        Line(
            which,
            gap,
            f"e = {formatting.fine_both(distance, unit)}",
            "the corner of least relief cuts the edge, the lowest point of the edge bears on the stylus",
        ),
        Line(
            "Δθ = e tan β / r",
            formatting.letters(unit, e=distance, r=radius) + f", β = {formatting.degrees(helix)}",
            f"Δθ = {lag}",
            "definition of the helix: its lead stays",
        ),
        Line(
            f"tip = r sin(α {sign} Δθ) below centre",
            f"α = {relief}, Δθ = {lag}",
            f"tip {_side(setup.tip_below_mm, unit)}",
            "a helix in space, cut by the wheel’s plane",
        ),
        Line(
            "without the lag: tip = r sin α",
            f"α = {relief}",
            f"tip {_side(setup.tip_below_ignoring_lag_mm, unit)}, which would grind "
            f"{formatting.degrees(setup.relief_ignoring_lag_rad, 1)}",
            "the same, Δθ = 0",
        ),
        Line(
            "∂α/∂e = tan β / r",
            "",
            f"{abs(math.degrees(setup.relief_per_distance_rad_mm)):.1f}° per mm of e",
            "slope of the line above",
        ),
    ]
    after = form.mm_if("after")
    if after:
        drifted = find_drifted_relief(radius, after / 2, form.rad("relief"), setup.lag_rad, agree=agree)
        lines.append(
            Line(
                f"α′ = asin(h / x) {'+' if agree else '−'} Δθ, the rest left where it is",
                formatting.letters(unit, x=after / 2, h=setup.tip_below_mm),
                f"α′ = {formatting.degrees(drifted)} at {formatting.size(after, unit)}",
                "the lead stays, so Δθ stays",
            )
        )
    return [*lines, formatting.budget("tip", form)]


def _side(below_mm: float, unit: Unit) -> str:
    return f"{formatting.fine_both(abs(below_mm), unit)} {'below' if below_mm >= 0 else 'above'} centre"


def _cup_legend() -> list[tuple[str, str]]:
    return [
        ("h", "height of the stylus tip from the tool’s centre"),
        ("α", "relief: how far the edge under the wheel stands below centre, as an angle"),
        ("Δθ", "lag: the turn of the edge from wheel to stylus"),
        ("e", "distance along the axis from the wheel’s cutting corner to the stylus’ bearing corner"),
    ]


def _cup_notes(form: CupForm, setup: StylusSetup, agree: bool) -> list[str]:
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
