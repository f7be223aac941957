"""Twist drills with two flutes, ground on the point."""

import math
from collections.abc import Iterator
from functools import cache
from typing import Any

from regrind.geometry.drills import find_point_length
from regrind.geometry.kinds.drill_case import CHIP_ROOM, WEB_MOST, WEB_TAPER, WORK, Drill, read_drill
from regrind.geometry.kinds.drill_cut import find_least_cut_back
from regrind.geometry.kinds.drill_steps import explain_drill
from regrind.geometry.kinds.kind import Checked, Kind, Option, Terms, take
from regrind.geometry.kinds.quantity import Quantity
from regrind.geometry.tables import rows
from regrind.geometry.units import NM_PER_IN, NM_PER_MM

_IN = NM_PER_IN / NM_PER_MM
_BAND_ENDS_MM = tuple(inch * _IN for inch in (0.039, 0.096, 0.120, 1 / 4, 11 / 32, 1 / 2, 3 / 4))
_CUT_OFF_MM = _IN / 4
_SAME = 1e-9


def find_lip_relief(diameter_mm: float, work: str) -> float:
    """The lip relief in degrees at the periphery for a diameter; work: hard, general or soft.

    Within 2 degrees. Source: shared/07_drill_geometry.csv, a handbook's table from memory.

    >>> find_lip_relief(9.98585, "general")
    12.0
    """
    band = sum(diameter_mm - end > _SAME for end in _BAND_ENDS_MM)
    return _lip_reliefs(WORK[work])[band]


@cache
def _lip_reliefs(work: str) -> list[float]:
    """The table's column for some work, smallest drills first."""
    table = [row for row in rows("07_drill_geometry") if row["item"] == "lip relief at periphery by diameter"]
    return [float(row["low"]) for row in table if row["condition"].endswith(work)]


def _plan(drill: Drill, terms: Terms) -> list[Option]:
    ground = any(mark.length_mm for mark in drill.marks)
    cuts = find_least_cut_back(drill, terms) if ground else (Quantity(0.0),)
    checked = _find_checked(drill, terms, cuts)
    if checked["diameter"].value <= _SAME:
        return []
    return [_option(drill, terms, cuts[0].value, checked, ground=ground)]


def _option(drill: Drill, terms: Terms, cut: float, checked: dict[str, Checked], *, ground: bool) -> Option:
    point = drill.point
    half_rad = point.ground_half_point_rad if ground else point.half_point_rad
    diameter, oversize = checked["diameter"].value, terms.limits.get("oversize")
    values = {
        "cut_back_mm": cut,
        "length_lost_mm": cut + drill.margins.diameter_mm / 2 * point.shift if ground else 0.0,
        "diameter_mm": diameter,
        "usable_length_mm": checked["usable_length"].value,
        "point_length_mm": find_point_length(diameter, 2 * half_rad),
        "hole_depth_mm": checked["hole_depth"].value,
        **_find_web(drill, cut),
        "lip_relief_deg": find_lip_relief(diameter, point.work),
        "lip_height_most_mm": None if oversize is None else oversize / math.tan(half_rad),
    }
    grind = ("point",) if ground else ()
    return Option(grind, values, checked, tuple(_find_asks(drill, cut)), tuple(_find_tells(drill, cut)))


def _find_checked(drill: Drill, terms: Terms, cuts: tuple[Quantity, ...]) -> dict[str, Checked]:
    flute = terms.read(drill.point.flute_mm, "flute_length")
    usual = terms.read(drill.margins.diameter_mm, "diameter") * CHIP_ROOM
    room = usual if drill.chip_room_mm is None else Quantity(drill.chip_room_mm)
    asks = ("rests_on_default_chip_room",) if drill.chip_room_mm is None else ()
    diameters = tuple(drill.margins.find_diameter(cut, terms) for cut in cuts)
    return {
        "usable_length": Checked(tuple(flute - cut for cut in cuts), terms.typical_mm),
        "diameter": drill.margins.check_diameter(diameters, terms),
        "hole_depth": Checked(tuple(flute - cut - room for cut in cuts), terms.typical_mm, asks=asks, lasts=False),
    }


def _find_web(drill: Drill, cut_mm: float) -> dict[str, Any]:
    """Web and chisel edge after the cut, and whether the web is to be thinned; None where the web is not known."""
    web, chisel = drill.point.web_mm, drill.point.chisel_rad
    if web is None:
        return {"web_mm": None, "chisel_edge_mm": None, "thin_web": None}
    after = web + take(drill.point.web_taper_mm, WEB_TAPER).value * cut_mm / 100
    most = WEB_MOST * drill.margins.diameter_mm if drill.web_most_mm is None else drill.web_most_mm
    edge = None if chisel is None else after / math.sin(chisel)
    return {"web_mm": after, "chisel_edge_mm": edge, "thin_web": after - most > _SAME}


def _find_asks(drill: Drill, cut_mm: float) -> Iterator[str]:
    if drill.margins.is_read_on_wear():
        yield "diameter_read_on_wear"
    if cut_mm - drill.point.flute_mm / 2 > _SAME:
        yield "most_of_the_flute"


def _find_tells(drill: Drill, cut_mm: float) -> Iterator[str]:
    if cut_mm - _CUT_OFF_MM >= -_SAME:
        yield "cut_off_first"
    if drill.point.coolant_holes:
        yield "coolant_holes"


KIND = Kind(
    names=("drill",),
    limits={"usable_length": None, "diameter": None, "hole_depth": None, "oversize": None},
    typical="cut_back",
    read=read_drill,
    plan=_plan,
    explain=explain_drill,
)
