"""Where the marks of a stored case lie along the tool, whether they were written as lengths or as angles on an arc."""

import math
from collections.abc import Mapping
from typing import Any

from regrind.shop.web import svg

WEAR_TO_DEPTH = 0.2  # how deep a wear land is beside a depth on a relief of some 12 degrees: for the drawing alone


def list_marks(case: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The marks on the teeth: those on the end have no place along it."""
    return [mark for mark in case["damage"] if "from" in mark or "from_deg" in mark]


def find_span(mark: Mapping[str, Any], case: Mapping[str, Any]) -> tuple[float, float]:
    """From where to where a mark lies, in mm back from the end."""
    if "from_deg" not in mark:
        return svg.mm_of(mark["from"]) or 0.0, svg.mm_of(mark["to"]) or 0.0
    arc = find_arc(case)
    start, to = (arc * (1 - math.cos(math.radians(mark[name]))) for name in ("from_deg", "to_deg"))
    return start, to


def find_depth(mark: Mapping[str, Any]) -> float:
    """How deep a mark is, in mm; a wear land about as deep as it comes out on a usual relief."""
    return svg.mm_of(mark.get("depth")) or (svg.mm_of(mark.get("wear_land")) or 0.0) * WEAR_TO_DEPTH


def find_arc(case: Mapping[str, Any]) -> float:
    """The radius in mm of the corner's arc, half the diameter on a ball; 0 where there is none."""
    corner = case["tool"].get("corner", {})
    if corner.get("form") == "ball":
        return (svg.mm_of(case["measured"]["diameter"]) or 0.0) / 2
    return svg.mm_of(corner.get("radius")) or 0.0
