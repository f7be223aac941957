"""Odd-toothed tools under the gauge, along the axis and to scale."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.gauging import find_vee_angle
from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import Point, SvgCanvas, polar

WIDTH, HEIGHT, VEE_X = 400, 380, 150
UP = math.pi / 2


def draw_vee(radius: float, teeth: int, unit: Unit) -> SafeString:
    """The tool in its V, one tooth on top under a flat."""
    half = find_vee_angle(teeth) / 2
    apex = -radius / math.sin(half)
    scale = min(290 / (radius - apex), 96 / radius)
    sketch = SvgCanvas(WIDTH, HEIGHT, scale, (VEE_X, 44 + radius * scale), unit)
    long = (radius - apex) * 0.72
    for side in (-1, 1):
        arm = (side * long * math.sin(half), apex + long * math.cos(half))
        sketch.line((0.0, apex), arm, "was")
    _tool(sketch, [radius] * teeth, UP)
    sketch.line((-0.5 * radius, radius), (0.5 * radius, radius), "was")
    for step in (teeth // 2, teeth // 2 + 1):
        sketch.dot(polar((0.0, 0.0), radius, UP - 2 * math.pi * step / teeth))
    px = VEE_X + radius * scale + 44
    sketch.upright(
        radius,
        apex,
        px,
        f"H {formatting.size(radius - apex, unit)}",
        from_x=(VEE_X + 0.5 * radius * scale + 4, VEE_X + 8),
    )
    _diameter(sketch, radius, unit)
    sketch.turn((0.0, apex), 0.3 * radius, UP - half, UP + half)
    sketch.write((VEE_X, sketch.to_px(0, apex)[1] + 22), f"2φ {formatting.degrees(2 * half, 1)}", anchor="middle")
    return sketch.finish(f"A tool of {teeth} teeth in a V-anvil of {formatting.degrees(2 * half)}")


def draw_chord(radius: float, steps: int, teeth: int, unit: Unit) -> SafeString:
    """The two teeth and the chord between their tips, the first at the top."""
    sketch = SvgCanvas(WIDTH, HEIGHT, 128 / radius, (170, 180), unit)
    _tool(sketch, [radius] * teeth, UP)
    a, b = polar((0.0, 0.0), radius, UP), polar((0.0, 0.0), radius, UP - 2 * math.pi * steps / teeth)
    sketch.line(a, b, "line")
    sketch.dot(a)
    sketch.dot(b)
    chord = math.dist(a, b)
    sketch.line(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), ((292 - 170) / sketch.scale, (180 - 34) / sketch.scale), "dim")
    sketch.write((286, 28), f"c {formatting.size(chord, unit)}")
    _diameter(sketch, radius, unit)
    return sketch.finish(f"The chord between two tips, {steps} teeth apart of {teeth}")


def draw_over_pin(radius: float, pin: float, teeth: int, unit: Unit) -> SafeString:
    """One tooth on top, the pin under the two opposite, the reading over both."""
    step = math.pi / teeth
    low = -radius * math.cos(step) - math.sqrt(max((pin / 2) ** 2 - (radius * math.sin(step)) ** 2, 0.0))
    total = radius - low + pin / 2
    wide = max(radius, pin / 2)
    scale = min(296 / total, 116 / wide)
    sketch = SvgCanvas(WIDTH, HEIGHT, scale, (160, 36 + radius * scale), unit)
    _tool(sketch, [radius] * teeth, UP)
    sketch.circle((0.0, low), pin / 2, "body")
    sketch.circle((0.0, low), pin / 2, "was")
    for k in (teeth // 2, teeth // 2 + 1):
        sketch.dot(polar((0.0, 0.0), radius, UP - 2 * math.pi * k / teeth))
    foot = low - pin / 2
    half = 0.4 * wide
    for y in (radius, foot):
        sketch.line((-half, y), (half, y), "was")
    px = 160 + wide * scale + 30
    sketch.upright(
        radius, foot, px, f"M {formatting.size(total, unit)}", from_x=(164 + half * scale, 164 + half * scale)
    )
    _diameter(sketch, radius, unit)
    x, y = sketch.to_px(0.0, low - pin * 0.22)
    sketch.write((x, y), f"p {formatting.size(pin, unit)}", anchor="middle")
    return sketch.finish(f"Reading over a tooth and a pin of {formatting.size(pin, unit)}")


def draw_teeth(radii: list[float], round_mm: float, name: str, unit: Unit) -> SafeString:
    """Every tooth at its own radius against a circle; differences drawn larger, which is said."""
    spread = max(abs(r - round_mm) for r in radii)
    times = _exaggerate(spread, round_mm)
    sketch = SvgCanvas(WIDTH, HEIGHT, 96 / round_mm, (WIDTH / 2, 166), unit)
    shown = [round_mm + (r - round_mm) * times for r in radii]
    _tool(sketch, shown, UP)
    sketch.circle((0.0, 0.0), round_mm, "limit")
    for k, real in enumerate(radii):
        angle = UP - 2 * math.pi * k / len(radii)
        x, y = sketch.to_px(*polar((0.0, 0.0), max(*shown, round_mm) + 14 / sketch.scale, angle))
        anchor = "middle" if abs(math.cos(angle)) < 0.2 else "start" if math.cos(angle) > 0 else "end"
        off = formatting.size(real - round_mm, unit)
        sketch.write((x, y + 5), f"{k + 1}: {'+' if real > round_mm else ''}{off}", anchor=anchor)
    sketch.write((WIDTH / 2, HEIGHT - 30), f"dashed: {name}", anchor="middle", look="note", size=14)
    caption = f"differences drawn {times}×" if times > 1 else "to scale"
    sketch.write((WIDTH / 2, HEIGHT - 8), caption, anchor="middle", look="note", size=14)
    return sketch.finish(f"Each tooth against the {name}", bar=False)


def _exaggerate(spread: float, radius: float) -> int:
    """A round factor that makes the largest difference about a sixth of the radius."""
    if spread <= 0:
        return 1
    wanted = radius / 6 / spread
    times: int = max([1, *[f for p in range(7) for f in (10**p, 2 * 10**p, 5 * 10**p) if f <= wanted]])
    return times


def _tool(sketch: SvgCanvas, radii: list[float], first: float) -> None:
    """A schematic section, edges true, turning clockwise; each tooth at its own radius."""
    teeth, outline = len(radii), list[Point]()
    pitch = 2 * math.pi / teeth
    for k, radius in enumerate(radii):
        outline += [
            polar((0.0, 0.0), r * radius, first - k * pitch - turn * pitch)
            for r, turn in (
                (0.58, -0.16),
                (0.74, -0.05),
                (1.0, 0.0),
                (0.985, 0.09),
                (0.9, 0.27),
                (0.68, 0.52),
                (0.58, 0.64),
            )
        ]
    sketch.path(outline, "body", closed=True)
    sketch.path(outline, "will", closed=True)
    sketch.circle((0.0, 0.0), max(radii), "centre")


def _diameter(sketch: SvgCanvas, radius: float, unit: Unit) -> None:
    """The diameter of the circle through the tips, at the left, its figure level."""
    x, top = sketch.origin[0] - radius * sketch.scale - 16, sketch.origin[1] - radius * sketch.scale
    sketch.upright(radius, -radius, max(x, 14), "", from_x=(sketch.origin[0] - 4, sketch.origin[0] - 4))
    sketch.write((max(x, 14) - 6, top - 12), f"D {formatting.size(2 * radius, unit)}")
