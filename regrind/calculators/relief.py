"""Relief from an indicator's drop, and the drop to aim for, in each of the four ways of taking the distance."""

import math

from regrind.geometry.bibliography import RELIEF_TABLE, Reference
from regrind.geometry.errors import Refused
from regrind.geometry.handbook import find_handbook_relief
from regrind.geometry.relief import Way, aim_drop, find_drop, find_relief, read_relief
from regrind.geometry.units import Unit

from . import formatting
from .draw_relief import draw_relief
from .fields import CalculatorForm, angle, choice, digit, length
from .result import CalculatorResult, Figure, Table, WorkingStep, find_expanded

WAYS = [
    ("tangent", "along the tangent, square to the radius"),
    ("land", "along the ground land"),
    ("arc", "tool turned, along the circle"),
    ("traversed", "stylus traversed over a fixed tool, or end teeth"),
]
FIELDS = {
    "drop_mm": "drop",
    "distance_mm": "distance",
    "radius_mm": "diameter",
    "relief_rad": "relief",
    "tolerance_rad": "tolerance",
    "digit_mm": "drop_digit",
    "distance_u_mm": "distance_digit",
    "radius_u_mm": "diameter_digit",
    "drop_u_mm": "drop_u",
}
FORWARD = {
    Way.TANGENT: "d = r − √((r − w tan α)² + w²)",
    Way.LAND: "d = r − √(r² − 2 r w sin α + w²)",
    Way.ARC: "d = r (1 − cos α / cos(α − s/r))",
    Way.TRAVERSED: "d = w tan α",
}
BACKWARD = {
    Way.TANGENT: "tan α = (r − √((r − d)² − w²)) / w",
    Way.LAND: "sin α = (w² + 2 r d − d²) / (2 r w)",
    Way.ARC: "tan α = (r/(r − d) − cos(s/r)) / sin(s/r)",
    Way.TRAVERSED: "tan α = d / w",
}
BASIS: dict[Way, tuple[str, Reference | None]] = {
    Way.TANGENT: ("geometry of the section", RELIEF_TABLE),
    Way.LAND: ("geometry of the section: the cosine rule", None),
    Way.ARC: ("geometry of the section: the land’s distance from the axis", None),
    Way.TRAVERSED: ("right triangle", RELIEF_TABLE),
}
ROOT = math.sqrt(12)


class FromDrop(CalculatorForm):
    drop = length("Drop of the indicator", mm="0.054", inch=".0024", least_mm=-20, most_nm=20_000_000)
    distance = length("Distance behind the edge", mm="0.400", inch=".0200", most_nm=50_000_000)
    way = choice("How the distance is taken", WAYS, "tangent")
    diameter = length("Diameter at the edge", mm="10.000", inch=".5000", least_mm=0.1)
    drop_digit = digit("Drop read to")
    distance_digit = digit("Distance read to", mm="0.01", inch=".0005")
    diameter_digit = digit("Diameter read to", mm="0.01", inch=".0005")


class ForRelief(CalculatorForm):
    relief = angle("Relief wanted", "10")
    tolerance = angle("Give or take", "1", most=10)
    distance = length("Distance behind the edge", mm="0.400", inch=".0200", most_nm=50_000_000)
    way = choice("How the distance is taken", WAYS, "tangent")
    diameter = length("Diameter as ground", mm="10.000", inch=".5000", least_mm=0.1)
    land = length(
        "Land as ground",
        mm="0.600",
        inch=".0250",
        needed=False,
        most_nm=50_000_000,
        help_text="If known: the indicator has to stay on it.",
    )
    distance_digit = digit("Distance read to", mm="0.01", inch=".0005")
    diameter_digit = digit("Diameter read to", mm="0.01", inch=".0005")


def read_drop(form: FromDrop) -> CalculatorResult:
    """The relief that a drop shows, its uncertainty, and what the same drop means in the other ways."""
    drop, distance, radius, unit = form.mm("drop"), form.mm("distance"), form.mm("diameter") / 2, form.unit
    way = Way(form.cleaned_data["way"])
    reading = read_relief(
        drop,
        distance,
        way,
        radius,
        digit_mm=form.typed_mm("drop_digit"),
        drop_u_mm=form.typed_mm("drop_u"),
        distance_u_mm=form.mm("distance_digit") / ROOT,
        radius_u_mm=form.mm("diameter_digit") / 2 / ROOT,
    )
    figures = [formatting.angle_figure("Relief α", reading.relief_rad, reading.expanded_uncertainty_rad)]
    if reading.half_digit_rad:
        figures.append(Figure("Half a digit of the drop is worth", formatting.degrees(abs(reading.half_digit_rad))))
    numbers = formatting.letters(unit, r=radius, **{_w(way): distance}, d=drop)
    working = [
        WorkingStep(BACKWARD[way], numbers, f"α = {formatting.degrees(reading.relief_rad, 3)}", *BASIS[way]),
        formatting.budget("α", form),
    ]
    return CalculatorResult(
        figures,
        draw_relief(reading.relief_rad, distance, drop, way, radius, unit),
        working,
        _legend(way),
        _notes(2 * radius, unit),
        _other_ways(drop, distance, radius),
    )


def aim(form: ForRelief) -> CalculatorResult:
    """The drop to aim for at the final check, and those at the ends of the tolerance."""
    relief, distance, radius, unit = form.rad("relief"), form.mm("distance"), form.mm("diameter") / 2, form.unit
    way = Way(form.cleaned_data["way"])
    aimed = aim_drop(relief, form.rad("tolerance"), distance, way, radius, land_mm=form.mm_if("land"))
    tolerance = form.rad("tolerance")

    def figure(label: str, drop_mm: float, angle: float) -> Figure:
        expanded = find_expanded(
            lambda distance_mm, radius_mm: find_drop(angle, distance_mm, way, radius_mm),
            {"distance_mm": distance, "radius_mm": radius},
            {"distance_mm": form.mm("distance_digit"), "radius_mm": form.mm("diameter_digit") / 2},
        )
        return formatting.length_figure(label, drop_mm, unit, expanded)

    figures = [
        figure("Drop to aim for", aimed.drop_mm, relief),
        figure("At the least relief", aimed.least_mm, relief - tolerance),
        figure("At the most relief", aimed.most_mm, relief + tolerance),
    ]
    numbers = formatting.letters(unit, r=radius, **{_w(way): distance}) + f", α = {formatting.degrees(relief)}"
    working = [
        WorkingStep(FORWARD[way], numbers, f"d = {formatting.fine_both(aimed.drop_mm, unit)}", *BASIS[way]),
        formatting.budget("d", form),
    ]
    return CalculatorResult(
        figures,
        draw_relief(relief, distance, aimed.drop_mm, way, radius, unit),
        working,
        _legend(way),
        _notes(2 * radius, unit),
        _other_drops(relief, distance, radius, unit),
    )


def _other_ways(drop: float, distance: float, radius: float) -> Table:
    rows = []
    for code, word in WAYS:
        try:
            rows.append([word, formatting.degrees(find_relief(drop, distance, Way(code), radius), 2)])
        except Refused:
            rows.append([word, "no land can show that"])
    return Table(["Distance taken", "Relief"], rows, "The same drop, had the distance been taken otherwise")


def _other_drops(relief: float, distance: float, radius: float, unit: Unit) -> Table:
    rows = []
    for code, word in WAYS:
        try:
            rows.append([word, formatting.fine_both(find_drop(relief, distance, Way(code), radius), unit)])
        except Refused:
            rows.append([word, "no land reaches there"])
    return Table(["Distance taken", "Drop"], rows, "The same relief, the distance taken otherwise")


def _w(way: Way) -> str:
    return "s" if way is Way.ARC else "w"


def _legend(way: Way) -> list[tuple[str, str]]:
    drop = "how far the stylus drops: from the cutting circle to the land, towards the axis"
    if way is Way.TRAVERSED:
        drop = "how far the stylus drops on its straight way"
    legend = [
        ("α", "relief: from the tangent at the edge to the land"),
        ("d", drop),
        (_w(way), f"distance behind the edge, {dict(WAYS)[way]}"),
    ]
    return legend if way is Way.TRAVERSED else [*legend, ("r", "radius at the edge, half the diameter")]


def _notes(diameter: float, unit: Unit) -> list[str]:
    line = find_handbook_relief(diameter)
    if line is None:
        return ["The handbook’s table begins at 1/16 in (1.5875 mm): there is no figure for a smaller tool."]
    low, high = formatting.degrees(line.least_relief_rad, 0), formatting.degrees(line.most_relief_rad, 0)
    usual = low if low == high else f"{low} to {high}"
    return [
        f"For this diameter the table ({RELIEF_TABLE}) has {usual} of relief, checked at "
        f"{formatting.size(line.checking_distance_mm, unit)}, "
        f"on a land of {formatting.size(line.widest_land_mm, unit)} at "
        "most."
    ]
