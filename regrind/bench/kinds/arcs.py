"""Heights along the axis and angles on the arc of a corner radius or a ball: the same places, read in two ways."""

import math
from dataclasses import replace

from regrind.geometry.inputs import Mark
from regrind.geometry.units import NM_PER_IN

DEGREE_PLACES = 6
RADIUS_WITHIN_NM = NM_PER_IN // 1000  # a maker's posted tolerance for corner radii: shared/27_endform.csv
# of a radius that nobody read: anywhere within that tolerance
RADIUS_UNCERTAINTY_NM = round(RADIUS_WITHIN_NM / math.sqrt(3))


def find_angle(height_nm: float, arc_nm: int) -> float:
    """The angle from the axis, in degrees, of a place so far back from the end on an arc: cos θ = 1 − z/ρ.

    height_nm: 0 up to the arc's radius; what lies beyond is at 90. arc_nm: above 0. Source: the notes on corners.
    """
    return math.degrees(math.acos(max(0.0, 1 - height_nm / arc_nm)))


def find_height(angle_deg: float, arc_nm: int) -> int:
    """The reverse of `find_angle`, to the nanometre. angle_deg: 0 to 90."""
    return round(arc_nm * (1 - math.cos(math.radians(angle_deg))))


def place_on_arc(mark: Mark, arc_nm: int) -> tuple[Mark, ...]:
    """A mark read along the axis as the plan takes it: on the arc by its angles, behind it on the side.

    arc_nm: 0 where the corner has no arc. A mark that runs from the arc onto the side becomes two.
    """
    if not arc_nm:
        return (mark,)
    parts = []
    if mark.start_nm < arc_nm:
        angles = (find_angle(mark.start_nm, arc_nm), find_angle(mark.to_nm, arc_nm))
        arc = (round(angles[0], DEGREE_PLACES), round(angles[1], DEGREE_PLACES))
        parts.append(replace(mark, start_nm=0, to_nm=0, arc_deg=arc))
    if mark.to_nm > arc_nm:
        parts.append(replace(mark, start_nm=max(mark.start_nm, arc_nm)))
    return tuple(parts)
