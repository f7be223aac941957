"""How a drill's plan was worked out, step by step."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from regrind.geometry.explain_step import Number, Step
from regrind.geometry.kinds.drill_case import BACK_TAPER, CHIP_ROOM, HELIX, WEB_TAPER, Drill
from regrind.geometry.kinds.drill_cut import find_need
from regrind.geometry.kinds.kind import Terms, take
from regrind.geometry.kinds.marks import Mark
from regrind.geometry.kinds.quantity import Quantity

_NOTES = "derived (notes on further kinds, drills)"
_FORMULAS = {
    "lip_chip": "n / sin κ₀ − (a + n cos κ₀) Δ",
    "wear_land": "VB tan α / (1 − tan α tan γ), the helix as rake",
    "chisel_depth": "e − r Δ",
}


def explain_drill(drill: Drill, terms: Terms, stored: Mapping[str, Any]) -> Iterator[Step]:
    """The steps of one stored option, in the order to check them.

    Source: each step names its own.

    >>> from regrind.geometry.kinds.example import read_example
    >>> drill, terms = read_example("drill")
    >>> stored = {"grind": [], "cut_back_mm": 0.0, "length_lost_mm": 0.0, "diameter_mm": 9.985}
    >>> next(explain_drill(drill, terms, stored)).name
    'need_of_wear'
    """
    corner = terms.read(drill.margins.diameter_mm, "diameter") * (drill.point.shift / 2)
    for mark in drill.marks:
        if mark.length_mm:
            yield _explain_need(mark, drill, find_need(mark, drill, terms, corner).value)
    yield from _explain_cut(drill, corner, stored)
    yield from _explain_after(drill, stored)
    yield from _explain_web(drill, stored)
    yield from _explain_point(drill, terms, stored)


def _explain_need(mark: Mark, drill: Drill, need_mm: float) -> Step:
    numbers = [Number("n" if mark.damage_kind == "lip_chip" else "length", mark.length_mm)]
    if mark.damage_kind == "lip_chip":
        numbers += [Number("a", mark.at_mm), Number("κ₀", math.degrees(drill.point.half_point_rad), "°")]
    if mark.damage_kind == "wear_land":
        relief, helix = math.degrees(drill.point.lip_relief_rad or 0.0), take(drill.point.helix_deg, HELIX).value
        numbers += [Number("α", relief, "°"), Number("γ", helix, "°")]
    named = mark.damage_kind.replace("_", " ")
    formula = _FORMULAS.get(mark.damage_kind, "all of it, along the axis")
    return Step("need_of_wear", f"{named}: {formula}", tuple(numbers), need_mm, "mm", _NOTES)


def _explain_cut(drill: Drill, corner: Quantity, stored: Mapping[str, Any]) -> Iterator[Step]:
    cut = stored["cut_back_mm"]
    numbers = (Number("−rΔ", -corner.value), Number("finish", drill.finish_mm)) if stored["grind"] else ()
    formula = "the largest of these, 0 and −rΔ, and the finish" if stored["grind"] else "nothing is worn"
    yield Step("cut_back", formula, numbers, cut, "mm", _NOTES)
    lost = (Number("c", cut), Number("rΔ", corner.value if stored["grind"] else 0.0))
    yield Step("length_lost", "c + rΔ", lost, stored["length_lost_mm"], "mm", _NOTES)


def _explain_after(drill: Drill, stored: Mapping[str, Any]) -> Iterator[Step]:
    margins, cut = drill.margins, Number("c", stored["cut_back_mm"])
    taper = Number("t", take(margins.back_taper_mm, BACK_TAPER).value)
    numbers = (Number("D", margins.diameter_mm), taper, Number("at", margins.diameter_at_mm), cut)
    yield Step("diameter_after", "D + t (at − c) / 100", numbers, stored["diameter_mm"], "mm", BACK_TAPER.source)
    flute = Number("flute", drill.point.flute_mm)
    yield Step("usable_length_after", "flute − c", (flute, cut), stored["usable_length_mm"], "mm", _NOTES)
    room_mm = CHIP_ROOM * margins.diameter_mm if drill.chip_room_mm is None else drill.chip_room_mm
    source = "shared/29_kinds_published.csv: depth of hole = flute length less 1.5 diameters"
    parts = (flute, cut, Number("room for chips", room_mm))
    yield Step("hole_depth_after", "flute − c − room", parts, stored["hole_depth_mm"], "mm", source)


def _explain_web(drill: Drill, stored: Mapping[str, Any]) -> Iterator[Step]:
    if drill.point.web_mm is None:
        return
    taper = Number("t_w", take(drill.point.web_taper_mm, WEB_TAPER).value)
    numbers = (Number("w", drill.point.web_mm), taper, Number("c", stored["cut_back_mm"]))
    yield Step("web_after", "w + t_w c / 100", numbers, stored["web_mm"], "mm", WEB_TAPER.source)


def _explain_point(drill: Drill, terms: Terms, stored: Mapping[str, Any]) -> Iterator[Step]:
    half = drill.point.ground_half_point_rad if stored["grind"] else drill.point.half_point_rad
    angle, diameter = Number("κ", math.degrees(half), "°"), Number("D", stored["diameter_mm"])
    yield Step("point_length", "(D / 2) cot κ", (diameter, angle), stored["point_length_mm"], "mm", _NOTES)
    table = "shared/07_drill_geometry.csv: lip relief by diameter, ± 2°, from memory"
    yield Step("lip_relief", "by diameter and work", (diameter,), stored["lip_relief_deg"], "°", table)
    if stored["lip_height_most_mm"] is not None:
        numbers = (Number("oversize", terms.limits["oversize"]), angle)
        yield Step("lip_height", "oversize × cot κ", numbers, stored["lip_height_most_mm"], "mm", _NOTES)
