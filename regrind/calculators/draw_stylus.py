"""Stylus and cup wheel: looked at along the axis, and from the wheel's side, both to scale."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.lag import StylusSetup
from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import Point, SvgCanvas, polar

WIDTH = 400
END_ON, ALONG = 330, 300


def draw_end_on(radius: float, relief: float, setup: StylusSetup, agree: bool, unit: Unit) -> SafeString:
    """From the shank: the wheel's face upright at the right, the edge under it, and the edge where the stylus bears."""
    sketch = SvgCanvas(WIDTH, END_ON, 104 / radius, (176, 150), unit)
    held = relief - setup.lag_rad if agree else relief + setup.lag_rad
    face = radius * math.cos(relief)
    tip = polar((0.0, 0.0), radius, -held)
    px = 1 / sketch.scale
    sketch.path(
        [(face, 132 * px), (face + 34 * px, 132 * px), (face + 34 * px, -118 * px), (face, -118 * px)],
        "body",
        closed=True,
    )
    _stylus(sketch, tip, px)
    sketch.circle((0.0, 0.0), radius, "centre")
    sketch.line((-radius - 50 * px, 0.0), (radius + 110 * px, 0.0), "centre")
    sketch.line((0.0, -radius - 14 * px), (0.0, radius + 14 * px), "centre")
    _tooth(sketch, radius, -held, "was")
    _tooth(sketch, radius, -relief, "will")
    sketch.line((face, 132 * px), (face, -118 * px), "was")
    sketch.dot(tip)
    _angles(sketch, radius, relief, held, setup)
    sketch.write((sketch.to_px(face, 0)[0] + 40, 24), "wheel’s face", look="note", size=14)
    _height(sketch, tip, setup, radius)
    return sketch.finish(
        f"Along the axis: stylus tip {formatting.size(abs(setup.tip_below_mm), unit)} "
        f"{'below' if setup.tip_below_mm >= 0 else 'above'} centre"
    )


def _tooth(sketch: SvgCanvas, radius: float, angle: float, look: str) -> None:
    """One tooth, its face looking down, the edge at `angle`; schematic but for the edge."""
    outline = [(0.62, -0.30), (0.72, -0.10), (1.0, 0.0), (0.985, 0.16), (0.9, 0.42), (0.7, 0.62), (0.62, 0.75)]
    sketch.path([polar((0.0, 0.0), r * radius, angle + turn) for r, turn in outline], look)


def _stylus(sketch: SvgCanvas, tip: Point, px: float) -> None:
    foot = min(tip[1] - 40 * px, -140 * px)
    blade = [
        tip,
        (tip[0] - 13 * px, tip[1] - 12 * px),
        (tip[0] - 13 * px, foot),
        (tip[0] + 3 * px, foot),
        (tip[0] + 3 * px, tip[1]),
    ]
    sketch.path(blade, "body", closed=True)
    sketch.path(blade, "was", closed=True)
    place = sketch.to_px(tip[0], foot)
    sketch.write((place[0] + 12, min(place[1] + 2, END_ON - 34)), "stylus", look="note", size=14)


def _angles(sketch: SvgCanvas, radius: float, relief: float, held: float, setup: StylusSetup) -> None:
    for angle in (-relief, -held):
        sketch.line((0.0, 0.0), polar((0.0, 0.0), radius, angle), "dim")
    sketch.turn((0.0, 0.0), 0.42 * radius, 0.0, -relief)
    sketch.turn((0.0, 0.0), 0.62 * radius, -relief, -held)
    sketch.write((sketch.origin[0] - 8, sketch.origin[1] + 26), f"α {formatting.degrees(relief, 1)}", anchor="end")
    sketch.write(
        (sketch.origin[0] - 8, sketch.origin[1] + 48), f"Δθ {formatting.degrees(setup.lag_rad, 1)}", anchor="end"
    )


def _height(sketch: SvgCanvas, tip: Point, setup: StylusSetup, radius: float) -> None:
    """The tip's height from the centre line, at the far right, clear of the wheel."""
    x_px = sketch.to_px(radius, 0)[0] + 62
    words = f"h {formatting.size(abs(setup.tip_below_mm), sketch.unit)}"
    sketch.line(tip, ((x_px + 5 - sketch.origin[0]) / sketch.scale, tip[1]), "dim")
    top = sketch.to_px(0, max(0.0, tip[1]))[1]
    sketch.measure((x_px, sketch.to_px(0, tip[1])[1]), (x_px, sketch.origin[1]))
    low = sketch.to_px(0, min(0.0, tip[1]))[1]
    sketch.write((WIDTH - 6, low + 32 if tip[1] >= 0 else top - 26), words, anchor="end")


def draw_along(
    radius: float, relief: float, helix: float, gap: float, wheel: float, stylus: float, agree: bool, unit: Unit
) -> SafeString:
    """From the wheel's side: shank at the left, end face at the right; the edge, the wheel's face and the stylus."""
    spans = _spans(gap, wheel, stylus, agree)
    low, high = min(span[0] for span in spans), max(span[1] for span in spans)
    room = max(high - low, 0.35 * radius)
    scale = min(250 / room, 74 / radius)
    middle = (high + low) / 2
    sketch = SvgCanvas(WIDTH, ALONG, scale, (WIDTH / 2 + middle * scale, 132), unit)
    left_edge, right = _ends(sketch)
    sketch.path([(left_edge, radius), (right, radius), (right, -radius), (left_edge, -radius)], "body", closed=True)
    for y in (radius, -radius):
        sketch.line((left_edge, y), (right, y), "was")
    sketch.line((left_edge, 0.0), (right, 0.0), "centre")
    _edge(sketch, radius, relief, helix, agree, (left_edge, right))
    _bands(sketch, spans, radius, agree, relief, helix)
    sketch.write((8, 18), "to the shank", look="note", size=14)
    sketch.write((WIDTH - 8, 18), "to the end", look="note", anchor="end", size=14)
    e = gap if agree else gap + wheel + stylus
    bottom = sketch.to_px(0, -radius)[1] + 44
    low_y, cut_x = sketch.to_px(0, -radius)[1], sketch.to_px(0, 0)[0]
    sketch.across(0.0, -e, bottom, "", from_y=(low_y + 8, low_y + 16))
    sketch.write((cut_x + 26, bottom + 5), f"e {formatting.size(e, unit)}")
    return sketch.finish("From the wheel’s side: the edge climbs or falls from the wheel to the stylus")


def _spans(gap: float, wheel: float, stylus: float, agree: bool) -> list[tuple[float, float]]:
    """Wheel and stylus along the axis, towards the shank, from the wheel's cutting corner; as (from, to)."""
    if agree:
        return [(-wheel, 0.0), (gap, gap + stylus)]
    return [(0.0, wheel), (wheel + gap, wheel + gap + stylus)]


def _ends(sketch: SvgCanvas) -> tuple[float, float]:
    return -sketch.origin[0] / sketch.scale, (WIDTH - sketch.origin[0]) / sketch.scale


def _edge(
    sketch: SvgCanvas, radius: float, relief: float, helix: float, agree: bool, ends: tuple[float, float]
) -> None:
    """The cutting edge as a helix, its near half; x to the right is towards the end, so against the distance."""
    sign, points = -1 if agree else 1, []
    for k in range(241):
        x = ends[0] + (ends[1] - ends[0]) * k / 240
        angle = relief + sign * -x * math.tan(helix) / radius
        if abs(angle) < math.pi / 2:
            points.append((x, -radius * math.sin(angle)))
    if len(points) > 1:
        sketch.path(points, "will")


def _bands(
    sketch: SvgCanvas, spans: list[tuple[float, float]], radius: float, agree: bool, relief: float, helix: float
) -> None:
    """The wheel's face across the tool, and the stylus under the edge."""
    (start, end), (near, far) = spans
    px = 1 / sketch.scale
    top, bottom = radius + 22 * px, -radius - 4 * px
    sketch.path([(-start, top), (-end, top), (-end, bottom), (-start, bottom)], "off", closed=True)
    x = sketch.to_px(-(start + end) / 2, 0)[0]
    sketch.write((x, sketch.to_px(0, top)[1] - 6), "wheel", anchor="middle", look="note", size=14)
    sign, bears = (-1, near) if agree else (1, far)
    tip = -radius * math.sin(relief + sign * bears * math.tan(helix) / radius)
    foot = -radius - 12 * px
    sketch.path([(-near, tip), (-far, tip), (-far, foot), (-near, foot)], "was", closed=True)
    sketch.dot((-bears, tip))
    sketch.dot((0.0, -radius * math.sin(relief)))
    sketch.write(
        (sketch.to_px(-far, 0)[0] - 8, sketch.to_px(0, foot)[1] + 8), "stylus", anchor="end", look="note", size=14
    )
