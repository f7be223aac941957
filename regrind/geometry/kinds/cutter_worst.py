"""Which tooth of a cutter decides: the one that sets the radius, and the deepest of each side that is ground."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from regrind.geometry.kinds.cutter_case import PERIPHERY, SIDES, Cutter
from regrind.geometry.kinds.cutter_rim import Rim, list_rims
from regrind.geometry.kinds.kind import Terms

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Worst:
    """A tooth (from 1) that decides on a surface: how far it stands below the highest, how far in its mark goes, in mm.

    read: False where its height was not read by itself, only how low it can be. On a side only the depth counts.
    """

    surface: str
    tooth: int
    below_mm: float
    depth_mm: float
    read: bool = True


def find_worst(cutter: Cutter, terms: Terms, option: Mapping[str, Any]) -> tuple[Worst, ...]:
    """The tooth that decides on each surface that the option grinds; of several the first.

    option: of the answer to the cutter's case.
    Source: the radii worth leaving, docs/kinds-notes.md (side cutters).

    >>> from regrind.geometry.kinds.example import read_example
    >>> ground = {"grind": ["periphery"], "diameter_mm": 2 * 48.58}
    >>> [(worst.surface, worst.tooth) for worst in find_worst(*read_example("side-and-face cutter"), ground)]
    [('periphery', 5)]
    """
    rims = [rim for rim in list_rims(cutter, terms) if abs(2 * rim.radius_mm - option["diameter_mm"]) <= _SAME]
    if not rims:
        return ()
    on_rim = (_find_on_rim(cutter, rims[0]),) if rims[0].ground else ()
    return (*on_rim, *(_find_on_side(rims[0], side) for side in SIDES if side in option["grind"]))


def _find_on_rim(cutter: Cutter, rim: Rim) -> Worst:
    tooth = rim.teeth[0]
    below = -cutter.readings_mm[tooth] if cutter.readings_mm is not None else cutter.tir_mm or 0.0
    depth = cutter.diameter_mm / 2 - rim.radius_mm - cutter.finish_radial_mm - below
    return Worst(PERIPHERY, tooth + 1, below, max(depth, 0.0), read=not cutter.rests_on_range((tooth,)))


def _find_on_side(rim: Rim, side: str) -> Worst:
    mark = max((mark for mark in rim.marks_left if mark.surface == side), key=lambda mark: mark.depth_mm)
    return Worst(side, mark.tooth + 1, 0.0, mark.depth_mm)
