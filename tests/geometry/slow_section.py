"""The transverse section of one tooth, drawn point by point with vectors instead of the paper's formulas.

The edge is at the top of the old circle, the cutting direction is +x, the body of the tooth lies towards -x.
Points are complex numbers in millimetres, angles at the edge of each function are degrees.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

from scipy.optimize import brentq

BODY = -1 + 0j


@dataclass(frozen=True)
class Face:
    """A flute face through the edge: a circle (centre, radius), or a straight line where centre is None."""

    edge: complex
    ahead: complex
    centre: complex | None = None
    arc_radius: float | None = None


def dot(a: complex, b: complex) -> float:
    return a.real * b.real + a.imag * b.imag


def cross(a: complex, b: complex) -> float:
    return a.real * b.imag - a.imag * b.real


def meet(p: complex, along_p: complex, q: complex, along_q: complex) -> float | None:
    """How far along `along_p` from p the line meets the line through q; None where they run parallel."""
    slope = cross(along_p, along_q)
    if abs(slope) < 1e-14:
        return None
    return cross(q - p, along_q) / slope


def draw_face(r: float, rake_deg: float, core_r: float, arc_radius: float | None) -> Face:
    """The face through the edge at radius r: of the measured arc, else of the arc that touches the core."""
    edge = complex(0, r)
    ahead = cmath.exp(-1j * math.radians(rake_deg))
    if arc_radius is None:
        arc_radius = touching_radius(edge, ahead, core_r)
    if arc_radius is None:
        return Face(edge, ahead)
    return Face(edge, ahead, edge + arc_radius * ahead, arc_radius)


def touching_radius(edge: complex, ahead: complex, core_r: float) -> float | None:
    """The radius of the circle through the edge, centred ahead of the face, that touches the core outside."""

    def gap(radius: float) -> float:
        return abs(edge + radius * ahead) - radius - core_r

    # As the circle grows into a straight line the gap tends to the distances of that line and of the core.
    if -dot(edge, ahead) + core_r <= 0:
        return None
    far = abs(edge)
    while gap(far) > 0:
        far *= 2
        if far > 1e9 * abs(edge):
            return None
    return float(brentq(gap, 0.0, far, xtol=1e-15, rtol=1e-15))


def point_on_face(face: Face, x: float) -> complex | None:
    """The point of the face at radius x, on the edge's side; None where the face does not get there."""
    return _point_on_line(face, x) if face.centre is None else _point_on_arc(face, x)


def _point_on_line(face: Face, x: float) -> complex | None:
    down = face.ahead * -1j
    foot = face.edge - dot(face.edge, down) * down
    if abs(foot) > x:
        return None
    return foot - math.sqrt(x * x - abs(foot) ** 2) * down


def _point_on_arc(face: Face, x: float) -> complex | None:
    away = abs(face.centre)
    toward = face.centre / away
    along = (away * away + x * x - face.arc_radius**2) / (2 * away)
    if abs(along) > x:
        return None
    aside = math.sqrt(x * x - along * along)
    sides = (toward * complex(along, aside), toward * complex(along, -aside))
    side_of_edge = cross(face.centre, face.edge)
    return next(p for p in sides if cross(face.centre, p) * side_of_edge >= 0)


def rake_deg(face: Face, x: float) -> float | None:
    """The rake at radius x: the angle between the face and the radius; None where the face ends above x."""
    point = point_on_face(face, x)
    if point is None:
        return None
    ahead = face.ahead if face.centre is None else (face.centre - point) / abs(face.centre - point)
    out = point / abs(point)
    return math.degrees(math.atan2(-dot(ahead, out), dot(ahead, out * -1j)))


def lowest_radius(face: Face) -> float:
    """How near the axis the circle of a curved face comes."""
    return abs(abs(face.centre) - face.arc_radius)


def zero_rake_radius(face: Face) -> float | None:
    """The radius below the edge at which the face points at the axis, found by bisection; or None."""
    r = abs(face.edge)
    if face.centre is None or rake_deg(face, r) <= 1e-12:
        return None
    lowest = lowest_radius(face) * (1 + 1e-12) + 1e-15
    low = rake_deg(face, lowest)
    if low is None or low >= 0:
        return None
    return float(brentq(lambda x: rake_deg(face, x), lowest, r, xtol=1e-15, rtol=1e-15))


def worn_past_heel(width: float, land: float, primary: float, rake: float) -> bool:
    """Whether a flat worn to `width` ends behind the heel of the primary land."""
    first = BODY * cmath.exp(1j * math.radians(primary))
    return worn_depth(width, land, primary, None, rake) > -(land * first).imag


def worn_depth(width: float, land: float, primary: float, secondary: float | None, rake: float) -> float:
    """Radial depth of a flat worn to `width`: where the flank, shifted by it, meets the face.

    The flat ends on the primary land where `secondary` is None, else behind the heel.
    """
    face_down = -1j * cmath.exp(-1j * math.radians(rake))
    first = BODY * cmath.exp(1j * math.radians(primary))
    if secondary is None:
        return _depth_where_meet(face_down, width, first)
    heel = land * first
    return _depth_where_meet(face_down, heel + width, BODY * cmath.exp(1j * math.radians(secondary)))


def _depth_where_meet(face_down: complex, through: complex, along: complex) -> float:
    return -(meet(0j, face_down, complex(through), along) * face_down).imag


def land_after(face: Face, x: float, land: float, primary: float, secondary: float) -> float | None:
    """The primary land once its flank is ground to radius x, the secondary left alone; None if endless."""
    edge = point_on_face(face, x)
    if edge is None:
        return None
    old_heel = face.edge + land * BODY * cmath.exp(1j * math.radians(primary))
    old_secondary = BODY * cmath.exp(1j * math.radians(secondary))
    tangent_to_body = 1j * edge / abs(edge)
    width = meet(edge, tangent_to_body * cmath.exp(1j * math.radians(primary)), old_heel, old_secondary)
    return width if width is not None and width >= 0 else None


def heel_drop(x: float, width: float, primary: float) -> float:
    """How far below the cutting circle of radius x the heel of a flat land of `width` lies."""
    heel = complex(0, x) + width * BODY * cmath.exp(1j * math.radians(primary))
    return x - abs(heel)
