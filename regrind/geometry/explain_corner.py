"""How the size of an option with a chamfer, a radius or a ball was worked out."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from regrind.geometry.cleanup import CutOption, is_beyond_reach
from regrind.geometry.corner_cuts import make_shape, make_spot
from regrind.geometry.explain_size import explain_diameter, explain_removal, explain_usable
from regrind.geometry.explain_step import NOTES, Number, Step
from regrind.geometry.profile import Shape, Spot, find_put_on_need, trace_need, trace_radius
from regrind.geometry.tool_state import ToolState
from regrind.geometry.units import NM_PER_MM

_SOURCE = NOTES.format("corner, ball, chamfer")
_NEED = {
    "square": "z",
    "chamfer": "z − max(0, w − (R − x))",
    "radius": "z where u ≤ 0, else z − ρ + √(ρ² − u²); u = x − (R − ρ)",
    "ball": "z − R + √(R² − x²)",
}
_RADIUS = {
    "square": "x",
    "chamfer": "x + max(0, w − (z − e))",
    "radius": "x where v ≤ 0, else x + ρ − √(ρ² − v²); v = e + ρ − z",
    "ball": "x where x < z − e, else ((z − e)² + x²) / (2 (z − e))",
}


def explain_corner(tool_state: ToolState, cut_option: CutOption, stored: Mapping[str, Any]) -> Iterator[Step]:
    """What each mark asks of sides and end (z, x: its deepest point), and the sizes that follow; lengths in mm.

    stored: the option as the answer holds it.
    Source: each step names its own.

    >>> from regrind.geometry.cut_options import list_flank_options
    >>> from regrind.geometry.example import CORNER_CASE, work_first
    >>> state, stored = work_first(CORNER_CASE)
    >>> [step.name for step in explain_corner(state, list_flank_options(state)[0], stored)][:2]
    ['radius_of_mark', 'radius_of_mark']
    """
    marks = [index for index in range(len(tool_state.case.marks)) if not is_beyond_reach(tool_state, index)]
    shape = make_shape(cut_option.corner)
    if cut_option.sides:
        yield from (_explain_radius(tool_state, shape, index) for index in marks)
        formula = "D' = 2 (min(r_i, R of the marks that the sides take) − finish)"
        yield explain_diameter(tool_state, cut_option, stored, formula)
    yield from (_explain_need(tool_state, cut_option, shape, index) for index in marks)
    yield from _explain_old_corner(tool_state, cut_option, shape)
    yield _explain_cut_back(tool_state, cut_option, stored)
    if not cut_option.sides:
        yield explain_diameter(tool_state, cut_option, stored, "")
    yield _explain_form(stored)
    yield from explain_removal(tool_state, stored)
    yield explain_usable(tool_state, stored)
    if stored.get("gash_left_mm") is not None:
        yield _explain_gash(tool_state, stored)


def _explain_radius(tool_state: ToolState, shape: Shape, index: int) -> Step:
    """The largest radius of the sides that takes a mark with the end cut for its own damage."""
    spot, end = make_spot(tool_state, index), tool_state.ends.own_nm / NM_PER_MM
    radius, (angle, *_) = trace_radius(shape, end, spot)
    mark = Number("mark", index + 1, "")
    if math.isinf(radius):
        return Step("radius_of_mark", "any: the end takes it", (mark, Number("e", end)), None, "mm", _SOURCE)
    if angle is None:
        behind = (mark, Number("x", radius - shape.size_mm), Number("ρ", shape.size_mm))
        return Step("radius_of_mark", "x + ρ, just behind the new end", behind, radius, "mm", _SOURCE)
    numbers = (mark, *_name_point(spot, angle), Number("e", end), *_name_size(shape))
    return Step("radius_of_mark", _RADIUS[shape.form], numbers, radius, "mm", _SOURCE)


def _explain_need(tool_state: ToolState, cut_option: CutOption, shape: Shape, index: int) -> Step:
    """The least cut-back that takes a mark on these sides, before the finish."""
    spot, finish = make_spot(tool_state, index), tool_state.case.allow.finish_radial_nm / NM_PER_MM
    sides = cut_option.worst.radius_mm + finish if cut_option.sides else spot.tooth_mm
    need, (angle, *_) = trace_need(shape, sides, spot)
    mark, over = Number("mark", index + 1, ""), Number("R", sides)
    if math.isinf(need):
        return Step("need_of_mark", "none: the sides take it", (mark, over), None, "mm", _SOURCE)
    if angle is None:
        arc = shape.radius_at(sides)
        inside = (mark, Number("z", need + arc), Number("ρ", arc))
        return Step("need_of_mark", "z − ρ, just inside the sides", inside, need, "mm", _SOURCE)
    numbers = (mark, *_name_point(spot, angle), over, *_name_size(shape))
    return Step("need_of_mark", _NEED[shape.form], numbers, need, "mm", _SOURCE)


def _name_point(spot: Spot, angle_rad: float) -> tuple[Number, Number]:
    z, x = spot.point(angle_rad)
    return Number("z", z), Number("x", x)


def _name_size(shape: Shape) -> tuple[Number, ...]:
    letter = {"chamfer": "w", "radius": "ρ"}.get(shape.form)
    return (Number(letter, shape.size_mm),) if letter else ()


def _explain_old_corner(tool_state: ToolState, cut_option: CutOption, shape: Shape) -> Iterator[Step]:
    """A sharper corner lies within the old one: the end goes back until nothing has to be put on."""
    old, finish = make_shape(tool_state.case.tool.corner), tool_state.case.allow.finish_radial_nm / NM_PER_MM
    if old in (shape, Shape("square")):
        return
    for tooth, radius in enumerate(tool_state.worst.teeth.radii_mm or (), 1):
        sides = cut_option.worst.radius_mm + finish if cut_option.sides else radius
        need = find_put_on_need(old, shape, radius, sides)
        named = (Number("tooth", tooth, ""), Number("r_i", radius), Number("R", sides))
        if math.isinf(need):
            yield Step("need_of_corner", "none: nothing has to be put on", named, None, "mm", _SOURCE)
        elif old.form == "chamfer":
            numbers = (*named, Number("w", old.size_mm), Number("w'", shape.size_mm))
            yield Step("need_of_corner", "w − w' − (r_i − R)", numbers, need, "mm", _SOURCE)
        else:
            sharper = Number("Δ", old.radius_at(radius) - shape.radius_at(sides))
            formula = "Δ − √(Δ² − b²), b = Δ − (r_i − R)"
            yield Step("need_of_corner", formula, (*named, sharper), need, "mm", _SOURCE)


def _explain_cut_back(tool_state: ToolState, cut_option: CutOption, stored: Mapping[str, Any]) -> Step:
    finish = Number("finish_end", tool_state.case.allow.finish_end_nm / NM_PER_MM)
    if not math.isfinite(cut_option.depth_nm):
        return Step("cut_back", "c = 0, the end is left alone", (finish,), stored["cut_back_mm"], "mm", _SOURCE)
    numbers = (Number("X", cut_option.depth_nm / NM_PER_MM), finish)
    formula = "c = max(0, X + finish_end), X the largest need"
    return Step("cut_back", formula, numbers, stored["cut_back_mm"], "mm", _SOURCE)


def _explain_form(stored: Mapping[str, Any]) -> Step:
    words = {"chamfer": "chamfer, the leg", "radius": "radius", "ball": "ball, half the diameter"}
    formula = words[stored["corner_form"]] + ("" if stored["corner"] else ", as it is")
    return Step("corner_after", formula, (), stored["corner_size_mm"], "mm", _SOURCE)


def _explain_gash(tool_state: ToolState, stored: Mapping[str, Any]) -> Step:
    gash = Number("gash", (tool_state.case.tool.gash_length_nm or 0) / NM_PER_MM)
    numbers = (gash, Number("c", stored["cut_back_mm"]))
    return Step("gash_left", "max(0, gash − c)", numbers, stored["gash_left_mm"], "mm", NOTES.format("end teeth"))
