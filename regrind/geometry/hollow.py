"""The hollow that a wheel's periphery leaves in a flank: the wheel is round and bulges towards the tool.

`relief_rad` is here the relief the set-up asks for, which the flank has at the edge alone. Lands are
measured along the land (edge to heel, straight). Angles are radians, lengths millimetres.
"""

import math

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_angle, require_below
from regrind.geometry.relief import Way, find_drop


def find_hollow_depth(land_mm: float, wheel_radius_mm: float) -> float:
    """How far in mm the flank is hollow half-way between edge and heel: the sagitta of the wheel's arc.

    land_mm: above 0, below the wheel's diameter. wheel_radius_mm: above 0. To first order w^2/(8 R).
    Raises Refused naming the field and its range.
    Source: circle geometry (docs/setup-notes.md).

    >>> round(find_hollow_depth(0.5, 75.0), 6)
    0.000417
    """
    half = _half_land(land_mm, wheel_radius_mm)
    # not R - sqrt(R^2 - half^2): that would lose digits on a large wheel
    return half * half / (wheel_radius_mm + math.sqrt(wheel_radius_mm**2 - half * half))


def find_mean_relief(relief_rad: float, land_mm: float, wheel_radius_mm: float) -> float:
    """The relief in radians from edge to heel of a hollow land: smaller than the set one by asin(w/(2 R)).

    relief_rad: the set relief, between 0 and 90 degrees. Others as `find_hollow_depth`.
    Raises Refused naming the field and its range; `land_mm` where the heel would reach the edge's tangent.
    Source: a chord makes half its arc's angle with the tangent at its end (docs/setup-notes.md); to first
    order the relief less w/(2 R).

    >>> round(math.degrees(find_mean_relief(math.radians(10), 0.5, 75.0)), 4)
    9.809
    """
    require_angle("relief_rad", relief_rad, 0, 90)
    mean_rad = relief_rad - math.asin(_half_land(land_mm, wheel_radius_mm) / wheel_radius_mm)
    if mean_rad <= 0:
        widest = 2 * wheel_radius_mm * math.sin(relief_rad)
        raise Refused("land_mm", f"must be below {widest:.6g} mm: a wider land has no relief left")
    return mean_rad


def find_hollow_drop(radius_mm: float, land_mm: float, relief_rad: float, wheel_radius_mm: float) -> float:
    """The drop in mm at the heel of a land ground on the wheel's periphery, `land_mm` along the land.

    radius_mm: the tool's, above the land. Others as `find_mean_relief`, whose angle this is the drop of.
    Raises Refused naming the field and its range.
    Source: `find_drop` along the land at the mean relief, exact at the heel.

    >>> flat = find_drop(math.radians(10), 0.5, Way.LAND, 50.0)
    >>> round(flat - find_hollow_drop(50.0, 0.5, math.radians(10), 75.0), 4)
    0.0016
    """
    mean_rad = find_mean_relief(relief_rad, land_mm, wheel_radius_mm)
    return find_drop(mean_rad, land_mm, Way.LAND, radius_mm)


def _half_land(land_mm: float, wheel_radius_mm: float) -> float:
    require_above_zero("wheel_radius_mm", wheel_radius_mm)
    require_above_zero("land_mm", land_mm)
    require_below("land_mm", land_mm, 2 * wheel_radius_mm, "the wheel's diameter")
    return land_mm / 2
