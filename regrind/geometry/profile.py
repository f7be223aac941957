"""The profile of the corner: which cut-back, or which radius, takes a mark's deepest points away.

The axial half-plane: z back from the corner of the longest end tooth, x out from the axis, in mm. What is left
after grinding is the metal behind the end and inside the sides, less the corner; a mark is gone when none of its
points lies in it. All formulas: derived in the notes (corner, ball, chamfer).
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from regrind.geometry.inputs import Form

SAME_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Shape:
    """A corner that is ground on: its form, and the leg of a chamfer or a radius in mm.

    A ball's radius is that of the sides it runs into: its `size_mm` is not looked at.
    """

    form: Form
    size_mm: float = 0.0

    def radius_at(self, sides_mm: float) -> float:
        """Radius of the arc on sides of radius `sides_mm`; 0 where there is none."""
        if self.form == "ball":
            return sides_mm
        return self.size_mm if self.form == "radius" else 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """The deepest points of one mark on one tooth.

    Of a mark along the axis it is one point, at `to_mm` and `depth_mm` inside the side. On an arc of radius
    `arc_mm` the points run from `start_rad` to `to_rad`, from the axis, `depth_mm` inside the arc.
    tooth_mm: radius of the tooth. 0 <= start_rad <= to_rad <= pi/2, depth_mm below arc_mm.
    """

    tooth_mm: float
    depth_mm: float
    to_mm: float = 0.0
    arc_mm: float | None = None
    start_rad: float = 0.0
    to_rad: float = 0.0

    def point(self, angle_rad: float) -> tuple[float, float]:
        """(z, x) of the deepest point at `angle_rad` on the arc, or of the one point of a mark along the axis."""
        if self.arc_mm is None:
            return self.to_mm, self.tooth_mm - self.depth_mm
        arc, inner = self.arc_mm, self.arc_mm - self.depth_mm
        return arc - inner * math.cos(angle_rad), self.tooth_mm - arc + inner * math.sin(angle_rad)


def find_need(shape: Shape, sides_mm: float, z_mm: float, x_mm: float) -> float:
    """Least cut-back in mm that clears the point (z, x) on sides of radius `sides_mm`; -inf where they take it.

    Below 0 where the corner alone clears it, with that much to spare.
    Source: derived in the notes (corner, chamfer and ball).

    >>> round(find_need(Shape("radius", 1.0), 5.0, 1.0, 4.8), 4)
    0.6
    """
    if x_mm >= sides_mm - SAME_MM:
        return -math.inf
    if shape.form == "chamfer":
        return z_mm - max(0.0, shape.size_mm - (sides_mm - x_mm))
    radius = shape.radius_at(sides_mm)
    inside = x_mm - (sides_mm - radius)
    if inside <= 0:
        return z_mm
    return z_mm - radius + math.sqrt(max(0.0, radius**2 - inside**2))


def find_largest_need(shape: Shape, sides_mm: float, spot: Spot) -> float:
    """Least cut-back in mm that clears every deepest point of a mark; -inf where the sides take it.

    The extent's largest lies at an end, where the new arc begins, where the slope is 0, or just before the sides' own
    radius.
    Source: derived in the notes (corner, chamfer and ball).

    >>> ball = Spot(6.3375, 0.1524, arc_mm=6.3375, to_rad=math.radians(66.496))
    >>> round(find_largest_need(Shape("ball"), 6.3375, ball), 5)
    0.3605
    """
    return trace_need(shape, sides_mm, spot)[0]


def trace_need(shape: Shape, sides_mm: float, spot: Spot) -> tuple[float, tuple[float | None, ...]]:
    """`find_largest_need` and the angles on the arc where it lies (all ties); None for a limit just before the sides'.

    A mark along the axis has one point, at the angle 0. Where the whole extent ties, its ends stand for it.
    Source: derived in the notes (corner, chamfer and ball).

    >>> trace_need(Shape("square"), 5.0, Spot(5.0, 0.1, to_mm=2.0))
    (2.0, (0.0,))
    """
    if spot.arc_mm is None:
        return find_need(shape, sides_mm, *spot.point(0.0)), (0.0,)
    angles: list[float | None] = list(_angles_of_need(shape, sides_mm, spot))
    needs = [find_need(shape, sides_mm, *spot.point(angle or 0.0)) for angle in angles]
    side = _angle_at_radius(spot, sides_mm)
    if side is not None and spot.start_rad < side <= spot.to_rad:
        needs.append(spot.point(side)[0] - shape.radius_at(sides_mm))
        angles.append(None)
    most = max(needs)
    return most, _list_ties(angles, needs, most)


def _angles_of_need(shape: Shape, sides_mm: float, spot: Spot) -> Iterator[float]:
    yield spot.start_rad
    yield spot.to_rad
    arc, radius = spot.arc_mm or 0.0, shape.radius_at(sides_mm)
    flat, level = _angle_at_radius(spot, sides_mm - radius), None
    over = radius - arc + spot.depth_mm
    if over:
        level = _arcsin((radius - arc + spot.tooth_mm - sides_mm) / over)
    yield from (angle for angle in (flat, level) if angle is not None and spot.start_rad < angle < spot.to_rad)


def _angle_at_radius(spot: Spot, x_mm: float) -> float | None:
    """Where on the arc the deepest point comes to the radius `x_mm`."""
    arc = spot.arc_mm or 0.0
    return _arcsin((x_mm - spot.tooth_mm + arc) / (arc - spot.depth_mm))


def find_radius(shape: Shape, end_mm: float, z_mm: float, x_mm: float) -> float:
    """Largest radius of the sides in mm that clears the point (z, x) with the end cut at `end_mm`; inf for any.

    Source: derived in the notes (corner, chamfer and ball).

    >>> find_radius(Shape("chamfer", 0.5), 0.0, 0.3, 4.85)
    5.05
    """
    behind = z_mm - end_mm
    if behind <= SAME_MM:
        return math.inf
    if shape.form == "chamfer":
        return x_mm + max(0.0, shape.size_mm - behind)
    if shape.form == "ball":
        return x_mm if x_mm < behind else (behind**2 + x_mm**2) / (2 * behind)
    before = shape.size_mm - behind
    return x_mm if before <= 0 else x_mm + shape.size_mm - math.sqrt(max(0.0, shape.size_mm**2 - before**2))


def find_least_radius(shape: Shape, end_mm: float, spot: Spot) -> float:
    """Largest radius of the sides in mm that clears every deepest point of a mark; inf for any.

    The extent's smallest lies at an end, where the new arc ends, where the slope is 0, or just behind the new end.
    Source: derived in the notes (corner, chamfer and ball).

    >>> chip = Spot(5.0, 0.08, arc_mm=1.0, start_rad=math.radians(20), to_rad=math.radians(70))
    >>> round(find_least_radius(Shape("radius", 1.0), 0.0, chip), 5)
    4.81206
    """
    return trace_radius(shape, end_mm, spot)[0]


def trace_radius(shape: Shape, end_mm: float, spot: Spot) -> tuple[float, tuple[float | None, ...]]:
    """`find_least_radius` and the angles on the arc where it lies (all ties); None for a limit just behind the new end.

    A mark along the axis has one point, at the angle 0. Where the whole extent ties, its ends stand for it.
    Source: derived in the notes (corner, chamfer and ball).

    >>> trace_radius(Shape("square"), 0.0, Spot(5.0, 0.1, to_mm=2.0))
    (4.9, (0.0,))
    """
    if spot.arc_mm is None:
        return find_radius(shape, end_mm, *spot.point(0.0)), (0.0,)
    angles: list[float | None] = list(_angles_of_radius(shape, end_mm, spot))
    radii = [find_radius(shape, end_mm, *spot.point(angle or 0.0)) for angle in angles]
    end = _arccos((spot.arc_mm - end_mm) / (spot.arc_mm - spot.depth_mm))
    if shape.form != "ball" and end is not None and spot.start_rad <= end < spot.to_rad:
        radii.append(spot.point(end)[1] + shape.size_mm)
        angles.append(None)
    least = min(radii)
    return least, _list_ties(angles, radii, least)


def _list_ties(angles: list[float | None], values: list[float], extreme: float) -> tuple[float | None, ...]:
    """The angles, each once, at which the extreme lies; where there is none at all (infinite), the first.

    A limit (None) counts only where no point of the extent ties with it: its slope has no bound there.
    """
    ties = [angle for angle, value in zip(angles, values, strict=True) if abs(value - extreme) <= SAME_MM]
    points = tuple(dict.fromkeys(angle for angle in ties if angle is not None))
    return points or tuple(ties[:1]) or (angles[0],)


def _angles_of_radius(shape: Shape, end_mm: float, spot: Spot) -> Iterator[float]:
    """On a ball the radius rises or falls throughout, so that its ends suffice."""
    yield spot.start_rad
    yield spot.to_rad
    if shape.form == "ball":
        return
    arc, radius = spot.arc_mm or 0.0, shape.size_mm
    over = radius - arc + spot.depth_mm
    flat, level = _arccos((arc - radius - end_mm) / (arc - spot.depth_mm)), None
    if over:
        level = _arccos((end_mm + radius - arc) / over)
    yield from (angle for angle in (flat, level) if angle is not None and spot.start_rad < angle < spot.to_rad)


def find_put_on_need(old: Shape, new: Shape, tooth_mm: float, sides_mm: float) -> float:
    """Least cut-back in mm so that nothing has to be put on for a sharper corner; -inf where nothing has.

    tooth_mm: the tooth's radius now. sides_mm: as ground, or the tooth's own where the sides are left.
    A square or a larger corner costs nothing; a smaller ball lies within the old.
    Source: derived in the notes (corner, chamfer and ball).

    >>> find_put_on_need(Shape("radius", 1.0), Shape("radius", 0.5), 5.0, 5.0)
    0.5
    """
    lost = tooth_mm - sides_mm
    if old.form == "chamfer":
        over = old.size_mm - new.size_mm - lost
        return over if over > 0 else -math.inf
    sharper = old.radius_at(tooth_mm) - new.radius_at(sides_mm)
    inside = sharper - lost
    if sharper <= SAME_MM or inside <= SAME_MM:
        return -math.inf
    return sharper - math.sqrt(max(0.0, sharper**2 - inside**2))


def _arcsin(sine: float) -> float | None:
    return math.asin(sine) if abs(sine) <= 1 else None


def _arccos(cosine: float) -> float | None:
    return math.acos(cosine) if abs(cosine) <= 1 else None
