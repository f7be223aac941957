"""How the needs of a corner follow what they come from: partial derivatives of `profile`, point by point.

At an extent's largest or smallest the angle counts as fixed: at an end it is given, elsewhere the slope by it is 0.
Only the limits just before the sides' radius and just behind the new end move with everything: they are followed by
small steps. All formulas: derivatives of those in `profile`.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from regrind.geometry.flow import differentiate
from regrind.geometry.profile import (
    Shape,
    Spot,
    find_largest_need,
    find_least_radius,
    trace_need,
    trace_radius,
)


@dataclass(frozen=True, slots=True)
class CornerSlopes:
    """Slopes in mm per mm. `by_depth`: a mark's; `by_tooth`: its tooth's radius; `by_corner`: the size of the tool's
    own corner; `by_other`: the radius of the sides (of a need) or where the end is cut (of a radius)."""

    by_depth: float
    by_tooth: float
    by_corner: float
    by_other: float


def follow_need(old: Shape, new: Shape, sides_mm: float, spot: Spot, *, same: bool) -> list[CornerSlopes]:
    """Slopes of `find_largest_need`, for each point where it lies.

    old: the tool's own corner. same: whether `new` is that, and grows with it.
    Source: derivatives of the formulas of `profile`.

    >>> follow_need(Shape("square"), Shape("chamfer", 0.5), 5.0, Spot(5.0, 0.1, to_mm=0.7), same=False)
    [CornerSlopes(by_depth=1.0, by_tooth=-1.0, by_corner=0.0, by_other=1.0)]
    """
    slopes = []
    for angle in trace_need(new, sides_mm, spot)[1]:
        if angle is None:
            slopes.append(_step(find_largest_need, old, new, sides_mm, spot, same))
            continue
        by_x, by_sides, by_size = _need_slopes(new, sides_mm, spot.point(angle)[1])
        slopes.append(_collect(old, new, spot, angle, (1.0, by_x), by_sides, by_size, same))
    return slopes


def follow_radius(old: Shape, new: Shape, end_mm: float, spot: Spot, *, same: bool) -> list[CornerSlopes]:
    """Slopes of `find_least_radius`, for each point where it lies.

    old: the tool's own corner. same: whether `new` is that, and grows with it.
    Source: derivatives of the formulas of `profile`.

    >>> follow_radius(Shape("square"), Shape("chamfer", 0.5), 0.0, Spot(5.0, 0.1, to_mm=0.3), same=False)
    [CornerSlopes(by_depth=-1.0, by_tooth=1.0, by_corner=0.0, by_other=1.0)]
    """
    slopes = []
    for angle in trace_radius(new, end_mm, spot)[1]:
        if angle is None:
            slopes.append(_step(find_least_radius, old, new, end_mm, spot, same))
            continue
        z, x = spot.point(angle)
        by_z, by_x, by_size = _radius_slopes(new, end_mm, z, x)
        slopes.append(_collect(old, new, spot, angle, (by_z, by_x), -by_z, by_size, same))
    return slopes


def _need_slopes(new: Shape, sides: float, x: float) -> tuple[float, float, float]:
    """By the point's x, the sides' radius and the corner's size (a ball's through the sides)."""
    if new.form == "chamfer":
        inside = float(new.size_mm - (sides - x) > 0)
        return -inside, inside, -inside
    radius = new.radius_at(sides)
    across = x - (sides - radius)
    if across <= 0:
        return 0.0, 0.0, 0.0
    root = math.sqrt(max(1e-18, radius**2 - across**2))
    by_size = (radius - across) / root - 1
    return -across / root, across / root + (by_size if new.form == "ball" else 0.0), by_size


def _radius_slopes(new: Shape, end: float, z: float, x: float) -> tuple[float, float, float]:
    """By the point's z and x and by the corner's size; by the end's cut as by z, the other way round."""
    behind = z - end
    if new.form == "chamfer":
        inside = float(new.size_mm - behind > 0)
        return -inside, 1.0, inside
    if new.form == "ball":
        return (0.0, 1.0, 0.0) if x < behind else ((1 - (x / behind) ** 2) / 2, x / behind, 0.0)
    before = new.size_mm - behind
    if before <= 0:
        return 0.0, 1.0, 0.0
    root = math.sqrt(max(1e-18, new.size_mm**2 - before**2))
    return -before / root, 1.0, 1 - (new.size_mm - before) / root


def _collect(
    old: Shape,
    new: Shape,
    spot: Spot,
    angle: float,
    by: tuple[float, float],
    by_other: float,
    by_size: float,
    same: bool,
) -> CornerSlopes:
    """From a point's z and x to the depth, the tooth and the arc that it comes from."""
    by_z, by_x = by
    by_corner = by_size if same and new.form != "ball" else 0.0
    if spot.arc_mm is None:
        return CornerSlopes(-by_x, by_x, by_corner, by_other)
    sine, cosine = math.sin(angle), math.cos(angle)
    by_arc = by_z * (1 - cosine) + by_x * (sine - 1)
    by_depth, by_tooth = by_z * cosine - by_x * sine, by_x
    if old.form == "ball":
        return CornerSlopes(by_depth, by_tooth + by_arc, by_corner, by_other)
    return CornerSlopes(by_depth, by_tooth, by_corner + by_arc, by_other)


def _step(
    find: Callable[[Shape, float, Spot], float], old: Shape, new: Shape, other_mm: float, spot: Spot, same: bool
) -> CornerSlopes:
    def answer(depth: float, tooth: float, corner: float, other: float) -> float:
        arc = tooth if old.form == "ball" else corner
        shape = Shape(new.form, corner) if same else new
        return find(shape, other, Spot(tooth, depth, 0.0, arc, spot.start_rad, spot.to_rad))

    return CornerSlopes(*differentiate(answer, (spot.depth_mm, spot.tooth_mm, old.size_mm, other_mm)))


def follow_put_on(old: Shape, new: Shape, tooth_mm: float, sides_mm: float) -> tuple[float, float, float]:
    """Slopes of `find_put_on_need` by the tooth's radius, the old corner's size and the sides' radius.

    Source: derivatives of the formulas of `profile`.

    >>> follow_put_on(Shape("radius", 1.0), Shape("radius", 0.5), 5.0, 5.0)
    (0.0, 1.0, 0.0)
    """
    if old.form == "chamfer":
        return -1.0, 1.0, 1.0
    sharper = old.radius_at(tooth_mm) - new.size_mm
    inside = sharper - (tooth_mm - sides_mm)
    root = math.sqrt(max(0.0, sharper**2 - inside**2))
    if root == 0:
        return (1.0, 0.0, 0.0) if old.form == "ball" else (0.0, 1.0, 0.0)
    by_sharper, by_inside = 1 - sharper / root, inside / root
    by_size = by_sharper + by_inside
    by_tooth = -by_inside + (by_size if old.form == "ball" else 0.0)
    return by_tooth, 0.0 if old.form == "ball" else by_size, by_inside
