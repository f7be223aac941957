"""The handbook's table of radial relief by cutter diameter: range, checking distance, widest land."""

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import cache

from regrind.geometry.ranges import require_above_zero
from regrind.geometry.tables import rows

_MM_PER_IN = 25.4
_SAME_MM = 1e-9


@dataclass(frozen=True, slots=True)
class HandbookRelief:
    """One line of the table: the relief's usual range, where to check it and the widest primary land."""

    diameter_mm: float
    least_relief_rad: float
    most_relief_rad: float
    checking_distance_mm: float
    widest_land_mm: float
    source: str


def find_handbook_relief(diameter_mm: float) -> HandbookRelief | None:
    """The table's line for a cutter: that of the largest diameter not above it, None below the first.

    diameter_mm: above 0. The table runs from 1/16 to 12 in (1.5875 to 304.8 mm).
    Raises Refused naming `diameter_mm`.
    Source: shared/01_relief_drop_radial_flat.csv, from memory of a handbook's table (its own columns).

    >>> line = find_handbook_relief(12.7)
    >>> round(math.degrees(line.least_relief_rad)), round(math.degrees(line.most_relief_rad))
    (9, 12)
    >>> round(line.checking_distance_mm, 3), round(line.widest_land_mm, 3)
    (0.508, 0.635)
    """
    require_above_zero("diameter_mm", diameter_mm)
    place = bisect_right(_diameters_mm(), diameter_mm + _SAME_MM)
    return _lines()[place - 1] if place else None


@cache
def _diameters_mm() -> list[float]:
    return [line.diameter_mm for line in _lines()]


@cache
def _lines() -> list[HandbookRelief]:
    table = rows("01_relief_drop_radial_flat")
    pairs = zip(table[::2], table[1::2], strict=True)
    return sorted((_line(low, high) for low, high in pairs), key=lambda line: line.diameter_mm)


def _line(low: dict[str, str], high: dict[str, str]) -> HandbookRelief:
    inches = (float(low[name]) for name in ("cutter_dia_in", "checking_distance_in", "max_primary_land_in"))
    diameter_mm, distance_mm, land_mm = (value * _MM_PER_IN for value in inches)
    ends = math.radians(float(low["relief_deg"])), math.radians(float(high["relief_deg"]))
    return HandbookRelief(diameter_mm, *ends, distance_mm, land_mm, low["source"])
