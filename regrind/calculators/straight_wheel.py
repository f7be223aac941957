"""Where a straight wheel's centre stands to grind a relief with its periphery, and how hollow it leaves the land."""

from regrind.geometry.bibliography import WHEEL_HEIGHT
from regrind.geometry.hollow import find_hollow_depth, find_hollow_drop, find_mean_relief
from regrind.geometry.relief import Way, find_drop
from regrind.geometry.setup import find_wheel_above
from regrind.geometry.units import Unit

from . import formatting
from .draw_wheel import draw_straight_wheel
from .fields import CalculatorForm, angle, digit, length
from .result import CalculatorResult, Figure, WorkingStep, find_expanded

FIELDS = {
    "radius_mm": "diameter",
    "relief_rad": "relief",
    "wheel_radius_mm": "wheel",
    "below_mm": "edge_above",
    "land_mm": "land",
    "distance_mm": "land",
    "wheel_above_mm": "wheel",
}


class StraightForm(CalculatorForm):
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


def set_straight(form: StraightForm) -> CalculatorResult:
    """How far the straight wheel's centre stands above the tool's, and how hollow its periphery leaves the land."""
    radius, relief, unit = form.mm("diameter") / 2, form.rad("relief"), form.unit
    wheel, edge = form.mm("wheel") / 2, form.mm("edge_above")
    above = find_wheel_above(radius, relief, wheel, edge)
    side = "above" if above >= 0 else "below"
    label = f"Wheel’s centre {side} the tool’s"
    figures = [formatting.length_figure(label, abs(above), unit, _find_height_expanded(form))]
    working = [_explain_height(form, above)]
    land = form.mm_if("land")
    if land:
        working.append(_hollow(radius, land, relief, wheel, unit))
        figures.append(_mean_relief(form, land))
    working.append(formatting.budget("H", form))
    drawing = draw_straight_wheel(radius, wheel, edge, above, unit)
    return CalculatorResult(figures, drawing, working, _list_legend(edge))


def _find_height_expanded(form: StraightForm) -> float:
    relief = form.rad("relief")
    return find_expanded(
        lambda radius_mm, wheel_mm, edge_mm: find_wheel_above(radius_mm, relief, wheel_mm, edge_mm),
        {"radius_mm": form.mm("diameter") / 2, "wheel_mm": form.mm("wheel") / 2, "edge_mm": form.mm("edge_above")},
        {
            "radius_mm": form.mm("diameter_digit") / 2,
            "wheel_mm": form.mm("wheel_digit") / 2,
            "edge_mm": form.mm("edge_digit"),
        },
    )


def _explain_height(form: StraightForm, above: float) -> WorkingStep:
    lengths = {"r": form.mm("diameter") / 2, "R": form.mm("wheel") / 2, "y": form.mm("edge_above")}
    return WorkingStep(
        "H = y + R sin(α + asin(y / r))",
        formatting.letters(form.unit, **lengths) + f", α = {formatting.degrees(form.rad('relief'))}",
        f"H = {formatting.fine_both(above, form.unit)}",
        "tangents of wheel and tool at the edge",
        WHEEL_HEIGHT,
    )


def _list_legend(edge: float) -> list[tuple[str, str]]:
    return [
        ("H", "height of the wheel’s centre over the tool’s"),
        ("y", "height of the edge over the tool’s centre" if edge else "height of the edge over it, here 0"),
        ("R", "radius of the wheel"),
        ("r", "radius of the tool at the edge"),
    ]


def _mean_relief(form: StraightForm, land: float) -> Figure:
    relief, wheel = form.rad("relief"), form.mm("wheel") / 2
    expanded = find_expanded(
        lambda wheel_mm: find_mean_relief(relief, land, wheel_mm),
        {"wheel_mm": wheel},
        {"wheel_mm": form.mm("wheel_digit") / 2},
    )
    return formatting.angle_figure("Mean relief of the land", find_mean_relief(relief, land, wheel), expanded)


def _hollow(radius: float, land: float, relief: float, wheel: float, unit: Unit) -> WorkingStep:
    deep = find_hollow_depth(land, wheel)
    less = find_drop(relief, land, Way.LAND, radius) - find_hollow_drop(radius, land, relief, wheel)
    return WorkingStep(
        "hollow w²/(8R); mean relief α − asin(w/(2R))",
        formatting.letters(unit, w=land, R=wheel),
        f"hollow {formatting.fine(deep, unit)}; the heel drops {formatting.fine(less, unit)} less than on a flat land",
        "chord and arc of the wheel",
    )
