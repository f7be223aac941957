"""The edge from the shank, much enlarged: tangent, land, cutting circle, and where the indicator stands."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.relief import Way
from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import Point, SvgCanvas, polar

WIDTH, HEIGHT = 400, 330
RAKE = math.radians(8)  # only how the face is drawn


def draw_relief(relief: float, w: float, drop: float, way: Way, radius: float, unit: Unit) -> SafeString:
    """relief in radians; w, drop and radius in mm; the edge at (0, 0), the axis under it, the body towards −x."""
    touched = _touched(relief, w, way, radius)
    fall = max(abs(touched[1]), abs(w * math.tan(relief)), w * 0.05)
    scale = min(215 / w, 100 / fall)
    sketch = SvgCanvas(WIDTH, HEIGHT, scale, (282, 118), unit)
    left_edge = -266 / scale
    circled = way is not Way.TRAVERSED
    _body(sketch, relief, left_edge)
    sketch.line((left_edge, 0), (100 / scale, 0), "dim")
    if circled:
        _circle(sketch, radius, left_edge)
    _distance(sketch, w, way, touched, radius)
    _drop(sketch, touched, drop, circled, radius)
    _angle(sketch, relief, w, in_body=way is Way.ARC)
    return sketch.finish(
        f"The edge enlarged: relief {formatting.degrees(relief)}, drop {formatting.size(drop, unit)} at "
        f"{formatting.size(w, unit)} behind the edge"
    )


def _touched(relief: float, w: float, way: Way, radius: float) -> Point:
    if way is Way.LAND:
        return -w * math.cos(relief), -w * math.sin(relief)
    if way is Way.ARC:
        turned = w / radius
        there = radius * math.cos(relief) / math.cos(relief - turned)
        return -there * math.sin(turned), there * math.cos(turned) - radius
    return -w, -w * math.tan(relief)


def _body(sketch: SvgCanvas, relief: float, left_edge: float) -> None:
    deep = (sketch.origin[1] - HEIGHT + 30) / sketch.scale
    heel = (left_edge, left_edge * math.tan(relief))
    foot = (deep * math.tan(RAKE), deep)
    outline = [foot, (0.0, 0.0), heel]
    if heel[1] > deep:
        sketch.path([*outline, (left_edge, deep)], "body", closed=True)
    sketch.path(outline, "will")


def _circle(sketch: SvgCanvas, radius: float, left_edge: float) -> None:
    """The cutting circle as far as the drawing goes, and its name at the right."""
    right = 100 / sketch.scale
    xs = [left_edge + (right - left_edge) * k / 60 for k in range(61)]
    low = (sketch.origin[1] - HEIGHT + 40) / sketch.scale
    points = [(x, math.sqrt(radius**2 - x * x) - radius) for x in xs if abs(x) < radius]
    sketch.path([p for p in points if p[1] > low], "centre")
    end = [p for p in points if p[1] > low and p[0] <= right * 0.7][-1]
    sketch.write((WIDTH - 6, sketch.origin[1] + 64), "cutting circle", anchor="end", look="note", size=14)
    sketch.line((end[0], -48 / sketch.scale), end, "dim")


def _distance(sketch: SvgCanvas, w: float, way: Way, touched: Point, radius: float) -> None:
    letter = "s" if way is Way.ARC else "w"
    words = f"{letter} {formatting.size(w, sketch.unit)}"
    if way is Way.LAND:
        _along_land(sketch, touched, words)
        return
    if way is Way.ARC:
        _along_arc(sketch, w, radius, words)
        return
    sketch.across(touched[0], 0.0, 34, words, from_y=(sketch.origin[1] - 6, sketch.origin[1] - 6))


def _along_land(sketch: SvgCanvas, touched: Point, words: str) -> None:
    """A dimension beside the land, inside the body."""
    long = math.hypot(*touched)
    out = (touched[1] / long * 26 / sketch.scale, -touched[0] / long * 26 / sketch.scale)
    sign = -1 if out[1] > 0 else 1
    a, b = (sign * out[0], sign * out[1]), (touched[0] + sign * out[0], touched[1] + sign * out[1])
    for start, end in (((0.0, 0.0), a), (touched, b)):
        sketch.line(start, (start[0] + (end[0] - start[0]) * 1.2, start[1] + (end[1] - start[1]) * 1.2), "dim")
    sketch.measure(sketch.to_px(*a), sketch.to_px(*b))
    middle = sketch.to_px((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    sketch.write((middle[0] + 12, middle[1] + 24), words, anchor="middle")


def _along_arc(sketch: SvgCanvas, s: float, radius: float, words: str) -> None:
    """A dimension along the circle, a little outside of it."""
    axis, out = (0.0, -radius), radius + 44 / sketch.scale
    turned = s / radius
    sketch.arc(axis, out, math.pi / 2, math.pi / 2 + turned, "dim")
    for angle, way in ((math.pi / 2, -1), (math.pi / 2 + turned, 1)):
        start, end = polar(axis, radius + 6 / sketch.scale, angle), polar(axis, out + 5 / sketch.scale, angle)
        sketch.line(start, end, "dim")
        sketch.arrow(sketch.to_px(*polar(axis, out, angle)), (-way * math.sin(angle), -way * math.cos(angle)))
    middle = sketch.to_px(*polar(axis, out, math.pi / 2 + turned / 2))
    sketch.write((middle[0] - 24, middle[1] - 16), words, anchor="middle")


def _drop(sketch: SvgCanvas, touched: Point, drop: float, circled: bool, radius: float) -> None:
    """The drop between circle (or tangent) and land, and its figure inside the body."""
    above = (touched[0], 0.0)
    if circled:
        long = math.hypot(touched[0], touched[1] + radius)
        above = (touched[0] * radius / long, (touched[1] + radius) * radius / long - radius)
    sketch.measure(sketch.to_px(*above), sketch.to_px(*touched))
    sketch.dot(touched)
    px = sketch.to_px(*min(touched, above, key=lambda p: p[1]))
    anchor = "end" if px[0] > 150 else "start"
    sketch.write((px[0] - 10, px[1] + 46), f"d {formatting.size(drop, sketch.unit)}", anchor=anchor)


def _angle(sketch: SvgCanvas, relief: float, w: float, *, in_body: bool) -> None:
    """The angle between tangent and land, its figure above the tangent, or in the body where that is taken."""
    radius = 0.55 * w
    sketch.turn((0.0, 0.0), radius, math.pi, math.pi + relief)
    middle = polar((0.0, 0.0), radius, math.pi + relief / 2)
    x, y = sketch.to_px(*polar((0.0, 0.0), radius, math.pi + relief)) if in_body else sketch.to_px(middle[0], 0.0)
    if in_body:
        sketch.line(middle, (middle[0] + 14 / sketch.scale, (sketch.origin[1] - y - 22) / sketch.scale), "dim")
        sketch.write((x - 6, y + 38), f"α {formatting.degrees(relief)}")
        return
    sketch.line(middle, (middle[0] + 6 / sketch.scale, 22 / sketch.scale), "dim")
    sketch.write((x + 10, y - 26), f"α {formatting.degrees(relief)}")
