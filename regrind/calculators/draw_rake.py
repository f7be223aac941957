"""One tooth in the transverse section, to scale: the face's arc, the circles now and after, zero rake, the core."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.section import Face, find_turn
from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import Point, SvgCanvas, polar, spread_labels

WIDTH, HEIGHT = 400, 350
TOP, DEPTH, EDGE_X = 50, 215, 190


def draw_face(
    face: Face, radius: float, after: float, zero: float | None, relief: float, land: float, unit: Unit
) -> SafeString:
    """The edge at the top, cutting to the right; the axis is below the drawing or at its foot."""
    scale = DEPTH / (radius - face.core_mm)
    sketch = SvgCanvas(WIDTH, HEIGHT, scale, (EDGE_X, TOP + radius * scale), unit)
    line = _face_points(face, radius)
    _body(sketch, line, radius, relief, land, face)
    circles = [(radius, "was", "D"), (after, "will", "D′"), (face.core_mm, "centre", "core")]
    if zero is not None and zero / 2 > face.core_mm:
        circles.append((zero / 2, "limit", "D₀"))
    ends = [(_arc(sketch, r, look), f"{letter} {formatting.size(2 * r, unit)}") for r, look, letter in circles]
    sketch.path(line, "was")
    sketch.line((0.0, radius + 26 / scale), (0.0, max(face.core_mm - 60 / scale, 0.0)), "centre")
    _label(sketch, sorted(ends, key=lambda end: end[0][1]))
    return sketch.finish("One tooth in section: its face runs inward from the edge, losing rake")


def _face_points(face: Face, radius: float) -> list[Point]:
    """The face from the edge inwards, as far as its arc reaches."""
    points, right = list[Point](), (274 - EDGE_X) / DEPTH * (radius - face.core_mm)
    for k in range(61):
        x = radius - (radius - face.core_mm) * k / 60
        turn = find_turn(face, radius, x)
        point = None if turn is None else polar((0.0, 0.0), x, math.pi / 2 + turn)
        if point is None or point[0] > right:
            break
        points.append(point)
    return points


def _body(sketch: SvgCanvas, line: list[Point], radius: float, relief: float, land: float, face: Face) -> None:
    heel = (-land * math.cos(relief), radius - land * math.sin(relief))
    left_edge = (6 - EDGE_X) / sketch.scale
    back = (left_edge, heel[1] + (left_edge - heel[0]) * math.tan(min(relief + 0.2, 1.2)))
    floor = (TOP + radius * sketch.scale - (HEIGHT - 36)) / sketch.scale
    outline = [back, heel, *line]
    if back[1] < floor:
        back = (heel[0] - (heel[1] - floor) / math.tan(min(relief + 0.2, 1.2)), floor)
        outline[0] = back
    sketch.path([*outline, (line[-1][0], floor), (back[0], floor)], "body", closed=True)
    sketch.path([back, heel, line[0]], "was")


def _arc(sketch: SvgCanvas, r: float, look: str) -> Point:
    """A circle as far as the drawing goes; answers the px of its end at the right."""
    left_edge, right = (6 - EDGE_X) / sketch.scale, (276 - EDGE_X) / sketch.scale
    floor = (TOP + sketch.origin[1] - TOP - (HEIGHT - 34)) / sketch.scale
    points = []
    for k in range(97):
        x = left_edge + (right - left_edge) * k / 96
        if abs(x) < r and math.sqrt(r * r - x * x) > floor:
            points.append((x, math.sqrt(r * r - x * x)))
    sketch.path(points or [(0.0, r)], look)
    return sketch.to_px(*(points or [(0.0, r)])[-1])


def _label(sketch: SvgCanvas, ends: list[tuple[Point, str]]) -> None:
    rows = spread_labels([end[1] for end, _ in ends], 24, 24, HEIGHT - 44)
    for (end, words), y in zip(ends, rows, strict=True):
        sketch.line(
            ((end[0] - sketch.origin[0] + 3) / sketch.scale, (sketch.origin[1] - end[1]) / sketch.scale),
            ((282 - sketch.origin[0]) / sketch.scale, (sketch.origin[1] - y) / sketch.scale),
            "dim",
        )
        sketch.write((287, y + 5), words)
