"""How far the periphery of a cutter may be ground: a finite number of radii, and the side marks each leaves."""

from collections.abc import Iterator
from dataclasses import dataclass

from regrind.geometry.kinds.cutter_case import SIDES, Cutter, Mark
from regrind.geometry.kinds.kind import Terms
from regrind.geometry.kinds.marks import find_wear_depth
from regrind.geometry.kinds.quantity import Quantity, find_smallest, tan

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Rim:
    """A radius in mm to leave (ties of what sets it), whether the periphery is ground for it, the marks it leaves.

    teeth: those that set it, from 0; none where the periphery is left alone.
    """

    radii: tuple[Quantity, ...]
    ground: bool
    marks_left: tuple[Mark, ...]
    teeth: tuple[int, ...] = ()

    @property
    def radius_mm(self) -> float:
        """The radius that is left."""
        return self.radii[0].value


def list_rims(cutter: Cutter, terms: Terms) -> Iterator[Rim]:
    """Every radius worth leaving: the rim alone where it is whole, clean of its own marks, and of each side mark.

    Source: what is left on the sides changes only where the radius passes a mark's reach; docs/kinds-notes.md.

    >>> from regrind.geometry.kinds.example import read_example
    >>> [(round(rim.radius_mm, 3), len(rim.marks_left)) for rim in list_rims(*read_example("side-and-face cutter"))]
    [(49.68, 1), (48.58, 0)]
    """
    half = terms.read(cutter.diameter_mm, "diameter") / 2
    if not cutter.rim_marks:
        yield Rim((half,), ground=False, marks_left=cutter.side_marks)
    if not cutter.marks:
        return
    heights = [_stand(cutter, tooth, half, terms) for tooth in range(cutter.teeth)]
    needs = list(enumerate(heights))
    needs += [(mark.tooth, heights[mark.tooth] - _find_depth(mark, cutter, terms)) for mark in cutter.rim_marks]
    yield _ground(cutter, needs, heights)
    for mark in cutter.side_marks:
        reach = terms.read(mark.reach_mm, f"{mark.field}.reach", "damage")
        yield _ground(cutter, [*needs, (mark.tooth, heights[mark.tooth] - reach)], heights)


def _stand(cutter: Cutter, tooth: int, half: Quantity, terms: Terms) -> Quantity:
    """The radius of a tooth: by its reading below the highest, or as low as the total reading allows."""
    if cutter.readings_mm is None:
        return half if cutter.tir_mm is None else half - terms.read(cutter.tir_mm, "tir", "tooth_reading")
    readings = cutter.readings_mm
    tops = [index for index, reading in enumerate(readings) if reading == 0.0]
    below = terms.read(readings[tooth], f"tooth_reading[{tooth}]", "tooth_reading")
    if not tops:  # the highest is one that nobody read
        return half + below
    # where another tooth is as high, the difference of two readings is what is known least
    top = next((index for index in tops if index != tooth), tooth)
    return half + (below - terms.read(readings[top], f"tooth_reading[{top}]", "tooth_reading"))


def _find_depth(mark: Mark, cutter: Cutter, terms: Terms) -> Quantity:
    length, tooth = terms.read(mark.depth_mm, mark.field, "damage"), cutter.tooth
    if not mark.wears:
        return length
    return find_wear_depth(length, tan(Quantity(tooth.primary_rad or 0.0)), tan(Quantity(tooth.rake_rad or 0.0)))


def _ground(cutter: Cutter, needs: list[tuple[int, Quantity]], heights: list[Quantity]) -> Rim:
    """The rim that the lowest of `needs` sets: (the tooth, how far out it may stay), and the finish off that."""
    lowest = find_smallest(radius for _, radius in needs)
    reached = lowest[0].value
    teeth = dict.fromkeys(tooth for tooth, radius in needs if radius.value - reached <= _SAME)
    marks_left = (mark for mark in cutter.side_marks if reached - heights[mark.tooth].value + mark.reach_mm > _SAME)
    radii = tuple(radius - cutter.finish_radial_mm for radius in lowest)
    return Rim(radii, ground=True, marks_left=tuple(marks_left), teeth=tuple(teeth))


def find_side_stock(cutter: Cutter, rim: Rim, terms: Terms) -> dict[str, Quantity]:
    """What comes off each side in mm, where a mark is left: its depth, the side's runout and the finish.

    Source: derived in the kinds' notes (cutters).

    >>> from regrind.geometry.kinds.example import read_example
    >>> cutter, terms = read_example("side-and-face cutter")
    >>> round(find_side_stock(cutter, next(list_rims(cutter, terms)), terms)["left"].value, 9)
    0.23
    """
    stock = {}
    for side in SIDES:
        marks = [mark for mark in rim.marks_left if mark.surface == side]
        if marks:
            deepest = max(marks, key=lambda mark: mark.depth_mm)
            depth = terms.read(deepest.depth_mm, deepest.field, "damage")
            stock[side] = depth + (cutter.side_tir_mm[side] + cutter.finish_side_mm)
    return stock
