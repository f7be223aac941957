"""Relief from an indicator's drop, and the drop to aim for: in each way of taking the distance.

The section is seen with the edge at the top, radius r from the axis, the land falling away from it at the
relief angle to the tangent. A drop means nothing without the way its distance was taken, so that is an
argument everywhere. Angles are radians, lengths millimetres.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import LONGEST_MM, require_above_zero, require_angle, require_below, require_within


class Way(StrEnum):
    """How the distance between edge and indicator was taken."""

    TANGENT = "tangent"
    LAND = "land"
    ARC = "arc"
    TRAVERSED = "traversed"


@dataclass(frozen=True, slots=True)
class ReliefReading:
    """A relief found from a drop: the angle, its standard uncertainty and half a digit's worth of angle."""

    relief_rad: float
    standard_uncertainty_rad: float
    half_digit_rad: float

    @property
    def expanded_uncertainty_rad(self) -> float:
        """The uncertainty at k = 2."""
        return 2 * self.standard_uncertainty_rad


@dataclass(frozen=True, slots=True)
class DropAim:
    """The drop to aim for, and the drops at which the relief leaves its tolerance."""

    least_mm: float
    drop_mm: float
    most_mm: float


def find_drop(relief_rad: float, distance_mm: float, way: Way, radius_mm: float | None = None) -> float:
    """The drop in mm that an indicator shows at `distance_mm` behind an edge of this relief.

    relief_rad: radial relief to the tangent, between -90 and 90 degrees (for `traversed` the relief of the
    end tooth or of the flank the stylus runs over). distance_mm: above 0, below the radius. radius_mm: the
    edge's distance from the axis; not needed for `traversed`. A negative drop: the land stands proud.
    Raises Refused naming the field and its range; never returns NaN.
    Source: section geometry (Pythagoras; docs/setup-notes.md). `tangent` is how the handbook's table of
    radial relief is made (shared/01), `traversed` its table for end teeth (shared/02).

    >>> round(find_drop(math.radians(10), 0.4, Way.TANGENT, 5.0), 5)
    0.05433
    """
    require_angle("relief_rad", relief_rad, -90, 90)
    require_above_zero("distance_mm", distance_mm)
    if way is Way.TRAVERSED:
        return distance_mm * math.tan(relief_rad)
    return _FORWARD[way](relief_rad, distance_mm, _radius(radius_mm, distance_mm))


def find_relief(drop_mm: float, distance_mm: float, way: Way, radius_mm: float | None = None) -> float:
    """The relief in radians that makes an indicator drop by `drop_mm` at `distance_mm` behind the edge.

    drop_mm: below the radius; negative where the land stands proud of the edge's circle. distance_mm and
    radius_mm as in `find_drop`, of which this is the exact inverse.
    Raises Refused naming `drop_mm` where no flat land can show it, else the field and its range.
    Source: as `find_drop`, each formula solved for the angle (docs/setup-notes.md).

    >>> round(math.degrees(find_relief(0.05375, 0.4, Way.LAND, 5.0)), 2)
    10.0
    """
    require_above_zero("distance_mm", distance_mm)
    if way is Way.TRAVERSED:
        require_within("drop_mm", drop_mm, -LONGEST_MM, LONGEST_MM)
        return math.atan(drop_mm / distance_mm)
    radius = _radius(radius_mm, distance_mm)
    require_below("drop_mm", drop_mm, radius, "the radius")
    return _INVERSE[way](drop_mm, distance_mm, radius)


def read_relief(
    drop_mm: float,
    distance_mm: float,
    way: Way,
    radius_mm: float | None = None,
    *,
    digit_mm: float = 0.0,
    drop_u_mm: float = 0.0,
    distance_u_mm: float = 0.0,
    radius_u_mm: float = 0.0,
) -> ReliefReading:
    """The relief from a drop, with what the readings' uncertainties make of it.

    digit_mm: the indicator's resolution, 0 or more; it adds digit/sqrt(12) to the drop's standard
    uncertainty and gives `half_digit_rad`, half the change of angle over one whole digit. drop_u_mm,
    distance_u_mm, radius_u_mm: standard uncertainties (k = 1), 0 or more.
    Raises Refused as `find_relief`, and where the drop plus or minus half a digit is impossible.
    Source: first-order propagation, root sum of squares (the GUM, JCGM 100:2008, 5.1.2; a rectangular
    distribution of width a has the standard uncertainty a/sqrt(12), 4.3.7).

    >>> tenth = read_relief(0.0355, 0.127, Way.TANGENT, 0.79375, digit_mm=0.00254)
    >>> round(math.degrees(tenth.half_digit_rad), 2)
    0.51
    """
    for field, value in (("digit_mm", digit_mm), ("drop_u_mm", drop_u_mm), ("distance_u_mm", distance_u_mm)):
        require_within(field, value, 0, distance_mm)
    require_within("radius_u_mm", radius_u_mm, 0, radius_mm or 0)
    relief_rad = find_relief(drop_mm, distance_mm, way, radius_mm)
    by_drop, by_distance, by_radius = _slopes(relief_rad, distance_mm, way, radius_mm)
    drop_u = math.hypot(drop_u_mm, digit_mm / math.sqrt(12))
    combined = math.hypot(by_drop * drop_u, by_distance * distance_u_mm, by_radius * radius_u_mm)
    above = find_relief(drop_mm + digit_mm / 2, distance_mm, way, radius_mm)
    below = find_relief(drop_mm - digit_mm / 2, distance_mm, way, radius_mm)
    return ReliefReading(relief_rad, combined, (above - below) / 2)


def aim_drop(
    relief_rad: float,
    tolerance_rad: float,
    distance_mm: float,
    way: Way,
    radius_mm: float | None = None,
    *,
    land_mm: float | None = None,
) -> DropAim:
    """The drop to aim for at the final check, and the drops at the ends of the relief's tolerance.

    tolerance_rad: 0 or more, to both sides. radius_mm: of the edge as ground, not as it came. land_mm: the
    width of the land as ground; the indicator has to stay on it, so a distance beyond it is refused.
    Raises Refused naming the field and its range.
    Source: `find_drop` at three angles.

    >>> aim = aim_drop(math.radians(12), math.radians(1), 0.25, Way.TANGENT, 3.0581, land_mm=0.5)
    >>> [round(drop, 4) for drop in (aim.least_mm, aim.drop_mm, aim.most_mm)]
    [0.0382, 0.0428, 0.0473]
    """
    require_within("tolerance_rad", tolerance_rad, 0, math.pi / 4, "rad")
    if land_mm is not None and not distance_mm <= land_mm:
        raise Refused("distance_mm", f"must stay on the land, at most {land_mm:.6g} mm")
    angles = (relief_rad - tolerance_rad, relief_rad, relief_rad + tolerance_rad)
    return DropAim(*(find_drop(angle, distance_mm, way, radius_mm) for angle in angles))


def _radius(radius_mm: float | None, distance_mm: float) -> float:
    if radius_mm is None:
        raise Refused("radius_mm", "is required for a drop measured on the periphery, above 0 mm")
    require_above_zero("radius_mm", radius_mm)
    require_below("distance_mm", distance_mm, radius_mm, "the radius")
    return radius_mm


def _drop_tangent(relief_rad: float, w: float, r: float) -> float:
    height = r - w * math.tan(relief_rad)
    if height <= 0:
        raise Refused("relief_rad", f"must be below {math.degrees(math.atan(r / w)):.4g} degrees here")
    return r - math.hypot(height, w)


def _drop_land(relief_rad: float, w: float, r: float) -> float:
    return r - math.sqrt(r * r - 2 * r * w * math.sin(relief_rad) + w * w)


def _drop_arc(relief_rad: float, s: float, r: float) -> float:
    turned = s / r
    if relief_rad - turned <= -math.pi / 2:
        raise Refused("relief_rad", f"must be above {math.degrees(turned) - 90:.4g} degrees here")
    return r * (1 - math.cos(relief_rad) / math.cos(relief_rad - turned))


def _relief_tangent(drop: float, w: float, r: float) -> float:
    inside = (r - drop) ** 2 - w * w
    if inside <= 0:
        raise Refused("drop_mm", f"must be below {r - w:.6g} mm at this distance and radius")
    return math.atan((r - math.sqrt(inside)) / w)


def _relief_land(drop: float, w: float, r: float) -> float:
    sine = (w * w + 2 * r * drop - drop * drop) / (2 * r * w)
    if not -1 < sine < 1:
        raise Refused("drop_mm", f"must be between {-w:.6g} and {w:.6g} mm at this distance and radius")
    return math.asin(sine)


def _relief_arc(drop: float, s: float, r: float) -> float:
    turned = s / r
    return math.atan((r / (r - drop) - math.cos(turned)) / math.sin(turned))


_FORWARD = {Way.TANGENT: _drop_tangent, Way.LAND: _drop_land, Way.ARC: _drop_arc}
_INVERSE = {Way.TANGENT: _relief_tangent, Way.LAND: _relief_land, Way.ARC: _relief_arc}


def _slopes(relief_rad: float, w: float, way: Way, r: float | None) -> tuple[float, float, float]:
    """How the angle answers to drop, distance and radius: by implicit differentiation of the drop."""
    if way is Way.TRAVERSED or r is None:
        by_angle, by_distance, by_radius = w / math.cos(relief_rad) ** 2, math.tan(relief_rad), 0.0
    else:
        by_angle, by_distance, by_radius = _PARTIALS[way](relief_rad, w, r)
    return 1 / by_angle, -by_distance / by_angle, -by_radius / by_angle


def _partials_tangent(relief_rad: float, w: float, r: float) -> tuple[float, float, float]:
    slope = math.tan(relief_rad)
    height = r - w * slope
    there = math.hypot(height, w)
    return height / there * w * (1 + slope * slope), (height * slope - w) / there, 1 - height / there


def _partials_land(relief_rad: float, w: float, r: float) -> tuple[float, float, float]:
    sine = math.sin(relief_rad)
    there = math.sqrt(r * r - 2 * r * w * sine + w * w)
    return r * w * math.cos(relief_rad) / there, (r * sine - w) / there, 1 - (r - w * sine) / there


def _partials_arc(relief_rad: float, s: float, r: float) -> tuple[float, float, float]:
    turned = s / r
    ahead = relief_rad - turned
    by_arc = math.cos(relief_rad) * math.sin(ahead) / math.cos(ahead) ** 2
    shrunk = 1 - math.cos(relief_rad) / math.cos(ahead)
    return r * math.sin(turned) / math.cos(ahead) ** 2, by_arc, shrunk - by_arc * turned


_PARTIALS = {Way.TANGENT: _partials_tangent, Way.LAND: _partials_land, Way.ARC: _partials_arc}
