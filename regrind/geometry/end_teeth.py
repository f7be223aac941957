"""The teeth of the end face: how deep a mark lies, what a dish and uneven teeth add to a cut-back."""

import math
from dataclasses import dataclass

from regrind.geometry.damage import Flank, find_wear_depth
from regrind.geometry.inputs import Case, EndMark, EndTeeth
from regrind.geometry.units import NM_PER_MM


@dataclass(frozen=True, slots=True)
class EndNeeds:
    """What the end face asks for by itself, in nm back from the longest tooth (whole where depths were given).

    `marks_nm`: each end mark's depth and its tooth's lag. `own_nm`: the largest of them, 0 for a sound end.
    `lag_nm`: how far the shortest tooth stands back. `dish_nm`: what a flatter dish adds.
    """

    marks_nm: tuple[float, ...] = ()
    own_nm: float = 0
    lag_nm: int = 0
    dish_nm: float = 0

    @property
    def joins_nm(self) -> float:
        """The least cut-back, finish not included, of an end that is ground at all."""
        return max(self.own_nm, self.lag_nm) + self.dish_nm


def find_end_needs(case: Case, high_mm: float) -> EndNeeds:
    """The needs of the end face; `high_mm` is the radius of the highest tooth.

    A mark needs its depth and its tooth's lag; without a tooth, the shortest's. Once the end is ground at all, the
    shortest tooth joins in, and a flatter dish adds what lies between it and the old one at the outside.
    Source: derived in the notes (end teeth).

    >>> from regrind.geometry.example import read_example
    >>> find_end_needs(read_example(), 3.17754).own_nm
    254000
    """
    readings = case.measured.end_readings_nm or (0,)
    lag = -min(readings)
    marks = tuple(find_end_depth(case.tool.end_teeth, mark) + _lag_of(mark, readings) for mark in case.end_marks)
    return EndNeeds(marks, max(marks, default=0), lag, find_dish_need(case.tool.end_teeth, high_mm) * NM_PER_MM)


def _lag_of(mark: EndMark, readings: tuple[int, ...]) -> int:
    if mark.tooth is None or len(readings) == 1:
        return -min(readings)
    return -readings[mark.tooth - 1]


def find_end_depth(end: EndTeeth, mark: EndMark) -> float:
    """Axial depth in nm of a mark on the end face: as given, or from its wear land as on the sides.

    Source: the section's formula with the end's reliefs, rake and land; without both land and secondary the
    primary relief runs on.

    >>> find_end_depth(EndTeeth(primary_relief_deg=8, rake_deg=6), EndMark(None, "wear", 100_000)) // 1
    14264.0
    """
    if mark.wear_land_nm is None:
        return mark.depth_axial_nm or 0
    flank, rake = find_end_flank(end)
    return find_wear_depth(mark.wear_land_nm / NM_PER_MM, flank, rake) * NM_PER_MM


def find_end_flank(end: EndTeeth) -> tuple[Flank, float]:
    """The relieved end tooth as a flank, and its axial rake in rad; what is not known counts as 0, or as not there.

    Source: derived in the notes (end teeth).

    >>> find_end_flank(EndTeeth(primary_relief_deg=0, secondary_relief_deg=20))
    (Flank(primary_rad=0.0, secondary_rad=None, land_mm=0.0), 0.0)
    """
    known = end.secondary_relief_deg is not None and end.land_nm is not None
    secondary = math.radians(end.secondary_relief_deg or 0.0) if known else None
    flank = Flank(math.radians(end.primary_relief_deg or 0.0), secondary, (end.land_nm or 0) / NM_PER_MM)
    return flank, math.radians(end.rake_deg or 0.0)


def find_dish_need(end: EndTeeth, high_mm: float) -> float:
    """What a flatter dish adds to the cut-back, in mm: the edge turns about its inner end. A steeper one adds nothing.

    high_mm: radius of the highest tooth, above the edge's inner end.
    Source: (r - inner)(tan dish - tan new dish), derived in the notes.

    >>> round(find_dish_need(EndTeeth(dish_deg=3, dish_to_deg=2), 5.0), 5)
    0.08744
    """
    return max(0.0, high_mm - end.inner_radius_nm / NM_PER_MM) * find_dish_rise(end)


def find_dish_rise(end: EndTeeth) -> float:
    """How much deeper per mm of edge the dish is than the one it is ground to; 0 where that is steeper or the same.

    Source: derived in the notes (end teeth).

    >>> find_dish_rise(EndTeeth(dish_deg=1, dish_to_deg=2))
    0.0
    """
    if end.dish_deg is None or end.dish_to_deg is None:
        return 0.0
    return max(0.0, math.tan(math.radians(end.dish_deg)) - math.tan(math.radians(end.dish_to_deg)))


def find_centre_drop(end: EndTeeth, radius_mm: float) -> float | None:
    """How far the centre lies below the corner once the end is ground, in mm; None where the dish is not known.

    radius_mm: of the sides after. Source: (R - inner) tan dish.

    >>> round(find_centre_drop(EndTeeth(dish_deg=2), 5.0), 4)
    0.1746
    """
    dish = end.dish_deg if end.dish_to_deg is None else end.dish_to_deg
    if dish is None:
        return None
    return max(0.0, radius_mm - end.inner_radius_nm / NM_PER_MM) * math.tan(math.radians(dish))


def find_gash_left(gash_nm: int | None, cut_back_nm: float) -> float | None:
    """What is left of the end gash after a cut-back, in mm; None where its length is not known.

    Source: derived in the notes (end teeth).

    >>> find_gash_left(900_000, 184_000)
    0.716
    """
    return None if gash_nm is None else max(0.0, gash_nm - cut_back_nm) / NM_PER_MM
