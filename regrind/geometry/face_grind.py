"""Grinding the face: the edge moves back along the flank, and the sides' relief and diameter follow."""

import math
from dataclasses import dataclass

from regrind.geometry.damage import Flank, find_wear_depth
from regrind.geometry.inputs import ReliefForm


@dataclass(frozen=True, slots=True)
class FaceTooth:
    """The tooth of the highest edge as it stands, in the transverse section (mm, rad).

    Flat: a primary land, perhaps a secondary behind it. Spiral (form-relieved, eccentric): the radius falls
    evenly with the angle about the axis, and the secondary does not count.
    """

    radius_mm: float
    rake_rad: float
    flank: Flank
    relief_form: ReliefForm

    @property
    def is_spiral(self) -> bool:
        """Whether the relief is a spiral; a flat otherwise."""
        return self.relief_form == "spiral"


@dataclass(frozen=True, slots=True)
class Faced:
    """The tooth after its face was ground: the new edge, and how the face is set up.

    `set_over_mm`: the wheel's plane behind the axis, before and after. `turn_rad`: from the old face to the new.
    `stock_mm` at the old edge.
    """

    radius_mm: float
    relief_rad: float
    rake_rad: float
    set_over_mm: float
    turn_rad: float
    stock_mm: float
    past_primary: bool


def find_wear_back(wear_land_mm: float, flank: Flank, rake_rad: float) -> float:
    """How far behind the edge a wear land ends, in mm along the cutting direction.

    Source: the land and what its depth d has taken off the edge, VB + d tan(rake).

    >>> round(find_wear_back(0.2, Flank(math.radians(12), None, 1.0), math.radians(8)), 6)
    0.206159
    """
    return wear_land_mm + find_wear_depth(wear_land_mm, flank, rake_rad) * math.tan(rake_rad)


def find_finish_back(finish_mm: float, flank: Flank, rake_rad: float) -> float:
    """How much farther back the edge comes for a finish allowance square to the face, in mm.

    Source: f cos(relief) / cos(relief + rake).

    >>> round(find_finish_back(0.02, Flank(math.radians(12), None, 1.0), math.radians(8)), 6)
    0.020818
    """
    return finish_mm * math.cos(flank.primary_rad) / math.cos(flank.primary_rad + rake_rad)


def grind_face(tooth: FaceTooth, back_mm: float) -> Faced:
    """The tooth with its edge `back_mm` farther back along the cutting direction (0 or more).

    The wheel's plane stays at its distance from the axis, so that rake and form are kept; the tool is turned into it.
    Source: derived in the notes (face grinding).

    >>> tooth = FaceTooth(5.0, math.radians(8), Flank(math.radians(12), None, 1.0), "flat")
    >>> faced = grind_face(tooth, 0.2061587)
    >>> round(2 * faced.radius_mm, 5), round(math.degrees(faced.relief_rad), 3), round(faced.stock_mm, 5)
    (9.92093, 9.618, 0.20081)
    """
    radius, angle, relief = _edge_spiral(tooth, back_mm) if tooth.is_spiral else _edge_flat(tooth, back_mm)
    set_over = tooth.radius_mm * math.sin(tooth.rake_rad)
    rake = math.asin(max(-1.0, min(1.0, set_over / radius))) if radius > 0 else math.nan
    turn = angle - rake + tooth.rake_rad
    stock = set_over + tooth.radius_mm * math.sin(turn - tooth.rake_rad)
    return Faced(radius, relief, rake, set_over, turn, stock, is_past_primary(tooth, back_mm))


def is_past_primary(tooth: FaceTooth, back_mm: float) -> bool:
    """Whether the new edge lies behind the primary land, on the secondary.

    Source: derived in the notes (the face).

    >>> is_past_primary(FaceTooth(5.0, 0.1, Flank(0.2, 0.4, 0.3), "flat"), 0.4)
    True
    """
    flank = tooth.flank
    return (
        not tooth.is_spiral
        and flank.secondary_rad is not None
        and round(back_mm - flank.land_mm * math.cos(flank.primary_rad), 9) > 0
    )


def _edge_flat(tooth: FaceTooth, back_mm: float) -> tuple[float, float, float]:
    """Radius of the new edge, its angle about the axis from the old one, and its relief."""
    flank = tooth.flank
    relief, drop = flank.primary_rad, back_mm * math.tan(flank.primary_rad)
    if flank.secondary_rad is not None and is_past_primary(tooth, back_mm):
        relief = flank.secondary_rad
        past = back_mm - flank.land_mm * math.cos(flank.primary_rad)
        drop = flank.land_mm * math.sin(flank.primary_rad) + past * math.tan(relief)
    angle = math.atan2(back_mm, tooth.radius_mm - drop)
    return math.hypot(back_mm, tooth.radius_mm - drop), angle, relief - angle


def _edge_spiral(tooth: FaceTooth, back_mm: float) -> tuple[float, float, float]:
    fall = math.tan(tooth.flank.primary_rad)
    radius = tooth.radius_mm - back_mm * fall
    return radius, back_mm / tooth.radius_mm, math.atan2(tooth.radius_mm * fall, radius)
