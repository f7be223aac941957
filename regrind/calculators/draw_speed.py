"""The wheel, its turning, and its speed on a scale that ends at the marked maximum."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import SvgCanvas, polar

WIDTH, HEIGHT = 400, 340
LEFT, RIGHT, BAR = 20, 380, 262


def draw_speed(
    wheel: float, speed: float, rpm: float, most: float, band: tuple[float, float], unit: Unit
) -> SafeString:
    """wheel: diameter in mm; speeds in m/s; most: at the marked maximum."""
    sketch = SvgCanvas(WIDTH, HEIGHT, 150 / wheel, (130, 92), unit)
    sketch.circle((0.0, 0.0), wheel / 2, "body")
    sketch.circle((0.0, 0.0), wheel / 2, "will")
    sketch.circle((0.0, 0.0), wheel / 12, "was")
    sketch.turn((0.0, 0.0), wheel / 2 * 0.7, math.radians(200), math.radians(70))
    x, y = sketch.to_px(*polar((0.0, 0.0), wheel / 2, math.radians(35)))
    start, px = polar((0.0, 0.0), wheel / 2, math.radians(35)), 1 / sketch.scale
    sketch.line(start, (start[0] + 34 * px, start[1] - 49 * px), "dim")
    sketch.arrow((x + 34, y + 49), (34, 49))
    sketch.write((252, 44), f"D {formatting.size(wheel, unit)}")
    sketch.write((252, 70), f"n {rpm:.0f} rpm")
    sketch.write((252, 96), f"v {formatting.surface_speed(speed, unit)}")
    _scale(sketch, speed, most, band)
    return sketch.finish(
        f"{formatting.surface_speed(speed, unit)} on a wheel marked for {formatting.surface_speed(most, unit)}",
        bar=False,
    )


def _scale(sketch: SvgCanvas, speed: float, most: float, band: tuple[float, float]) -> None:
    """A level scale from 0 to a little past the larger of marking and band."""
    end = max(most, band[1]) * 1.08

    def to_mm(m_s: float) -> float:
        return (LEFT + (RIGHT - LEFT) * min(m_s, end) / end - sketch.origin[0]) / sketch.scale

    px, y = 1 / sketch.scale, (sketch.origin[1] - BAR) / sketch.scale
    sketch.path(
        [
            (to_mm(band[0]), y + 9 * px),
            (to_mm(band[1]), y + 9 * px),
            (to_mm(band[1]), y - 9 * px),
            (to_mm(band[0]), y - 9 * px),
        ],
        "off",
        closed=True,
    )
    sketch.line((to_mm(0), y), (to_mm(end), y), "was")
    sketch.line((to_mm(most), y + 30 * px), (to_mm(most), y - 22 * px), "limit")
    sketch.line((to_mm(speed), y + 14 * px), (to_mm(speed), y - 14 * px), "will")
    sketch.write(
        (sketch.to_px(to_mm(speed), 0)[0], BAR - 38),
        f"v {formatting.surface_speed(speed, sketch.unit)}",
        anchor="middle",
    )
    sketch.write(
        (sketch.to_px(to_mm(most), 0)[0], BAR + 40),
        f"marked maximum {formatting.surface_speed(most, sketch.unit)}",
        anchor="middle",
    )
    middle = (sketch.to_px(to_mm(band[0]), 0)[0] + sketch.to_px(to_mm(band[1]), 0)[0]) / 2
    sketch.write((LEFT, BAR + 24), "0", anchor="middle", look="note", size=14)
    low, high = (formatting.surface_speed(end, sketch.unit).partition("\u202f") for end in band)
    sketch.write(
        (middle, BAR + 64), f"recommended {low[0]} to {high[0]} {high[2]}", anchor="middle", look="note", size=14
    )
