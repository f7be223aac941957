"""Heights of tooth rest and wheel that grind a relief, and what the witness strip says of them.

Seen along the tool's axis from the shank, wheel on the right, right-hand cut: the tooth's face looks down
onto its rest and the wheel grinds the flank above the edge. Heights count from the tool's centre line,
`above` upwards and `below` downwards. A left-hand-cut tool takes the same numbers in the mirrored set-up.
"""

import math
from typing import Literal

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_angle, require_below, require_within

StripEnd = Literal["heel", "edge"]


def find_rest_below(radius_mm: float, relief_rad: float) -> float:
    """How far in mm below centre the rest holds the edge for a cup wheel or a wheel's corner: r sin(relief).

    radius_mm: the tool's, above 0. relief_rad: between -90 and 90 degrees; negative gives a height above.
    For a straight flute, or with the rest exactly opposite the wheel; on a helix see `lag.set_stylus`.
    Raises Refused naming the field and its range.
    Source: the wheel's face is a vertical plane, so the edge's radius must dip by the relief
    (docs/setup-notes.md; the rule 0.0087 x diameter x degrees of shared/04 is its first order).

    >>> round(find_rest_below(3.175, math.radians(12)), 3)
    0.66
    """
    require_above_zero("radius_mm", radius_mm)
    require_angle("relief_rad", relief_rad, -90, 90)
    return radius_mm * math.sin(relief_rad)


def find_relief_at_rest(radius_mm: float, below_mm: float) -> float:
    """The relief in radians that a cup wheel grinds on an edge held `below_mm` below centre.

    radius_mm: above 0. below_mm: smaller than the radius, negative above centre.
    Raises Refused naming the field and its range. Source: the inverse of `find_rest_below`.

    >>> round(math.degrees(find_relief_at_rest(3.175, 0.6601)), 2)
    12.0
    """
    require_above_zero("radius_mm", radius_mm)
    require_below("below_mm", below_mm, radius_mm, "the radius")
    return math.asin(below_mm / radius_mm)


def find_wheel_above(radius_mm: float, relief_rad: float, wheel_radius_mm: float, edge_above_mm: float = 0.0) -> float:
    """How far in mm a straight wheel's centre stands above the tool's, grinding on its periphery.

    radius_mm: the tool's, above 0. wheel_radius_mm: above 0. edge_above_mm: of the edge over the tool's
    centre, smaller than the radius, negative below; 0 gives R sin(relief).
    Raises Refused naming the field and its range.
    Source: alpha = asin((H - y)/R) - asin(y/r) solved for H (docs/setup-notes.md); shared/04 for y = 0.

    >>> round(find_wheel_above(3.175, math.radians(7), 38.1), 4)
    4.6432
    """
    require_above_zero("wheel_radius_mm", wheel_radius_mm)
    tilt_rad = find_relief_at_rest(radius_mm, -edge_above_mm)
    require_angle("relief_rad", relief_rad, -90, 90)
    require_angle("relief_rad", relief_rad - tilt_rad, -90, 90)
    return edge_above_mm + wheel_radius_mm * math.sin(relief_rad - tilt_rad)


def find_relief_at_wheel(
    radius_mm: float, wheel_radius_mm: float, wheel_above_mm: float, edge_above_mm: float = 0.0
) -> float:
    """The relief in radians of a straight wheel whose centre stands `wheel_above_mm` above the tool's.

    Arguments as `find_wheel_above`, the inverse of this. Negative: the heel rubs.
    Raises Refused naming the field and its range; `wheel_above_mm` where the wheel cannot meet the edge.
    Source: as `find_wheel_above`.

    >>> round(math.degrees(find_relief_at_wheel(3.175, 38.1, 4.6432)), 3)
    7.0
    """
    require_above_zero("wheel_radius_mm", wheel_radius_mm)
    tilt_rad = find_relief_at_rest(radius_mm, -edge_above_mm)
    rise_mm = wheel_above_mm - edge_above_mm
    if not abs(rise_mm) < wheel_radius_mm:
        raise Refused("wheel_above_mm", f"must be within {wheel_radius_mm:.6g} mm of the edge's height")
    return math.asin(rise_mm / wheel_radius_mm) + tilt_rad


def find_witness_change(feed_mm: float, strip_mm: float, scraped_at: StripEnd) -> float:
    """By how many radians the wheel's plane changes the relief: feed i scrapes a strip of width b, asin(i/b).

    feed_mm: infeed after touching off on the marked land, 0 or more. strip_mm: width of the scraped strip
    along the land, at least the feed. scraped_at: where the marker went first; "heel" means the relief is
    being increased (positive), "edge" that it is being reduced (negative).
    Raises Refused naming the field and its range.
    Source: a right triangle of feed and strip (docs/setup-notes.md); the procedure is common practice.

    >>> round(math.degrees(find_witness_change(0.00635, 0.254, "heel")), 2)
    1.43
    """
    require_above_zero("strip_mm", strip_mm)
    require_within("feed_mm", feed_mm, 0, strip_mm)
    if scraped_at not in ("heel", "edge"):
        raise Refused("scraped_at", "must be heel or edge")
    change_rad = math.asin(feed_mm / strip_mm)
    return change_rad if scraped_at == "heel" else -change_rad


def find_pull_off_ratio(relief_rad: float) -> float:
    """The ratio of tangential to normal grinding force at which the tooth lifts off its rest: tan(relief).

    For a wheel turning into the edge (finishing); the work head's friction, which helps to hold, is left
    out. relief_rad: between 0 and 90 degrees. A number without a unit.
    Raises Refused naming the field and its range.
    Source: moments of both forces about the tool's axis (docs/setup-notes.md).

    >>> round(find_pull_off_ratio(math.radians(12)), 2)
    0.21
    """
    require_angle("relief_rad", relief_rad, 0, 90)
    return math.tan(relief_rad)
