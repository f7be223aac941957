"""Two lengths and an angle of a drill: its point, and its helix nearer the web."""

import math

from regrind.geometry.ranges import require_above_zero, require_angle, require_within


def find_point_length(diameter_mm: float, point_angle_rad: float) -> float:
    """The length in mm of a drill's point from its corners to its tip: (D/2)/tan(half the point angle).

    diameter_mm: above 0. point_angle_rad: the included angle, between 10 and 180 degrees. The chisel edge's
    own width is left out. ISO 13399: PL from DC and SIG.
    Raises Refused naming the field and its range. Source: right triangle; shared/07b.

    >>> round(find_point_length(10.0, math.radians(118)), 4)
    3.0043
    """
    require_above_zero("diameter_mm", diameter_mm)
    require_angle("point_angle_rad", point_angle_rad, 10, 180)
    return diameter_mm / 2 / math.tan(point_angle_rad / 2)


def find_helix_at(helix_rad: float, radius_fraction: float) -> float:
    """The helix angle in radians at a fraction of the radius: the lead is the same, so tan grows with radius.

    helix_rad: at the margin (fraction 1), 0 up to 89 degrees. radius_fraction: 0 (the axis) to 1. For any
    flute, of drill or mill.
    Raises Refused naming the field and its range. Source: definition of the helix; shared/07c.

    >>> round(math.degrees(find_helix_at(math.radians(30), 0.5)), 4)
    16.1021
    """
    require_angle("helix_rad", helix_rad, -1e-9, 89)
    require_within("radius_fraction", radius_fraction, 0, 1, "")
    return math.atan(radius_fraction * math.tan(helix_rad))
