"""How a reamer's plan was worked out, step by step."""

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from regrind.geometry.explain_step import Number, Step
from regrind.geometry.kinds.kind import Terms, take

if TYPE_CHECKING:
    from regrind.geometry.kinds.reamer import Reamer

_NOTES = "derived (notes on further kinds, reamers)"
_RULE = "ISO 522 / DIN 1420: 15 % and 35 % of the hole's tolerance, each up to a whole micrometre"
_FORMULAS = {
    "worn_margin": "worn margin: all of it, along the axis",
    "chip": "chip: n / sin κ",
    "wear_land": "wear land: VB tan α / sin κ",
}


def explain_reamer(reamer: "Reamer", terms: Terms, stored: Mapping[str, Any]) -> Iterator[Step]:
    """The steps of one stored option, in the order to check them.

    Source: each step names its own.

    >>> from regrind.geometry.kinds.example import read_example
    >>> stored = {"cut_back_mm": 0.7, "chamfer_length_mm": 2.2, "end_cut_mm": 0.0, "diameter_mm": 10.0, "hole": None,
    ...     "front_diameter_mm": 5.6, "usable_length_mm": 40.0, "grind": ["chamfer"]}
    >>> [step.name for step in explain_reamer(*read_example("reamer"), stored)][-1]
    'front_diameter'
    """
    angle = Number("κ", math.degrees(reamer.chamfer.angle_rad), "°")
    cut = Number("c", stored["cut_back_mm"])
    for mark in (mark for mark in reamer.marks if mark.length_mm):
        numbers = (Number("length", mark.length_mm), angle)
        need = _find_need(reamer, mark.damage_kind, mark.length_mm)
        yield Step("need_of_wear", _FORMULAS[mark.damage_kind], numbers, need, "mm", _NOTES)
    finish = (Number("finish", reamer.finish_mm),) if stored["grind"] else ()
    yield Step("cut_back", "the largest of these and the finish", finish, cut.value, "mm", _NOTES)
    yield from _explain_diameter(reamer, stored, cut)
    lengths = (Number("F", reamer.flute_mm), cut, Number("l", reamer.chamfer.length_mm))
    yield Step("usable_length_after", "F − l − c", lengths, stored["usable_length_mm"], "mm", _NOTES)
    chamfer = (Number("l", reamer.chamfer.length_mm), cut, Number("off the front", stored["end_cut_mm"]))
    yield Step("chamfer_after", "l + c − what the front loses", chamfer, stored["chamfer_length_mm"], "mm", _NOTES)
    front = (Number("D", stored["diameter_mm"]), Number("l", stored["chamfer_length_mm"]), angle)
    yield Step("front_diameter", "D − 2 l tan κ", front, stored["front_diameter_mm"], "mm", _NOTES)


def _find_need(reamer: "Reamer", damage_kind: str, length_mm: float) -> float:
    """A mark's need without its uncertainty."""
    if damage_kind == "worn_margin":
        return length_mm
    depth = length_mm * (math.tan(reamer.chamfer.relief_rad or 0.0) if damage_kind == "wear_land" else 1.0)
    return depth / math.sin(reamer.chamfer.angle_rad)


def _explain_diameter(reamer: "Reamer", stored: Mapping[str, Any], cut: Number) -> Iterator[Step]:
    margins = reamer.margins
    taper = Number("t", take(margins.back_taper_mm, margins.usual_taper).value)
    numbers = (Number("D", margins.diameter_mm), taper, Number("at", margins.diameter_at_mm), cut)
    down = "margins" in stored["grind"]
    formula = "the smaller of a new reamer's upper size and D + t (at − c)/100 less twice the finish"
    formula = formula if down else "D + t (at − c) / 100"
    yield Step("diameter_after", formula, numbers, stored["diameter_mm"], "mm", margins.usual_taper.source)
    if hole := stored["hole"]:
        sizes = (Number("hole from", hole["hole_lower_mm"]), Number("to", hole["hole_upper_mm"]))
        yield Step("reamer_upper", "hole's upper − 15 % IT", sizes, hole["reamer_upper_mm"], "mm", _RULE)
        upper = (Number("upper", hole["reamer_upper_mm"]),)
        yield Step("reamer_lower", "upper − 35 % IT", upper, hole["reamer_lower_mm"], "mm", _RULE)
        wear = (Number("D", stored["diameter_mm"]), Number("hole's lower", hole["hole_lower_mm"]))
        yield Step("wear_left", "D − the hole's lower size", wear, hole["wear_left_mm"], "mm", _NOTES)
