"""The page of relief: the angle behind a drop of the indicator, and the drop of an angle."""
import math

from django import forms
from django.utils.safestring import SafeString

from regrind.geometry.errors import Refused
from regrind.geometry.relief import Way, find_drop, read_relief
from regrind.shop.forms import AngleText, LengthText

from ..drawings import svg
from .answers import Answer, BookForm, angle, degrees, in_unit, length

WAYS = [("tangent", "along the tangent"), ("land", "along the land"), ("arc", "by turning the tool, as an arc"),
        ("traversed", "traversed along the end tooth")]
FORMULAS = {
    "tangent": "drop = r \u2212 √((r \u2212 w tan α)² + w²)",
    "land": "drop = r \u2212 √(r² \u2212 2 r w sin α + w²)",
    "arc": "drop = r (1 \u2212 cos α / cos(α \u2212 w / r))",
    "traversed": "drop = w tan α",
}


class DropForm(BookForm):
    example = {"diameter": ".5 in", "distance": ".020 in", "way": "tangent", "relief": "9", "digit": ".0001 in"}
    diameter = LengthText(label="Diameter over the edges", required=False, most_nm=1_000_000_000)
    distance = LengthText(label="Distance behind the edge", most_nm=100_000_000)
    way = forms.ChoiceField(label="Distance taken", choices=WAYS)
    drop = LengthText(label="Drop that was read", required=False, least_nm=-100_000_000, most_nm=100_000_000,
                      help_text="leave empty to find the drop of a relief")
    relief = AngleText(label="Radial relief", required=False, least=-89, most=89,
                       help_text="used where no drop was read")
    digit = LengthText(label="Indicator reads to", required=False, most_nm=1_000_000)


def work_out(form: DropForm) -> Answer:
    """The relief where a drop was read, else the drop of the relief given."""
    way = Way(form.cleaned_data["way"])
    radius_mm = None if way is Way.TRAVERSED else form.mm("diameter") / 2
    if form.cleaned_data["drop"] is not None:
        return _from_drop(form, way, radius_mm)
    if form.cleaned_data["relief"] is None:
        raise Refused("drop", "or a relief is needed")
    return _from_relief(form, way, radius_mm)


def _digit_mm(form: DropForm) -> float:
    return form.mm("digit") if form.cleaned_data["digit"] else 0.0


def _from_drop(form: DropForm, way: Way, radius_mm: float | None) -> Answer:
    digit_mm = _digit_mm(form)
    read = read_relief(form.mm("drop"), form.mm("distance"), way, radius_mm, digit_mm=digit_mm)
    sure = (f"± {degrees(read.expanded_uncertainty_rad)} (k = 2), from the indicator's digit alone; "
            f"half a digit is {degrees(read.half_digit_rad)}" if digit_mm else
            "Say what the indicator reads to, and the page says how sure the angle is.")
    return Answer(angle("Radial relief", read.relief_rad), sure, FORMULAS[way] + ", solved for α", SOURCE,
                  _draw(form, read.relief_rad, form.mm("drop")))


def _from_relief(form: DropForm, way: Way, radius_mm: float | None) -> Answer:
    relief_rad, distance_mm, digit_mm = form.rad("relief"), form.mm("distance"), _digit_mm(form)
    drop_mm = find_drop(relief_rad, distance_mm, way, radius_mm)
    sure = "Say what the indicator reads to, and the page says what a digit is worth."
    if digit_mm:
        read = read_relief(drop_mm, distance_mm, way, radius_mm, digit_mm=digit_mm)
        sure = (f"An indicator of this digit reads the drop to ± {in_unit(digit_mm / 2, form.unit)}, "
                f"± {degrees(read.half_digit_rad)} of relief")
    return Answer(length("Drop of the indicator", drop_mm, form.unit), sure, FORMULAS[way], SOURCE,
                  _draw(form, relief_rad, drop_mm))


SOURCE = "The section's geometry (Pythagoras). The distance along the tangent is how printed tables of drops are made."


def _draw(form: DropForm, relief_rad: float, drop_mm: float) -> SafeString:
    """The land falls away behind the edge; the figures are the true ones, the angle is drawn within reason."""
    shown_rad = max(-0.5, min(0.5, relief_rad))
    edge, run = (60.0, 70.0), 240.0
    heel = (edge[0] + run, edge[1] + run * math.tan(shown_rad))
    parts = [
        svg.path([edge, heel, (heel[0], 210), (edge[0] + 30, 210)], "body"), svg.line(edge, heel, "will"),
        svg.line(edge, (edge[0] + 30, 210), "was"), svg.line((30, edge[1]), (330, edge[1]), "centre"),
        svg.line((heel[0], edge[1]), heel, "limit"),
        svg.text((edge[0], 40), f"distance {in_unit(form.mm('distance'), form.unit)}"),
        svg.text((heel[0] + 8, (edge[1] + heel[1]) / 2 + 5), in_unit(drop_mm, form.unit)),
        svg.text((120, 180), f"relief {degrees(relief_rad)}", look="note"),
    ]
    return svg.wrap(420, 220, "The land behind the edge, not to scale, with the drop at the distance", parts)
