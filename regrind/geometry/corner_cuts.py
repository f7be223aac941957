"""The choice between sides and end where the corner is not square, or becomes another."""

import math
from collections.abc import Iterator
from dataclasses import replace

from regrind.geometry.cleanup import CutEdge, CutOption, Edge, RequiredRadius, is_beyond_reach
from regrind.geometry.inputs import Corner
from regrind.geometry.profile import Shape, Spot, find_largest_need, find_least_radius, find_put_on_need
from regrind.geometry.pruning import prune
from regrind.geometry.tool_state import SAME_MM, ToolState, find_arc
from regrind.geometry.units import NM_PER_MM

SAME_NM = SAME_MM * NM_PER_MM


def list_corner_options(tool_state: ToolState, corner: Corner, *, accepted: bool) -> list[CutOption]:
    """All options worth having with `corner` ground on, in order of rising cut-back.

    Each tooth's radius is known (`case.read` refuses one total reading here). The radii worth trying are none (the
    sides are left) and each mark's largest with the end cut for its own damage; each has its least cut-back.
    Source: derived in the notes (which options).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> chamfer = Corner("chamfer", 200_000)
    >>> cut_options = list_corner_options(build_state(read_example()), chamfer, accepted=True)
    >>> [round(cut_option.cut_back_nm) for cut_option in cut_options]
    [304800, 1448089, 7504191]
    """
    work = _Work(tool_state, corner)
    tried = [work.try_radius(need) for need in work.radii()]
    cut_options = [replace(cut_option, corner=corner, accepted=accepted) for cut_option in tried if cut_option]
    return sorted(prune(cut_options, measure_option), key=lambda cut_option: cut_option.cut_back_nm)


def measure_option(cut_option: CutOption) -> tuple[float, float]:
    """Diameter and usable length that an option leaves, in mm.

    Source: derived in the notes (which options).

    >>> measure_option(CutOption(0, 0, 9_000_000, RequiredRadius(5.0, ()), RequiredRadius(5.0, ())))
    (10.0, 9.0)
    """
    return 2 * cut_option.worst.radius_mm, cut_option.usable_length_nm / NM_PER_MM


def make_shape(corner: Corner) -> Shape:
    """The corner in mm.

    Source: derived in the notes (which options).

    >>> make_shape(Corner("radius", 1_000_000)).size_mm
    1.0
    """
    return Shape(corner.form, corner.size_nm / NM_PER_MM)


def make_spot(tool_state: ToolState, index: int) -> Spot:
    """Where mark `index` is deepest; each tooth's radius must be known.

    Source: derived in the notes (which options).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> round(make_spot(build_state(read_example()), 0).depth_mm, 4)
    0.1016
    """
    mark, state = tool_state.case.marks[index], tool_state.worst
    tooth = (state.teeth.radii_mm or ())[mark.tooth - 1]
    depth = state.depths_radial_mm[index]
    if mark.arc_deg is None:
        return Spot(tooth, depth, mark.to_nm / NM_PER_MM)
    start, to = (math.radians(angle) for angle in mark.arc_deg)
    return Spot(tooth, depth, 0.0, find_arc(tool_state.case, state, mark), start, to)


class _Work:
    """One corner form tried on one tool; lengths in mm."""

    def __init__(self, tool_state: ToolState, corner: Corner) -> None:
        marks = range(len(tool_state.case.marks))
        self.tool_state, self.old, self.new = tool_state, make_shape(tool_state.case.tool.corner), make_shape(corner)
        self.teeth = tool_state.worst.teeth.radii_mm or ()
        self.reachable = [index for index in marks if not is_beyond_reach(tool_state, index)]
        self.behind = max((tool_state.case.marks[i].to_nm for i in marks if is_beyond_reach(tool_state, i)), default=0)
        self.spots = {index: make_spot(tool_state, index) for index in self.reachable}
        end = tool_state.ends.own_nm / NM_PER_MM
        self.bounds = {index: find_least_radius(self.new, end, spot) for index, spot in self.spots.items()}
        self.finish = tool_state.case.allow.finish_radial_nm / NM_PER_MM

    def radii(self) -> Iterator[RequiredRadius]:
        """The sides left alone, then each radius that takes a mark away, largest stock last where they repeat."""
        yield RequiredRadius(max(self.teeth), ())
        lowest, tried = min(self.teeth), set()
        for bound in self.bounds.values():
            radius = min(lowest, bound)
            if bound < math.inf and round(radius, 9) not in tried:
                tried.add(round(radius, 9))
                yield RequiredRadius(radius - self.finish, self._edges(radius))

    def _edges(self, radius: float) -> tuple[Edge, ...]:
        """What holds the sides at `radius` before the finish: teeth, and marks; deeper ones are the end's to clear."""
        marks = self.tool_state.case.marks
        teeth = [Edge(tooth, None) for tooth, tooth_mm in enumerate(self.teeth) if tooth_mm <= radius + SAME_MM]
        held = [index for index, bound in self.bounds.items() if abs(bound - radius) <= SAME_MM]
        return (*teeth, *(Edge(marks[index].tooth - 1, index) for index in held))

    def try_radius(self, need: RequiredRadius) -> CutOption | None:
        """The option at this radius, None where it is none."""
        if not self._fits(need.radius_mm):
            return None
        case, needs = self.tool_state.case, self._needs(need)
        depth, finish = max(needs.values(), default=-math.inf), case.allow.finish_end_nm
        cut_back = 0.0
        if round((depth + finish) / NM_PER_MM, 9) > 0:
            needs[CutEdge("end")] = self.tool_state.ends.joins_nm
            depth = max(depth, needs[CutEdge("end")])
            cut_back = depth + finish
        lost = case.allow.stylus_distance_nm if need.edges and not case.tool.sides_ground_before else 0
        usable = case.tool.flute_length_nm - cut_back - lost
        if round(usable / NM_PER_MM, 9) <= 0:
            return None
        ties = tuple(edge for edge, edge_need in needs.items() if edge_need >= depth - SAME_NM) if cut_back else ()
        return CutOption(depth, cut_back, usable, need, need, self.behind > max(depth, 0), cut_edges=ties)

    def _fits(self, radius: float) -> bool:
        """Whether metal is left over the core, and enough of it for the corner."""
        least = self.new.size_mm if self.new.form in ("chamfer", "radius") else 0.0
        return radius - self.tool_state.shape.core_mm > SAME_MM and radius - least >= -SAME_MM

    def _needs(self, need: RequiredRadius) -> dict[CutEdge, float]:
        """What is needed of the end at this radius, in nm, as far as anything is."""
        needs = dict(self._needs_of_marks(need)) | dict(self._needs_of_old_corner(need))
        needs_nm = {edge: need_mm * NM_PER_MM for edge, need_mm in needs.items() if need_mm > -math.inf}
        if self.tool_state.ends.own_nm > 0:
            needs_nm[CutEdge("end")] = self.tool_state.ends.own_nm
        return needs_nm

    def _needs_of_marks(self, need: RequiredRadius) -> Iterator[tuple[CutEdge, float]]:
        for index, spot in self.spots.items():
            if not need.edges:
                yield CutEdge("mark", index), find_largest_need(self.new, spot.tooth_mm, spot)
            elif self.bounds[index] - self.finish < need.radius_mm - SAME_MM:
                yield CutEdge("mark", index), find_largest_need(self.new, need.radius_mm + self.finish, spot)

    def _needs_of_old_corner(self, need: RequiredRadius) -> Iterator[tuple[CutEdge, float]]:
        if self.old == self.new or self.old.form == "square":
            return
        for index, tooth in enumerate(self.teeth):
            sides = need.radius_mm + self.finish if need.edges else tooth
            yield CutEdge("corner", index), find_put_on_need(self.old, self.new, tooth, sides)
