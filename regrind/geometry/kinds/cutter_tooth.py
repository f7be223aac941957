"""What is left of a cutter's tooth at a smaller radius, and the wheel's or the rest's height for grinding it."""

import math
from typing import Any

from regrind.geometry.damage import Flank
from regrind.geometry.handbook import find_handbook_relief
from regrind.geometry.hollow import find_hollow_depth
from regrind.geometry.kinds.cutter_case import Cutter
from regrind.geometry.kinds.cutter_rim import Rim
from regrind.geometry.land import find_land
from regrind.geometry.section import Face, find_rake

_SAME = 1e-9


def describe_tooth(cutter: Cutter, rim: Rim) -> dict[str, Any]:
    """Land, rake and whether the secondary is to be ground too, for a straight face; None where not known.

    Source: `section.find_rake` and `land.find_land` with a face without curvature.

    >>> from regrind.geometry.kinds.cutter_rim import list_rims
    >>> from regrind.geometry.kinds.example import read_example
    >>> cutter, terms = read_example("side-and-face cutter")
    >>> round(describe_tooth(cutter, next(list_rims(cutter, terms)))["rake_deg"], 3)
    10.024
    """
    tooth, before, after = cutter.tooth, cutter.diameter_mm / 2, rim.radius_mm
    if not rim.ground:
        rake = None if tooth.rake_rad is None else math.degrees(tooth.rake_rad)
        return {"primary_land_mm": tooth.land_mm, "rake_deg": rake, "secondary_needed": False}
    if tooth.rake_rad is None:
        return {"primary_land_mm": None, "rake_deg": None, "secondary_needed": None}
    face = Face(before, math.sin(tooth.rake_rad), 0.0, 0.0, assumed=False, anchor_moves=True)
    rake = find_rake(face, after)
    rake_deg = None if rake is None else math.degrees(rake)
    if tooth.land_mm is None or tooth.primary_rad is None or tooth.secondary_rad is None:
        return {"primary_land_mm": None, "rake_deg": rake_deg, "secondary_needed": None}
    land = find_land(face, Flank(tooth.primary_rad, tooth.secondary_rad, tooth.land_mm), before, after)
    return {"primary_land_mm": land, "rake_deg": rake_deg, "secondary_needed": _is_wide(land, 2 * after)}


def _is_wide(land_mm: float | None, diameter_mm: float) -> bool | None:
    """Whether the land passes the handbook's widest, or never meets the secondary; None below the table."""
    line = find_handbook_relief(diameter_mm)
    if line is None:
        return None
    return land_mm is None or land_mm - line.widest_land_mm > _SAME


def describe_setup(cutter: Cutter, rim: Rim) -> dict[str, float | None] | None:
    """How the tooth rest or the wheel stands to grind the periphery; None where it is not ground.

    Source: `setup.find_rest_below` and `find_wheel_above`; hollow and mean relief over the land to be kept.

    >>> from regrind.geometry.kinds.cutter_rim import list_rims
    >>> from regrind.geometry.kinds.example import read_example
    >>> cutter, terms = read_example("side-and-face cutter")
    >>> describe_setup(cutter, next(list_rims(cutter, terms))) is None
    True
    """
    if cutter.setup is None or not rim.ground:
        return None
    relief, wheel = cutter.tooth.primary_rad, cutter.setup.wheel_radius_mm
    sine = None if relief is None else math.sin(relief)
    if wheel is None:
        return {"tooth_rest_below_mm": None if sine is None else rim.radius_mm * sine}
    return {"wheel_above_mm": None if sine is None else wheel * sine, **_describe_hollow(cutter, wheel)}


def _describe_hollow(cutter: Cutter, wheel_mm: float) -> dict[str, float | None]:
    """Mean relief and hollow over the land to be kept; None where it is not known or wider than the wheel."""
    land, relief = cutter.tooth.land_mm, cutter.tooth.primary_rad
    if not land or land >= 2 * wheel_mm:
        return {"mean_relief_deg": None, "hollow_mm": None}
    mean = None if relief is None else math.degrees(relief - math.asin(land / 2 / wheel_mm))
    return {"mean_relief_deg": mean, "hollow_mm": find_hollow_depth(land, wheel_mm)}
