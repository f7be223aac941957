"""The choice between sides and end: which cut-backs are worth having, and what the sides then need."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from regrind.geometry.errors import Refused
from regrind.geometry.inputs import SQUARE, Corner
from regrind.geometry.tool_state import SAME_MM, State, ToolState
from regrind.geometry.units import NM_PER_MM


@dataclass(frozen=True, slots=True)
class Edge:
    """What may set the radius after: a tooth (from 0; None with a total reading) and a mark by index, or none.

    `taken`: neither, but a size that was chosen and will be read when it is ground.
    """

    tooth: int | None
    mark: int | None
    taken: bool = False


@dataclass(frozen=True, slots=True)
class CutEdge:
    """What may set the cut-back: a mark or the old corner of a tooth by index (from 0), or the end's own need."""

    by: Literal["mark", "corner", "end"]
    index: int = 0


@dataclass(frozen=True, slots=True)
class RequiredRadius:
    """What the sides need at one cut-back: the radius that cleans every tooth, and what sets it (all ties).

    No edges: no mark is left, and the sides are left alone at the highest tooth's radius.
    """

    radius_mm: float
    edges: tuple[Edge, ...]


@dataclass(frozen=True, slots=True)
class CutOption:
    """One option: cut back `cut_back_nm`, which clears marks up to `depth_nm`; `worst` and `best` of the sides.

    Lengths in nm are whole for a square corner. `leaves_marks`: a mark stays that neither the end nor the wheel on
    the sides reaches. `corner` is what the corner is ground to, `accepted` whether it is another than the tool's own.
    `cut_edges`: what sets the cut-back, as far as anything measured does (all ties).
    """

    depth_nm: float
    cut_back_nm: float
    usable_length_nm: float
    worst: RequiredRadius
    best: RequiredRadius
    leaves_marks: bool = False
    corner: Corner = SQUARE
    accepted: bool = False
    cut_edges: tuple[CutEdge, ...] = ()

    @property
    def sides(self) -> bool:
        """Whether the sides are ground."""
        return bool(self.worst.edges)


def is_beyond_reach(tool_state: ToolState, index: int) -> bool:
    """Whether mark `index` lies wholly behind what the wheel reaches before the stylus stops it.

    index: of the case's marks, from 0. The stylus' distance from the wheel's contact is lost at the back of the
    flute; a mark on the corner's arc is at the front. Where the sides were ground before, the flute length is what
    was ground, and all of it is within reach.
    Source: common practice.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> is_beyond_reach(build_state(read_example()), 1)
    False
    """
    case = tool_state.case
    reach = case.tool.flute_length_nm - case.allow.stylus_distance_nm
    mark = case.marks[index]
    return not case.tool.sides_ground_before and mark.arc_deg is None and mark.start_nm >= reach


def list_options(tool_state: ToolState) -> list[CutOption]:
    """All options worth having, in order of rising cut-back; none where no flute or length would be left.

    Lengths along the axis are compared exactly, radii to 1e-9 mm.
    Source: R(x) changes only where x passes the far end of a mark; derived in the notes.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> options = list_options(build_state(read_example()))
    >>> [(option.cut_back_nm, round(2 * option.worst.radius_mm, 4)) for option in options]
    [(304800, 6.1163), (1574800, 6.2629), (7670800, 6.3551)]
    """
    marks = tool_state.case.marks
    reachable = [index for index in range(len(marks)) if not is_beyond_reach(tool_state, index)]
    behind = max((mark.to_nm for index, mark in enumerate(marks) if is_beyond_reach(tool_state, index)), default=0)
    cuts = _cuts(tool_state, reachable)
    worst = list(_list_radii(tool_state, tool_state.worst, cuts, reachable, highest=False))
    best = (
        list(_list_radii(tool_state, tool_state.best, cuts, reachable, highest=True)) if tool_state.is_range else worst
    )
    cut_options = [_build_option(tool_state, behind, *parts) for parts in zip(cuts, worst, best, strict=True)]
    return _prune([cut_option for cut_option in cut_options if _is_option(cut_option, tool_state.shape.core_mm)])


def grind_to(tool_state: ToolState, cut_option: CutOption, diameter_nm: int) -> CutOption:
    """An option that grinds the sides, at a smaller size than its own.

    diameter_nm: above the core, and not above the largest diameter at which the option comes clean, worst case.
    Raises Refused naming `diameter`, or `cut_back` where the option leaves the sides alone.
    Source: none needed; what is cleaned at a radius is clean at a smaller one.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> tool_state = build_state(read_example())
    >>> grind_to(tool_state, list_options(tool_state)[0], 6_000_000).worst.radius_mm
    3.0
    """
    radius, most = diameter_nm / 2 / NM_PER_MM, cut_option.worst.radius_mm
    if not cut_option.sides:
        raise Refused("cut_back", "leaves the sides alone: they keep their diameter")
    if not tool_state.shape.core_mm + SAME_MM < radius <= most + SAME_MM:
        raise Refused("diameter", f"must be above the core and at most {2 * most:.6g} mm, where it comes clean")
    need = RequiredRadius(radius, (Edge(None, None, taken=True),))
    return replace(cut_option, worst=need, best=need)


def _cuts(tool_state: ToolState, reachable: list[int]) -> list[float]:
    """Depths worth cutting to, deepest first: the end's own damage, and each mark's far end beyond it."""
    end = find_end_depth(tool_state)
    return sorted({end, *(to for index in reachable if (to := tool_state.case.marks[index].to_nm) > end)}, reverse=True)


def find_end_depth(tool_state: ToolState) -> float:
    """What the marks on the end face need, in nm, 0 where the end is sound.

    Source: derived in the notes (clean-up).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> find_end_depth(build_state(read_example()))
    254000
    """
    return tool_state.ends.own_nm


def _list_radii(
    tool_state: ToolState, state: State, cuts: list[float], reachable: list[int], *, highest: bool
) -> Iterator[RequiredRadius]:
    """The need at each cut, deepest first: marks come in as the cut no longer clears them."""
    marks = tool_state.case.marks
    waiting = sorted(reachable, key=lambda index: marks[index].to_nm)
    finish = tool_state.case.allow.finish_radial_nm / NM_PER_MM
    remaining = _LowestEdgeByTotal(state, highest) if tool_state.is_range else _LowestEdge(state)
    for cut in cuts:
        while waiting and marks[waiting[-1]].to_nm > cut:
            index = waiting.pop()
            remaining.add(index, marks[index].tooth - 1)
        if remaining.any:
            radius, edges = remaining.find()
            yield RequiredRadius(radius - finish, edges)
        else:
            yield RequiredRadius(state.teeth.high_mm, ())


class _LowestEdge:
    """The lowest edge among the teeth and the marks still left, kept up to date as marks come in."""

    def __init__(self, state: State) -> None:
        self.state, self.any = state, False
        self.radii = state.teeth.radii_mm or ()
        self.lowest = min(self.radii)
        self.ties = [(radius, Edge(tooth, None)) for tooth, radius in enumerate(self.radii)]

    def add(self, mark: int, tooth: int) -> None:
        radius = self.radii[tooth] - self.state.depths_radial_mm[mark]
        self.any, self.lowest = True, min(self.lowest, radius)
        if radius <= self.lowest + SAME_MM:
            self.ties.append((radius, Edge(tooth, mark)))

    def find(self) -> tuple[float, tuple[Edge, ...]]:
        self.ties = [(radius, edge) for radius, edge in self.ties if radius <= self.lowest + SAME_MM]
        return self.lowest, tuple(edge for _, edge in self.ties)


class _LowestEdgeByTotal:
    """The same where only the total reading is known: any tooth may be the low one, or the high one."""

    def __init__(self, state: State, highest: bool) -> None:
        self.state, self.highest, self.any = state, highest, False
        self.deepest: dict[int, tuple[float, tuple[Edge, ...]]] = {}

    def add(self, mark: int, tooth: int) -> None:
        depth, edge = self.state.depths_radial_mm[mark], Edge(None, mark)
        deepest, edges = self.deepest.get(tooth, (depth, ()))
        if depth > deepest + SAME_MM:
            edges = ()
        if depth >= deepest - SAME_MM:
            self.deepest[tooth] = max(depth, deepest), (*edges, edge)
        self.any = True

    def find(self) -> tuple[float, tuple[Edge, ...]]:
        low, high = self.state.teeth.low_mm, self.state.teeth.high_mm
        most, deep = self._pick(max(depth for depth, _ in self.deepest.values()))
        if not self.highest:
            return low - most, deep
        least: float = 0.0
        light: tuple[Edge, ...] = (Edge(None, None),)
        if len(self.deepest) == self.state.teeth.count:
            least, light = self._pick(min(depth for depth, _ in self.deepest.values()))
        gap = (low - least) - (high - most)
        edges = (light if gap <= SAME_MM else ()) + (deep if gap >= -SAME_MM else ())
        return min(low - least, high - most), edges

    def _pick(self, depth: float) -> tuple[float, tuple[Edge, ...]]:
        """The teeth whose deepest mark is that deep."""
        same = [edges for deepest, edges in self.deepest.values() if abs(deepest - depth) <= SAME_MM]
        return depth, tuple(edge for edges in same for edge in edges)


def _build_option(
    tool_state: ToolState, behind: int, depth: float, worst: RequiredRadius, best: RequiredRadius
) -> CutOption:
    allow, tool = tool_state.case.allow, tool_state.case.tool
    depth = max(depth, tool_state.ends.joins_nm) if depth > 0 else 0
    cut_back = depth + allow.finish_end_nm if depth > 0 else 0
    lost = allow.stylus_distance_nm if worst.edges and not tool.sides_ground_before else 0
    edges = (CutEdge("end"),) if cut_back and depth == tool_state.ends.joins_nm else ()
    return CutOption(
        depth, cut_back, tool.flute_length_nm - cut_back - lost, worst, best, behind > depth, cut_edges=edges
    )


def _is_option(cut_option: CutOption, core_mm: float) -> bool:
    return cut_option.usable_length_nm > 0 and cut_option.worst.radius_mm - core_mm > SAME_MM


def _prune(cut_options: list[CutOption]) -> list[CutOption]:
    """Drop what another beats on diameter or usable length without being worse on the other."""
    pruned: list[CutOption] = []
    ranked = sorted(cut_options, key=lambda item: (-item.usable_length_nm, -item.worst.radius_mm, item.cut_back_nm))
    for cut_option in ranked:
        if not pruned or cut_option.worst.radius_mm > pruned[-1].worst.radius_mm + SAME_MM:
            pruned.append(cut_option)
    return sorted(pruned, key=lambda item: item.cut_back_nm)
