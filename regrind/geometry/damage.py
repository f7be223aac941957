"""What a mark takes off the radius of its tooth."""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Flank:
    """The flank behind the edge, in the transverse section: reliefs in rad to the tangent, land in mm.

    `secondary_rad` is None for one relief over the whole tooth.
    """

    primary_rad: float
    secondary_rad: float | None
    land_mm: float


@dataclass(frozen=True, slots=True)
class WearSlopes:
    """How the depth of a wear land follows its width (mm/mm), the angles (mm/rad) and the land (mm/mm).

    `by_wear_land`, `by_land`: widths. `by_rake`, `by_primary`, `by_secondary`: angles.
    """

    by_wear_land: float
    by_rake: float
    by_primary: float
    by_secondary: float
    by_land: float


def find_wear_depth(wear_land_mm: float, flank: Flank, rake_rad: float) -> float:
    """Radial depth in mm of a wear land of width `wear_land_mm`, taken in the cutting direction.

    wear_land_mm: 0 or more. rake_rad: at the edge as it stands, tan(relief) tan(rake) below 1, which reliefs
    up to 45 and rakes up to 40 degrees keep. A land past the heel runs on at the secondary relief; with one
    relief it runs on at that.
    Source: the land as a flat in the cutting direction cut into face and flank, derived in the notes.

    >>> flank = Flank(math.radians(12), math.radians(24), 0.254)
    >>> round(find_wear_depth(0.1016, flank, math.radians(8)), 5)
    0.02226
    """
    reach, slope = _reach(flank, rake_rad), math.tan(rake_rad)
    if flank.secondary_rad is None or wear_land_mm <= reach:
        return wear_land_mm * math.tan(flank.primary_rad) / (1 - math.tan(flank.primary_rad) * slope)
    tan2 = math.tan(flank.secondary_rad)
    past = wear_land_mm - flank.land_mm * math.cos(flank.primary_rad)
    return (flank.land_mm * math.sin(flank.primary_rad) + past * tan2) / (1 - tan2 * slope)


def find_wear_slopes(wear_land_mm: float, flank: Flank, rake_rad: float) -> WearSlopes:
    """Partial derivatives of `find_wear_depth` by each of its inputs, on the branch that it takes.

    Source: derivatives of `find_wear_depth`.

    >>> flank = Flank(math.radians(12), None, 0.254)
    >>> round(find_wear_slopes(0.1016, flank, 0.0).by_wear_land, 4)
    0.2126
    """
    depth, slope = find_wear_depth(wear_land_mm, flank, rake_rad), math.tan(rake_rad)
    past = flank.secondary_rad is not None and wear_land_mm > _reach(flank, rake_rad)
    relief = flank.secondary_rad if past and flank.secondary_rad is not None else flank.primary_rad
    tangent = math.tan(relief)
    slope_left = 1 - tangent * slope
    by_width, by_rake = tangent / slope_left, depth * tangent * (1 + slope**2) / slope_left
    if not past:
        return WearSlopes(by_width, by_rake, wear_land_mm * (1 + tangent**2) / slope_left**2, 0.0, 0.0)
    cos1, sin1 = math.cos(flank.primary_rad), math.sin(flank.primary_rad)
    beyond = wear_land_mm - flank.land_mm * cos1
    return WearSlopes(
        by_width,
        by_rake,
        by_primary=flank.land_mm * (cos1 + sin1 * tangent) / slope_left,
        by_secondary=(1 + tangent**2) * (beyond + depth * slope) / slope_left,
        by_land=(sin1 - cos1 * tangent) / slope_left,
    )


def _reach(flank: Flank, rake_rad: float) -> float:
    """Widest wear land that still ends on the primary land, in mm."""
    return flank.land_mm * (math.cos(flank.primary_rad) - math.sin(flank.primary_rad) * math.tan(rake_rad))
