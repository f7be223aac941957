"""How an option on the face was worked out."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from regrind.geometry.damage import find_wear_depth
from regrind.geometry.explain_size import explain_usable
from regrind.geometry.explain_step import NOTES, Number, Step
from regrind.geometry.face_cuts import FaceOption, find_back, make_face_tooth
from regrind.geometry.face_grind import FaceTooth
from regrind.geometry.tool_state import ToolState
from regrind.geometry.units import NM_PER_MM

_SOURCE = NOTES.format("face grinding")


def explain_face(tool_state: ToolState, option: FaceOption, stored: Mapping[str, Any]) -> Iterator[Step]:
    """How far back the edge goes, and what radius, relief, rake, turn and stock follow (mm, degrees).

    stored: the option as the answer holds it.
    Source: each step names its own.

    >>> from regrind.geometry.example import CASE, work_first
    >>> from regrind.geometry.face_cuts import list_face_options
    >>> face = {"ways": ["face"], "damage": [{"tooth": 1, "from": "0 in", "to": "1 mm", "back": "0.2 mm"}]}
    >>> state, stored = work_first(CASE | face)
    >>> [step.name for step in explain_face(state, list_face_options(state)[0][0], stored)][:3]
    ['cut_back', 'back_of_mark', 'back_after']
    """
    tooth = make_face_tooth(tool_state)
    finish = Number("finish_end", tool_state.case.allow.finish_end_nm / NM_PER_MM)
    numbers = (Number("x", option.depth_nm / NM_PER_MM), finish)
    formula = "c = x + finish_end" if stored["end"] else "c = 0, the end is left alone"
    yield Step("cut_back", formula, numbers, stored["cut_back_mm"], "mm", _SOURCE)
    yield from (_explain_back(tool_state, tooth, index) for index in option.setters)
    yield _explain_back_after(tool_state, tooth, option)
    yield from _explain_edge(tooth, option, stored)
    yield from _explain_setup(tooth, option, stored)
    if stored["tooth_width_mm"] is not None:
        width = Number("width", (tool_state.case.tool.tooth_width_nm or 0) / NM_PER_MM)
        back = Number("b'", option.back_mm)
        yield Step("tooth_width_after", "width − b'", (width, back), stored["tooth_width_mm"], "mm", _SOURCE)
    yield explain_usable(tool_state, stored)


def _explain_back(tool_state: ToolState, tooth: FaceTooth, index: int) -> Step:
    """How far behind the edge the mark reaches that reaches farthest."""
    mark, named = tool_state.case.marks[index], (Number("mark", index + 1, ""),)
    back = find_back(tool_state, index)
    if mark.back_nm is not None:
        return Step("back_of_mark", "b as measured", named, back, "mm", "measured")
    width = (mark.wear_land_nm or 0) / NM_PER_MM
    depth = find_wear_depth(width, tooth.flank, tooth.rake_rad)
    numbers = (*named, Number("VB", width), Number("d", depth), _degrees("γ", tooth.rake_rad))
    return Step("back_of_mark", "b = VB + d tan γ", numbers, back, "mm", _SOURCE)


def _explain_back_after(tool_state: ToolState, tooth: FaceTooth, option: FaceOption) -> Step:
    if not option.setters:
        return Step("back_after", "b' = 0, no face is ground", (), option.back_mm, "mm", _SOURCE)
    finish = Number("f", tool_state.case.allow.finish_face_nm / NM_PER_MM)
    most = Number("b", find_back(tool_state, option.setters[0]) or 0.0)
    numbers = (most, finish, _degrees("α", tooth.flank.primary_rad), _degrees("γ", tooth.rake_rad))
    return Step("back_after", "b' = b + f cos α / cos(α + γ)", numbers, option.back_mm, "mm", _SOURCE)


def _explain_edge(tooth: FaceTooth, option: FaceOption, stored: Mapping[str, Any]) -> Iterator[Step]:
    """Diameter and relief at the new edge; on the secondary where it lies past the primary land."""
    back, radius = Number("b'", option.back_mm), Number("r", tooth.radius_mm)
    relief = tooth.flank.secondary_rad if option.faced.past_primary else tooth.flank.primary_rad
    angle = _degrees("α₂" if option.faced.past_primary else "α", relief or 0.0)
    after = Number("r'", option.faced.radius_mm)
    if tooth.is_spiral:
        numbers = (radius, back, angle)
        yield Step("diameter_after", "D' = 2 (r − b' tan α)", numbers, stored["diameter_mm"], "mm", _SOURCE)
        formula = "atan(r tan α / r')"
        yield Step("face_relief", formula, (radius, angle, after), stored["face_relief_deg"], "°", _SOURCE)
        return
    turned = _find_turned(tooth, option)
    drop = Number("D_b", tooth.radius_mm - math.sqrt(max(0.0, option.faced.radius_mm**2 - option.back_mm**2)))
    formula = "D' = 2 √(b'² + (r − D_b)²), D_b the flank's drop at b'"
    yield Step("diameter_after", formula, (back, radius, drop), stored["diameter_mm"], "mm", _SOURCE)
    formula = f"{angle.symbol} − φ, φ = atan(b' / (r − D_b))"
    yield Step("face_relief", formula, (angle, turned), stored["face_relief_deg"], "°", _SOURCE)


def _explain_setup(tooth: FaceTooth, option: FaceOption, stored: Mapping[str, Any]) -> Iterator[Step]:
    """Rake, and how the face is set up: set-over, turn, stock."""
    radius, rake = Number("r", tooth.radius_mm), _degrees("γ", tooth.rake_rad)
    over, after = Number("e", option.faced.set_over_mm), Number("r'", option.faced.radius_mm)
    turn = _degrees("τ", option.faced.turn_rad)
    turned = _find_turned(tooth, option)
    yield Step("set_over", "e = r sin γ", (radius, rake), stored["set_over_mm"], "mm", _SOURCE)
    yield Step("face_rake", "asin(e / r')", (over, after), stored["face_rake_deg"], "°", _SOURCE)
    formula = "τ = φ − asin(e / r') + γ"
    yield Step("face_turn", formula, (turned, over, after, rake), stored["face_turn_deg"], "°", _SOURCE)
    yield Step("face_stock", "e + r sin(τ − γ)", (over, radius, turn, rake), stored["face_stock_mm"], "mm", _SOURCE)


def _find_turned(tooth: FaceTooth, option: FaceOption) -> Number:
    """The angle about the axis from the old edge to the new one."""
    faced = option.faced
    return _degrees("φ", faced.turn_rad + math.asin(faced.set_over_mm / faced.radius_mm) - tooth.rake_rad)


def _degrees(symbol: str, angle_rad: float) -> Number:
    return Number(symbol, math.degrees(angle_rad), "°")
