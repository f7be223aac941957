"""The setup card of cutters with teeth round a disc: tooth rest or wheel, the land's hollow, the sides."""

import math
import re
from collections.abc import Mapping
from typing import Any

from regrind.geometry.hollow import find_hollow_depth, find_mean_relief
from regrind.geometry.setup import find_rest_below, find_wheel_above
from regrind.geometry.units import NM_PER_MM, parse, to_nm
from regrind.paper import cautions
from regrind.shop.models import Wheel

from .card import Figure, Section, Work
from .cutter_teeth import SURFACES, say_deciding

STRAIGHT = ("1", "3", "14")  # FEPA shapes that grind on their periphery; the others on a rim or a side
REST = "The rest carries the tooth that is ground, its high point at the wheel's contact; both stand still while set."
STAGGERED = "Staggered teeth: all that lean one way first, then the others with the rest set over."
WEARS = "The wheel wears on the way round: half a turn on, and round again with the same setting."


def periphery_section(work: Work) -> Section:
    """The periphery: what comes off it, and how the rest or the wheel stands for its relief."""
    option = work.option
    figures = (
        Figure("Grind to", work.diameter_nm, first=True),
        Figure("Off the highest tooth, radial", work.radial_nm, first=True),
        *_list_deciding(work, "periphery"),
        Figure("Primary relief", text=_say_relief(work), note="read or known" if _relief(work) else ""),
        *_list_offsets(work),
        *_list_hollow(work),
        Figure("Gullet left", _nm(option["gullet_depth_mm"])),
        *work.passes(work.radial_nm or 0, "on the radius").figures,
    )
    steps = (
        "" if _relief(work) else "Read the relief first: without it the rest's height is not worked out.",
        REST,
        STAGGERED,
        "The land gets wider than usual: grind the secondary relief again." if option["secondary_needed"] else "",
        WEARS,
    )
    return Section("periphery", "Periphery", figures, tuple(step for step in steps if step), cautions.PERIPHERY)


def left_section(work: Work) -> Section:
    """The left side's teeth."""
    return _side_section(work, "left")


def right_section(work: Work) -> Section:
    """The right side's teeth."""
    return _side_section(work, "right")


def _side_section(work: Work, side: str) -> Section:
    stock_nm = find_side_stock_nm(work.case, side)
    figures = (
        Figure(f"Off the {side} side", stock_nm, first=True),
        Figure("Width after, both sides done", _nm(work.option["width_mm"])),
        *_list_deciding(work, side),
        *work.passes(stock_nm, "along the axis").figures,
    )
    steps = (
        "Every tooth of this side at one setting, with the relief and dish that it has.",
        "Measure the width across both sides before the last pass.",
    )
    return Section(side, f"{side.capitalize()} side", figures, steps, cautions.PERIPHERY)


def _list_deciding(work: Work, surface: str) -> tuple[Figure, ...]:
    """The tooth that decides there, to be watched while grinding."""
    rows = dict(say_deciding(work.case, work.option, work.unit))
    label = SURFACES[surface]
    return (Figure(label, text=rows[label]),) if label in rows else ()


def find_side_stock_nm(case: Mapping[str, Any], side: str) -> int:
    """What comes off a side: its deepest mark, its runout and the finish (notes on side cutters), nm."""
    depth = max((parse(mark["depth"]).nm for mark in case["damage"] if mark["surface"] == side), default=0)
    runout = parse(case["measured"].get(f"side_tir_{side}", "0 mm")).nm
    return depth + runout + parse(case["allow"]["finish_side"]).nm


def _relief(work: Work) -> float:
    degrees: float = work.tool.get("primary_relief_deg") or 0.0
    return degrees


def _say_relief(work: Work) -> str:
    return f"{_relief(work):g}°" if _relief(work) else "not read"


def _list_offsets(work: Work) -> tuple[Figure, ...]:
    """The tooth rest below the centre for a cup wheel, the wheel above it for a straight one; both without a wheel."""
    if not (_relief(work) and work.diameter_nm):
        return ()
    radius_mm, relief = work.diameter_nm / 2 / NM_PER_MM, math.radians(_relief(work))
    rest = Figure("Cup wheel: tooth rest below the centre", to_nm(find_rest_below(radius_mm, relief)))
    if work.wheel is None:
        return (rest,)
    if not is_straight(work.wheel):
        return (rest,)
    wheel_mm = work.wheel.diameter_nm / 2 / NM_PER_MM
    above = to_nm(find_wheel_above(radius_mm, relief, wheel_mm))
    return (Figure("Straight wheel: its centre above the tool's, the edge at centre height", above),)


def _list_hollow(work: Work) -> tuple[Figure, ...]:
    """How hollow a straight wheel leaves the land, and the relief that it comes to on the mean."""
    land_mm = work.option["primary_land_mm"]
    if work.wheel is None or not is_straight(work.wheel) or not (land_mm and _relief(work)):
        return ()
    wheel_mm = work.wheel.diameter_nm / 2 / NM_PER_MM
    mean = math.degrees(find_mean_relief(math.radians(_relief(work)), land_mm, wheel_mm))
    return (
        Figure("Relief from edge to heel", text=f"{mean:.1f}°", note="the land is hollow"),
        Figure("Hollow of the land", to_nm(find_hollow_depth(land_mm, wheel_mm))),
    )


def is_straight(wheel: Wheel) -> bool:
    """Whether a wheel grinds on its periphery, by its FEPA shape: 1A1, 3A1, 14A1; an unknown shape counts as a cup."""
    number = re.match(r"\d+", wheel.shape)
    return number is not None and number[0] in STRAIGHT


def _nm(mm: float | None) -> int | None:
    return None if mm is None else to_nm(mm)
