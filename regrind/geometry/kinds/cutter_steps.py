"""How a cutter's plan was worked out, step by step."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from regrind.geometry.explain_step import Number, Step
from regrind.geometry.kinds.cutter_case import PERIPHERY, SIDES, Cutter
from regrind.geometry.kinds.cutter_worst import find_worst
from regrind.geometry.kinds.kind import Terms

_NOTES = "derived (notes on further kinds, side cutters)"
_FACE = "geometry-notes, a face without curvature"


def explain_cutter(cutter: Cutter, terms: Terms, stored: Mapping[str, Any]) -> Iterator[Step]:
    """The steps of one stored option, in the order to check them.

    Source: each step names its own.

    >>> from regrind.geometry.kinds.example import CASES, read_example
    >>> from regrind.geometry.kinds.plan import answer_case
    >>> from regrind.geometry.kinds.registry import find_kind
    >>> case = CASES["side-and-face cutter"]
    >>> option = answer_case(case, find_kind(case))["options"][0]
    >>> [step.name for step in explain_cutter(*read_example("side-and-face cutter"), option)][:3]
    ['rim_radius', 'removal_radial', 'diameter_after']
    """
    radius = stored["diameter_mm"] / 2
    yield _explain_rim(cutter, terms, stored, radius)
    half, after = Number("r", cutter.diameter_mm / 2), Number("R", radius)
    yield Step("removal_radial", "r − R", (half, after), stored["removal_radial_mm"], "mm", _NOTES)
    yield Step("diameter_after", "2 R", (after,), stored["diameter_mm"], "mm", _NOTES)
    yield _explain_width(cutter, stored)
    yield from _explain_heights(cutter, stored, half, after)
    yield from _explain_tooth(cutter, stored, half, after)


def _explain_rim(cutter: Cutter, terms: Terms, stored: Mapping[str, Any], radius: float) -> Step:
    numbers, formula = [Number("r", cutter.diameter_mm / 2)], "the periphery is left alone"
    worst = next((worst for worst in find_worst(cutter, terms, stored) if worst.surface == PERIPHERY), None)
    if worst:
        height = "below the highest" if worst.read else "below the highest at most, not read"
        numbers += [Number(f"tooth {worst.tooth}, {height}", worst.below_mm), Number("its mark", worst.depth_mm)]
        numbers += [Number("finish", cutter.finish_radial_mm)]
        formula = "r − how low the worst tooth stands − how far in its mark goes − the finish"
    return Step("rim_radius", formula, tuple(numbers), radius, "mm", _NOTES)


def _explain_width(cutter: Cutter, stored: Mapping[str, Any]) -> Step:
    numbers = [Number("W", cutter.width_mm)]
    for side in (side for side in SIDES if side in stored["grind"]):
        numbers += [Number(f"{side} side", mark.depth_mm) for mark in cutter.side_marks if mark.surface == side]
        numbers += [Number("its runout", cutter.side_tir_mm[side]), Number("finish", cutter.finish_side_mm)]
    return Step("width_after", "W − what each ground side loses", tuple(numbers), stored["width_mm"], "mm", _NOTES)


def _explain_heights(cutter: Cutter, stored: Mapping[str, Any], half: Number, after: Number) -> Iterator[Step]:
    if cutter.tooth.gullet_mm is not None:
        numbers = (Number("gullet", cutter.tooth.gullet_mm), half, after)
        yield Step("gullet_after", "gullet − (r − R)", numbers, stored["gullet_depth_mm"], "mm", _NOTES)
    if cutter.tooth.neck_mm is not None:
        reach = (after, Number("neck", cutter.tooth.neck_mm))
        yield Step("reach_after", "R − neck / 2", reach, stored["reach_mm"], "mm", _NOTES)


def _explain_tooth(cutter: Cutter, stored: Mapping[str, Any], half: Number, after: Number) -> Iterator[Step]:
    if cutter.tooth.rake_rad is None or stored["rake_deg"] is None:
        return
    rake = Number("γ", math.degrees(cutter.tooth.rake_rad), "°")
    yield Step("rake_on_face", "sin γ₁ = r sin γ / R", (half, rake, after), stored["rake_deg"], "°", _FACE)
    if stored["primary_land_mm"] is not None and cutter.tooth.land_mm is not None:
        land = (Number("land", cutter.tooth.land_mm), half, after)
        formula = "the land between the new edge and the heel"
        yield Step("land_after", formula, land, stored["primary_land_mm"], "mm", _FACE)
