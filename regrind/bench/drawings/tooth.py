"""The outline of a tooth in the transverse section, as it stands and as it will be, for the drawings.

Points are in mm about the axis, x to the right and y up, seen from the shank for right-hand cut: the edge of tooth 1 is
at the top, the body to its left. Face, land and reliefs are the plan's own; what lies behind the secondary is a sketch.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from regrind.geometry.section import Face, find_turn, shape_face
from regrind.shop.web import svg

STEPS = 14
BEHIND, FOOT = 0.17, 0.60  # of a pitch: how long the secondary is drawn, and where the back meets the core


@dataclass(frozen=True)
class Tooth:
    """What shapes the teeth of a stored plan, mm and rad; `secondary_rad` is None where there is one relief."""

    teeth: int
    core_mm: float
    face: Face
    primary_rad: float
    secondary_rad: float | None
    land_mm: float

    @property
    def pitch_rad(self) -> float:
        return 2 * math.pi / self.teeth


def shape_tooth(case: Mapping[str, Any], answer: Mapping[str, Any], radius_mm: float) -> Tooth:
    """The tooth of a stored case and answer; a default is taken as the answer keeps it."""
    tool, used = case["tool"], {d["field"]: d["value"] for d in answer["defaults"]}

    def length(name: str) -> float | None:
        return svg.mm_of(tool.get(name)) or used.get(name)

    def angle(name: str) -> float | None:
        degrees = tool[name] if name in tool else used.get(name)
        return None if degrees is None else math.radians(degrees)

    core = (length("core_diameter") or radius_mm) / 2
    nominal = (svg.mm_of(tool["nominal_diameter"]) or 2 * radius_mm) / 2
    anchor = max(nominal, core * 1.01) if "rake_deg" in used else radius_mm
    face = shape_face(max(anchor, core * 1.01), angle("rake_deg") or 0.0, core, length("face_arc_radius"))
    return Tooth(
        tool["teeth"],
        core,
        face,
        angle("primary_relief_deg") or 0.0,
        angle("secondary_relief_deg"),
        length("primary_land") or radius_mm / 10,
    )


def place(radius_mm: float, clockwise_rad: float) -> svg.Point:
    return radius_mm * math.sin(clockwise_rad), radius_mm * math.cos(clockwise_rad)


def run_face(tooth: Tooth, turn_rad: float, from_mm: float, to_mm: float) -> list[svg.Point]:
    """Down the face from the edge, which stands at `turn_rad` and radius `from_mm`, to radius `to_mm`."""
    points = []
    for step in range(STEPS + 1):
        radius = from_mm + (to_mm - from_mm) * step / STEPS
        moved = find_turn(tooth.face, from_mm, radius)
        if moved is None:
            break
        points.append(place(radius, turn_rad - moved))
    return points or [place(from_mm, turn_rad)]


def heel(edge: svg.Point, relief_rad: float, width_mm: float) -> svg.Point:
    """The point `width_mm` behind an edge, along a land at a relief to the tangent there."""
    turn = math.atan2(edge[0], edge[1])
    along = (-math.cos(turn), math.sin(turn))
    inward = (-math.sin(turn), -math.cos(turn))
    return tuple(  # type: ignore[return-value]  # of two coordinates
        e + width_mm * (math.cos(relief_rad) * a + math.sin(relief_rad) * i)
        for e, a, i in zip(edge, along, inward, strict=True)
    )


def flank(tooth: Tooth, edge: svg.Point) -> list[svg.Point]:
    """From the edge over the primary land to the end of the secondary."""
    first = heel(edge, tooth.primary_rad, tooth.land_mm)
    if tooth.secondary_rad is None:
        return [edge, first]
    turn = math.atan2(edge[0], edge[1])
    long = BEHIND * tooth.pitch_rad * math.hypot(*edge)
    step = heel(place(1.0, turn), tooth.secondary_rad, long)
    origin = place(1.0, turn)
    return [edge, first, (first[0] + step[0] - origin[0], first[1] + step[1] - origin[1])]


def outline(tooth: Tooth, turn_rad: float, radius_mm: float, top: Sequence[svg.Point] | None = None) -> list[svg.Point]:
    """One tooth from where its back leaves the core, over the flank to the edge, down the face to the core.

    top: the flank from the edge back, where it is another than the tooth's own.
    """
    behind = list(top or flank(tooth, place(radius_mm, turn_rad)))
    edge, last = behind[0], behind[-1]
    turn = math.atan2(edge[0], edge[1])
    foot = place(tooth.core_mm, turn_rad - FOOT * tooth.pitch_rad)
    bend = place(tooth.core_mm + 0.1 * (radius_mm - tooth.core_mm), turn_rad - 0.47 * tooth.pitch_rad)
    back = [_bend(foot, bend, last, step / 8) for step in range(8)]
    return [*back, *reversed(behind), *run_face(tooth, turn, math.hypot(*edge), tooth.core_mm * 1.002)[1:]]


def _bend(a: svg.Point, over: svg.Point, b: svg.Point, t: float) -> svg.Point:
    return tuple(  # type: ignore[return-value]  # of two coordinates
        (1 - t) ** 2 * p + 2 * t * (1 - t) * q + t * t * r for p, q, r in zip(a, over, b, strict=True)
    )


def grind(tooth: Tooth, turn_rad: float, from_mm: float, to_mm: float) -> tuple[list[svg.Point], list[svg.Point]]:
    """(the flank afterwards from its new edge back, the stock that came off) where the edge is ground to `to_mm`."""
    old = flank(tooth, place(from_mm, turn_rad))
    face = run_face(tooth, turn_rad, from_mm, to_mm)
    edge = face[-1]
    if tooth.secondary_rad is None:
        new = [edge, heel(edge, tooth.primary_rad, tooth.land_mm)]
        return new, [*face, new[1], old[1]]
    meet = _cross(edge, heel(edge, tooth.primary_rad, 1.0), old[1], old[2])
    return [edge, meet, old[2]], [*face, meet, old[1]]


def draw_in(flank: Sequence[svg.Point], edge: svg.Point) -> list[svg.Point]:
    """A flank drawn further in, its edge at `edge`: turned and made smaller about the axis, so that its heel stays as
    far inside the circle of the edge as it is."""
    size = math.hypot(*edge) / math.hypot(*flank[0])
    turn = math.atan2(edge[0], edge[1]) - math.atan2(flank[0][0], flank[0][1])
    cos, sin = size * math.cos(turn), size * math.sin(turn)
    return [(x * cos + y * sin, y * cos - x * sin) for x, y in flank]


def _cross(a: svg.Point, b: svg.Point, c: svg.Point, d: svg.Point) -> svg.Point:
    """Where the line a-b meets the stretch c-d, or the nearer end of it."""
    (ux, uy), (vx, vy) = (b[0] - a[0], b[1] - a[1]), (d[0] - c[0], d[1] - c[1])
    under = ux * vy - uy * vx
    share = 1.0 if abs(under) < 1e-12 else (ux * (a[1] - c[1]) - uy * (a[0] - c[0])) / under
    share = min(1.0, max(0.0, share))
    return c[0] + share * vx, c[1] + share * vy


def worn(tooth: Tooth, turn_rad: float, radius_mm: float, depth_mm: float) -> list[svg.Point]:
    """What is gone from a tooth that is worn or broken to a depth: cut square across, parallel to the tangent."""
    edge = place(radius_mm, turn_rad)
    face = run_face(tooth, turn_rad, radius_mm, max(radius_mm - depth_mm, tooth.core_mm * 1.01))
    first = tooth.land_mm * math.sin(tooth.primary_rad)
    if depth_mm <= first or tooth.secondary_rad is None:
        return [*face, heel(edge, tooth.primary_rad, depth_mm / max(math.sin(tooth.primary_rad), 0.02))]
    _, corner, end = flank(tooth, edge)
    share = min(
        1.0, (depth_mm - first) / (math.hypot(end[0] - corner[0], end[1] - corner[1]) * math.sin(tooth.secondary_rad))
    )
    return [*face, (corner[0] + share * (end[0] - corner[0]), corner[1] + share * (end[1] - corner[1])), corner]
