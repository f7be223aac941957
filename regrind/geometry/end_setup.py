"""How the work head is set to grind the end teeth and the corner: tilt, swing, and where the swing's centre lies."""

import math
from dataclasses import dataclass

from regrind.geometry.end_teeth import find_centre_drop
from regrind.geometry.errors import Refused
from regrind.geometry.inputs import Corner, EndTeeth
from regrind.geometry.ranges import require_above_zero, require_angle
from regrind.geometry.relief import Way, find_drop
from regrind.geometry.units import NM_PER_MM

CHAMFER_RAD = math.pi / 4


@dataclass(frozen=True, slots=True)
class EndSetup:
    """Settings for the end teeth: tilts in rad for the two reliefs, swing in rad for the dish.

    `secondary_tilt_rad` is None where the secondary relief is not known. `centre_drop_mm`: how far the inner end of the
    edges lies below the corner afterwards.
    """

    tilt_rad: float
    secondary_tilt_rad: float | None
    swing_rad: float
    centre_drop_mm: float


@dataclass(frozen=True, slots=True)
class CornerSetup:
    """Settings for the corner. A radius or a ball: where the centre of the swing lies, in mm off the axis and behind
    the new end. A chamfer: its angle to the axis in rad, and how far its plane lies off the sharp corner, in mm."""

    centre_off_axis_mm: float | None = None
    centre_behind_mm: float | None = None
    angle_rad: float | None = None
    off_sharp_corner_mm: float | None = None


def set_end_teeth(end: EndTeeth, radius_mm: float) -> EndSetup:
    """Tilt by the end reliefs, swing by the dish that is ground.

    end: its primary relief and its dish are needed. radius_mm: of the sides after grinding, above the edges' inner end.
    Raises Refused naming the key of `tool` that is missing, or `radius_mm`.
    Source: the reliefs and the dish are measured to the plane square to the axis (geometry notes, end teeth).

    >>> setup = set_end_teeth(EndTeeth(dish_deg=2, primary_relief_deg=8, secondary_relief_deg=18), 5.0)
    >>> round(math.degrees(setup.tilt_rad)), round(math.degrees(setup.swing_rad)), round(setup.centre_drop_mm, 4)
    (8, 2, 0.1746)
    """
    if end.primary_relief_deg is None:
        raise Refused("end_primary_relief_deg", "is required: the tilt that grinds the end relief")
    drop, dish = find_centre_drop(end, radius_mm), end.dish_deg if end.dish_to_deg is None else end.dish_to_deg
    if drop is None or dish is None:
        raise Refused("dish_deg", "is required: the swing that grinds the dish")
    inner_mm = end.inner_radius_nm / NM_PER_MM
    if radius_mm <= inner_mm:
        raise Refused("radius_mm", f"must be above the inner end of the edges, {inner_mm:.6g} mm")
    secondary = None if end.secondary_relief_deg is None else math.radians(end.secondary_relief_deg)
    return EndSetup(math.radians(end.primary_relief_deg), secondary, math.radians(dish), drop)


def find_end_drop(relief_rad: float, distance_mm: float) -> float:
    """The drop in mm of an indicator that is moved `distance_mm` straight across an end tooth's land.

    relief_rad: 0 up to 45 degrees. distance_mm: above 0. Raises Refused naming the field and its range.
    Source: right triangle; a handbook's table for side and end teeth (shared/02_relief_drop_axial.csv).

    >>> round(find_end_drop(math.radians(8), 0.5), 5)
    0.07027
    """
    require_angle("relief_rad", relief_rad, 0, 45)
    require_above_zero("distance_mm", distance_mm)
    return find_drop(relief_rad, distance_mm, Way.TRAVERSED)


def set_corner(corner: Corner, radius_mm: float) -> CornerSetup:
    """Where the corner is swung about, or where its plane lies; nothing to set for a square one.

    radius_mm: of the sides after grinding, at least the corner's radius or leg, above 0. The relief of the corner is
    not below that of the sides, and its secondary lies behind it (common practice).
    Raises Refused naming `radius_mm` or the corner's key.
    Source: an arc that runs into end and sides; a plane at 45 degrees (geometry notes, corners).

    >>> set_corner(Corner("radius", 1_000_000), 5.0).centre_off_axis_mm
    4.0
    >>> round(set_corner(Corner("chamfer", 500_000), 5.0).off_sharp_corner_mm, 5)
    0.35355
    """
    require_above_zero("radius_mm", radius_mm)
    size = corner.size_nm / NM_PER_MM
    if corner.form in ("radius", "chamfer") and not 0 < size <= radius_mm:
        key = "width" if corner.form == "chamfer" else "radius"
        raise Refused(f"corner.{key}", f"must be above 0 and at most {radius_mm:.6g} mm, the radius of the sides")
    if corner.form == "chamfer":
        return CornerSetup(angle_rad=CHAMFER_RAD, off_sharp_corner_mm=size * math.sin(CHAMFER_RAD))
    if corner.form == "ball":
        return CornerSetup(centre_off_axis_mm=0.0, centre_behind_mm=radius_mm)
    if corner.form == "radius":
        return CornerSetup(centre_off_axis_mm=radius_mm - size, centre_behind_mm=size)
    return CornerSetup()
