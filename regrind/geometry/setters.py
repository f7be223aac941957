"""How the radius after and the cut-back of an option follow what was measured."""

from collections.abc import Iterator

from regrind.geometry.cleanup import CutEdge, CutOption, Edge, RequiredRadius
from regrind.geometry.corner_cuts import make_shape, make_spot
from regrind.geometry.end_teeth import find_dish_rise
from regrind.geometry.flow import Flow
from regrind.geometry.profile_slopes import CornerSlopes, follow_need, follow_put_on, follow_radius
from regrind.geometry.tool_state import ToolState
from regrind.geometry.uncertainty import TAKEN, Setters
from regrind.geometry.units import NM_PER_MM

SAME_NM = 1e-3


def list_setters(tool_state: ToolState, cut_option: CutOption, need: RequiredRadius) -> list[Setters]:
    """Every tie of what sets the radius after and what sets the cut-back.

    need: `choice.worst` or `choice.best`. The corner's formulas are followed by small steps, the others exactly.
    Source: chain rule; derived in the notes.

    >>> from regrind.geometry.cleanup import list_options
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> tool_state = build_state(read_example())
    >>> cut_option = list_options(tool_state)[0]
    >>> [setters.cut_back.by_end_mark for setters in list_setters(tool_state, cut_option, cut_option.worst)]
    [{0: 1.0}]
    """
    edges, cuts = need.edges, cut_option.cut_edges
    if not tool_state.worst.teeth.read:  # teeth that nobody read follow the diameter alone, all alike
        edges = tuple({edge.mark: edge for edge in edges}.values())
        cuts = tuple({(edge.by, edge.by == "mark" and edge.index): edge for edge in cuts}.values())
    return [
        Setters(radius, cut)
        for edge in edges or (None,)
        for radius in _follow_radius(tool_state, cut_option, edge)
        for cut_edge in cuts or (None,)
        for cut in _follow_cut(tool_state, cut_option, need, cut_edge, radius)
    ]


def _follow_radius(tool_state: ToolState, cut_option: CutOption, edge: Edge | None) -> Iterator[Flow]:
    if edge is None:
        yield Flow(by_high=1.0)
    elif edge.taken:
        yield Flow(others={TAKEN: 1.0})
    elif edge.mark is None:
        yield Flow(by_tooth={edge.tooth: 1.0})
    elif cut_option.corner.form == "square":
        yield Flow(by_tooth={edge.tooth: 1.0}, by_mark={edge.mark: -1.0})
    else:
        yield from _follow_corner_radius(tool_state, cut_option, edge.mark)


def _follow_corner_radius(tool_state: ToolState, cut_option: CutOption, index: int) -> Iterator[Flow]:
    """The end's own need counts too: the farther the end is cut, the more the sides may keep."""
    old, new = make_shape(tool_state.case.tool.corner), make_shape(cut_option.corner)
    end = tool_state.ends.own_nm / NM_PER_MM
    for slopes in follow_radius(old, new, end, make_spot(tool_state, index), same=not cut_option.accepted):
        for end_flow in _follow_own_need(tool_state) if end > 0 and slopes.by_other else (Flow(),):
            flow = _as_flow(tool_state, index, slopes)
            flow.add(end_flow, slopes.by_other)
            yield flow


def _as_flow(tool_state: ToolState, index: int, slopes: CornerSlopes) -> Flow:
    """What comes through the mark, its tooth and the corner; `by_other` is the caller's."""
    tooth = tool_state.case.marks[index].tooth - 1
    others = _by_corner(tool_state, slopes.by_corner)
    return Flow(by_tooth={tooth: slopes.by_tooth}, by_mark={index: slopes.by_depth}, others=others)


def _by_corner(tool_state: ToolState, slope: float) -> dict[str, float]:
    return {"corner_radius": slope} if tool_state.case.tool.corner.form == "radius" else {}


def _follow_cut(
    tool_state: ToolState, cut_option: CutOption, need: RequiredRadius, edge: CutEdge | None, radius: Flow
) -> Iterator[Flow]:
    if edge is None:
        yield Flow()
    elif edge.by == "end":
        yield from follow_end(tool_state)
    else:
        yield from _follow_corner_cut(tool_state, cut_option, need, edge, radius)


def _follow_corner_cut(
    tool_state: ToolState, cut_option: CutOption, need: RequiredRadius, edge: CutEdge, radius: Flow
) -> Iterator[Flow]:
    """A mark, or a tooth's old corner, under sides that are ground to `need` or are left at the tooth's own radius."""
    old, new = make_shape(tool_state.case.tool.corner), make_shape(cut_option.corner)
    tooth = edge.index if edge.by == "corner" else tool_state.case.marks[edge.index].tooth - 1
    tooth_mm = (tool_state.worst.teeth.radii_mm or ())[tooth]
    sides = need.radius_mm + tool_state.case.allow.finish_radial_nm / NM_PER_MM if need.edges else tooth_mm
    through = radius if need.edges else Flow(by_tooth={tooth: 1.0})
    if edge.by == "corner":
        by_tooth, by_corner, by_sides = follow_put_on(old, new, tooth_mm, sides)
        flow = Flow(by_tooth={tooth: by_tooth}, others=_by_corner(tool_state, by_corner))
        flow.add(through, by_sides)
        yield flow
        return
    for slopes in follow_need(old, new, sides, make_spot(tool_state, edge.index), same=not cut_option.accepted):
        flow = _as_flow(tool_state, edge.index, slopes)
        flow.add(through, slopes.by_other)
        yield flow


def follow_end(tool_state: ToolState) -> Iterator[Flow]:
    """The end's own need or the shortest tooth, whichever is farther back, and what a flatter dish adds.

    Source: derivatives of what sets the cut-back.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> [flow.by_end_mark for flow in follow_end(build_state(read_example()))]
    [{0: 1.0}]
    """
    ends, dish = tool_state.ends, find_dish_rise(tool_state.case.tool.end_teeth)
    over = ends.own_nm - ends.lag_nm
    flows = list(_follow_own_need(tool_state)) if over >= 0 else []
    if over <= 0 and ends.lag_nm > 0:
        readings = tool_state.case.measured.end_readings_nm or ()
        flows += [_follow_lag(tool_state, tooth) for tooth, h in enumerate(readings) if -h == ends.lag_nm]
    for flow in flows or [Flow()]:
        flow.by_high += dish
        yield flow


def _follow_own_need(tool_state: ToolState) -> Iterator[Flow]:
    """Of every mark on the end that is deepest: its depth, and how far its tooth stands back."""
    readings = tool_state.case.measured.end_readings_nm or (0,)
    for index, need in enumerate(tool_state.ends.marks_nm):
        if need < tool_state.ends.own_nm - SAME_NM or need <= 0:
            continue
        tooth = tool_state.case.end_marks[index].tooth
        shortest = min(range(len(readings)), key=lambda place: readings[place])
        flow = _follow_lag(tool_state, shortest if tooth is None or len(readings) == 1 else tooth - 1)
        flow.by_end_mark[index] = 1.0
        yield flow


def _follow_lag(tool_state: ToolState, tooth: int) -> Flow:
    """A tooth stands back by the longest tooth's reading less its own."""
    readings = tool_state.case.measured.end_readings_nm
    if readings is None or readings[tooth] == 0:
        return Flow()
    return Flow(by_length={readings.index(0): 1.0, tooth: -1.0})
