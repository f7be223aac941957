"""How the radius after and the cut-back of an option follow what was measured."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from regrind.geometry.cleanup import Choice, CutEdge, Edge, Need
from regrind.geometry.corner_cuts import make_shape, make_spot
from regrind.geometry.end_teeth import find_dish_rise
from regrind.geometry.flow import Flow, differentiate
from regrind.geometry.present import Present
from regrind.geometry.profile import Shape, Spot, find_largest_need, find_least_radius, find_put_on_need
from regrind.geometry.uncertainty import Setters
from regrind.geometry.units import NM_PER_MM

SAME_NM = 1e-3


def list_setters(present: Present, choice: Choice, need: Need) -> list[Setters]:
    """Every tie of what sets the radius after and what sets the cut-back.

    need: `choice.worst` or `choice.best`. The corner's formulas are followed by small steps, the others exactly.
    Source: chain rule; derived in the notes.

    >>> from regrind.geometry.cleanup import choose
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.present import stand
    >>> present = stand(read_example())
    >>> choice = choose(present)[0]
    >>> [setters.cut_back.by_end_mark for setters in list_setters(present, choice, choice.worst)]
    [{0: 1.0}]
    """
    radii = [flow for edge in need.edges or (None,) for flow in _follow_radius(present, choice, edge)]
    return [
        Setters(radius, cut) for radius in radii
        for edge in choice.cut_edges or (None,)
        for cut in _follow_cut(present, choice, need, edge, radius)
    ]


def _follow_radius(present: Present, choice: Choice, edge: Edge | None) -> Iterator[Flow]:
    if edge is None:
        yield Flow(by_high=1.0)
    elif edge.mark is None:
        yield Flow(by_tooth={edge.tooth: 1.0})
    elif choice.corner.form == "square":
        yield Flow(by_tooth={edge.tooth: 1.0}, by_mark={edge.mark: -1.0})
    else:
        yield from _follow_corner_radius(present, choice, edge.mark)


def _follow_corner_radius(present: Present, choice: Choice, index: int) -> Iterator[Flow]:
    """The end's own need counts too: the farther the end is cut, the more the sides may keep."""
    work = _Corner(present, choice, index)
    end = present.ends.own_nm / NM_PER_MM
    *slopes, by_end = differentiate(work.radius, (*work.inputs, end))
    for own in _follow_own_need(present) if end > 0 and by_end else (Flow(),):
        through = Flow()
        through.add(own, by_end)
        yield work.flow(slopes, through)


def _follow_cut(
    present: Present, choice: Choice, need: Need, edge: CutEdge | None, radius: Flow
) -> Iterator[Flow]:
    if edge is None:
        yield Flow()
    elif edge.by == "end":
        yield from follow_end(present)
    elif edge.by == "corner":
        yield _follow_put_on(present, choice, need, edge.index, radius)
    else:
        work = _Corner(present, choice, edge.index)
        yield work.flow(*_split(work.need, work.inputs, _find_sides(present, need, work.tooth), need, radius))


def _follow_put_on(present: Present, choice: Choice, need: Need, tooth: int, radius: Flow) -> Flow:
    """The old corner of a tooth, which must not be put on again: no mark has a part in it."""
    old, new = make_shape(present.case.tool.corner), make_shape(choice.corner)

    def answer(own: float, corner: float, sides: float) -> float:
        return find_put_on_need(replace(old, size_mm=corner), new, own, sides)

    own = (present.worst.stand.radii_mm or ())[tooth]
    slopes, rest = _split(answer, (own, old.size_mm), _find_sides(present, need, tooth), need, radius)
    flow = Flow(by_tooth={tooth: slopes[0]}, others=_by_corner(old, slopes[1]))
    flow.add(rest, 1.0)
    return flow


def _find_sides(present: Present, need: Need, tooth: int) -> float:
    """Radius of the sides that the corner runs into: before the finish, or the tooth's own where they are left."""
    if need.edges:
        return need.radius_mm + present.case.allow.finish_radial_nm / NM_PER_MM
    return (present.worst.stand.radii_mm or ())[tooth]


def _split(
    answer: Callable[..., float], inputs: tuple[float, ...], sides: float, need: Need, radius: Flow
) -> tuple[list[float], Flow]:
    """Slopes by the inputs, of which the last but one is the tooth's radius, and what comes through the sides.

    Where the sides are left they are the tooth's own radius.
    """
    *slopes, by_sides = differentiate(answer, (*inputs, sides))
    through = Flow()
    if need.edges:
        through.add(radius, by_sides)
    else:
        slopes[-2] += by_sides
    return slopes, through


def _by_corner(old: Shape, slope: float) -> dict[str, float]:
    return {"corner_radius": slope} if old.form == "radius" else {}


class _Corner:
    """One mark under the corner that is ground on; its inputs are its depth, the radius of its tooth now and the size
    of the tool's own corner, in mm."""

    def __init__(self, present: Present, choice: Choice, index: int) -> None:
        self.old, self.new = make_shape(present.case.tool.corner), make_shape(choice.corner)
        self.accepted, self.index = choice.accepted, index
        self.spot, self.tooth = make_spot(present, index), present.case.marks[index].tooth - 1
        self.inputs = (self.spot.depth_mm, self.spot.tooth_mm, self.old.size_mm)

    def radius(self, depth: float, tooth: float, corner: float, end: float) -> float:
        return find_least_radius(self._shape(corner), end, self._spot(depth, tooth, corner))

    def need(self, depth: float, tooth: float, corner: float, sides: float) -> float:
        return find_largest_need(self._shape(corner), sides, self._spot(depth, tooth, corner))

    def _shape(self, corner: float) -> Shape:
        return self.new if self.accepted else replace(self.new, size_mm=corner)

    def _spot(self, depth: float, tooth: float, corner: float) -> Spot:
        arc = None if self.spot.arc_mm is None else (tooth if self.old.form == "ball" else corner)
        return replace(self.spot, depth_mm=depth, tooth_mm=tooth, arc_mm=arc)

    def flow(self, slopes: list[float], through: Flow) -> Flow:
        by_depth, by_tooth, by_corner = slopes
        flow = Flow(by_tooth={self.tooth: by_tooth}, by_mark={self.index: by_depth})
        flow.others = _by_corner(self.old, by_corner)
        flow.add(through, 1.0)
        return flow


def follow_end(present: Present) -> Iterator[Flow]:
    """The end's own need or the shortest tooth, whichever is farther back, and what a flatter dish adds.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.present import stand
    >>> [flow.by_end_mark for flow in follow_end(stand(read_example()))]
    [{0: 1.0}]
    """
    ends, dish = present.ends, find_dish_rise(present.case.tool.end_teeth)
    over = ends.own_nm - ends.lag_nm
    flows = list(_follow_own_need(present)) if over >= 0 else []
    if over <= 0 and ends.lag_nm > 0:
        readings = present.case.measured.end_readings_nm or ()
        flows += [_follow_lag(present, tooth) for tooth, h in enumerate(readings) if -h == ends.lag_nm]
    for flow in flows or [Flow()]:
        flow.by_high += dish
        yield flow


def _follow_own_need(present: Present) -> Iterator[Flow]:
    """Of every mark on the end that is deepest: its depth, and how far its tooth stands back."""
    readings = present.case.measured.end_readings_nm or (0,)
    for index, need in enumerate(present.ends.marks_nm):
        if need < present.ends.own_nm - SAME_NM or need <= 0:
            continue
        tooth = present.case.end_marks[index].tooth
        shortest = min(range(len(readings)), key=lambda place: readings[place])
        flow = _follow_lag(present, shortest if tooth is None or len(readings) == 1 else tooth - 1)
        flow.by_end_mark[index] = 1.0
        yield flow


def _follow_lag(present: Present, tooth: int) -> Flow:
    """A tooth stands back by the longest tooth's reading less its own."""
    readings = present.case.measured.end_readings_nm
    if readings is None or readings[tooth] == 0:
        return Flow()
    return Flow(by_length={readings.index(0): 1.0, tooth: -1.0})
