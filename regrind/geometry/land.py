"""The flank after the sides are ground: the primary land, its heel, and the helix."""

import math

from regrind.geometry.damage import Flank
from regrind.geometry.section import Face, find_turn


def find_land(face: Face, flank: Flank, from_mm: float, to_mm: float) -> float | None:
    """Width in mm of the primary land once the edge is ground from radius `from_mm` to `to_mm`.

    The secondary is left alone, so the land grows. With one relief the land is the whole tooth's and stays.
    None where the face does not reach the new radius, or where the new primary no longer meets the old
    secondary behind the edge.
    Source: new primary line cut with the old secondary line, derived in the notes:
    (land sin(a2 - a1) + r cos a2 - x cos(a2 - turn)) / sin(a2 - a1 - turn).

    >>> from regrind.geometry.section import shape_face
    >>> flank = Flank(math.radians(12), math.radians(24), 0.254)
    >>> face = shape_face(3.175, math.radians(8), 1.905, None)
    >>> round(find_land(face, flank, 3.175, 3.1242), 4)
    0.4695
    """
    if flank.secondary_rad is None or from_mm == to_mm:
        return flank.land_mm
    turn = find_turn(face, from_mm, to_mm)
    if turn is None:
        return None
    between = flank.secondary_rad - flank.primary_rad
    gap = from_mm * math.cos(flank.secondary_rad) - to_mm * math.cos(flank.secondary_rad - turn)
    over, under = flank.land_mm * math.sin(between) + gap, math.sin(between - turn)
    return over / under if under > 1e-12 and over >= 0 else None


def find_heel_drop(radius_mm: float, land_mm: float, relief_rad: float) -> float:
    """How far in mm the heel of a flat land lies inside the cutting circle; 0 or less where it touches.

    radius_mm: above 0. land_mm: along the land, 0 or more. Greatest at radius * sin(relief), 0 again at twice that.
    Source: distance of the heel from the axis, by the law of cosines.

    >>> round(find_heel_drop(3.1242, 0.4695, math.radians(12)), 4)
    0.063
    """
    # x - sqrt(x^2 - q) written as q / (x + sqrt(x^2 - q)): small drops keep their digits
    inside = land_mm * (2 * radius_mm * math.sin(relief_rad) - land_mm)
    return inside / (radius_mm + math.sqrt(max(0.0, radius_mm**2 - inside)))


def find_helix(helix_rad: float, from_mm: float, to_mm: float) -> float:
    """Helix angle in rad at radius `to_mm` of a tool that has `helix_rad` at `from_mm`: its lead stays.

    Source: tan(helix) = 2 pi r / lead.

    >>> round(math.degrees(find_helix(math.radians(30), 3.175, 3.048)), 3)
    28.998
    """
    return math.atan(math.tan(helix_rad) * to_mm / from_mm)


def find_helix_spread(helix_rad: float, helix_after_rad: float, helix_u_rad: float) -> float:
    """Standard uncertainty in rad of the helix at another radius, from that of the helix where it is known.

    helix_rad, helix_after_rad: 0 up to 90 degrees, of one lead. helix_u_rad: 0 or more, k = 1.
    Source: derivative of tan(helix') = k tan(helix): sin(2 helix') / sin(2 helix); a straight flute keeps it.

    >>> round(math.degrees(find_helix_spread(math.radians(30), math.radians(28.998), math.radians(4))), 3)
    3.917
    """
    before = math.sin(2 * helix_rad)
    return helix_u_rad * math.sin(2 * helix_after_rad) / before if before > 0 else helix_u_rad
