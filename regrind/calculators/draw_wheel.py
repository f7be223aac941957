"""The straight wheel on its periphery beside the tool, to scale, its centre shown by its height."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import SvgCanvas, polar

WIDTH, HEIGHT = 400, 330


def draw_straight_wheel(radius: float, wheel: float, edge: float, above: float, unit: Unit) -> SafeString:
    """From the shank: the tool at the left, the wheel at the right, as much of it as there is room for."""
    scale = min(70 / radius, 170 / (abs(above) + radius), 92 / abs(above) if above else math.inf)
    high = 40 + max(above * scale, radius * scale, 0)
    sketch = SvgCanvas(WIDTH, HEIGHT, scale, (200, min(max(high, 150.0), 210.0)), unit)
    reach = math.sqrt(radius**2 - edge**2)
    centre = (reach + math.sqrt(max(wheel**2 - (above - edge) ** 2, 0.0)), above)
    px = 1 / scale
    _periphery(sketch, centre, wheel)
    sketch.circle((0.0, 0.0), radius, "centre")
    angle = math.asin(edge / radius)
    outline = [(0.62, -0.30), (0.72, -0.10), (1.0, 0.0), (0.985, 0.16), (0.9, 0.42), (0.7, 0.62), (0.62, 0.75)]
    sketch.path([polar((0.0, 0.0), r * radius, angle + turn) for r, turn in outline], "will")
    right = (WIDTH - 8 - sketch.origin[0]) * px
    sketch.line((-radius - 14 * px, 0.0), (right, 0.0), "centre")
    sketch.line((0.0, -radius - 14 * px), (0.0, radius + 14 * px), "centre")
    sketch.line((reach, above), (right, above), "centre")
    sketch.dot((reach, edge))
    _height(sketch, radius, above)
    if edge:
        x_px = sketch.origin[0] - radius * scale - 12
        sketch.upright(
            0.0,
            edge,
            x_px,
            f"y {formatting.size(edge, unit)}",
            side="left",
            from_x=(sketch.origin[0] - radius * scale, sketch.to_px(reach, 0)[0]),
        )
    _names(sketch, centre, wheel, above)
    return sketch.finish(f"The wheel’s centre {formatting.size(above, unit)} above the tool’s")


def _periphery(sketch: SvgCanvas, centre: tuple[float, float], wheel: float) -> None:
    """The part of the wheel's edge that is inside the drawing."""
    top, bottom = (sketch.origin[1] - 26) / sketch.scale, (sketch.origin[1] - HEIGHT + 34) / sketch.scale
    right = (WIDTH - sketch.origin[0]) / sketch.scale
    angles = [math.pi / 2 + math.pi * k / 720 for k in range(721)]
    points = [p for p in (polar(centre, wheel, a) for a in angles) if bottom <= p[1] <= top and p[0] <= right]
    if len(points) > 1:
        sketch.path([*points, (right, points[-1][1]), (right, points[0][1])], "body", closed=True)
        sketch.path(points, "was")


def _height(sketch: SvgCanvas, radius: float, above: float) -> None:
    """H beside the tool; its figure away from the wheel's centre line where that is near."""
    x_px, words = sketch.origin[0] + radius * sketch.scale + 16, f"H {formatting.size(above, sketch.unit)}"
    near = abs(above) * sketch.scale < 48
    sketch.upright(0.0, above, x_px, "" if near else words)
    if near:
        sketch.write((x_px + 8, sketch.origin[1] + (24 if above >= 0 else -14)), words)


def _names(sketch: SvgCanvas, centre: tuple[float, float], wheel: float, above: float) -> None:
    y = sketch.to_px(0, above)[1]
    sketch.write(
        (WIDTH - 8, y - 8 if above >= 0 else y + 18), "wheel’s centre line", anchor="end", look="note", size=14
    )
    far = sketch.to_px(*centre)[0]
    if far < WIDTH - 10:
        sketch.dot(centre, "will")
    else:
        sketch.write(
            (WIDTH - 8, 18),
            f"R {formatting.size(wheel, sketch.unit)}, centre to the right",
            anchor="end",
            look="note",
            size=14,
        )
    sketch.write((8, 18), "tool, from the shank", look="note", size=14)
