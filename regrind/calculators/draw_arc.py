"""A quarter of a ball or the arc of a corner, true to scale: as it is, moved back, and the damage that is gone then."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import SvgCanvas, polar

WIDTH, HEIGHT, RADIUS_PX = 420, 380, 250


def draw_arc(radius: float, depth: float, turn: float, need: float, unit: Unit) -> SafeString:
    """The axis upright at the left, the tip below, the side to the right; lengths in mm, turn in rad from the axis."""
    sketch = SvgCanvas(WIDTH, HEIGHT, RADIUS_PX / radius, (96, 64), unit)
    down, end = -math.pi / 2, -math.pi / 2 + turn
    outer = [polar((0.0, 0.0), radius, down + turn * step / 32) for step in range(33)]
    inner = [polar((0.0, 0.0), radius - depth, end - turn * step / 32) for step in range(33)]
    sketch.path([*outer, *inner], "off", closed=True)
    sketch.arc((0.0, 0.0), radius, down, 0.0, "was")
    sketch.arc((0.0, need), radius, down, 0.0, "will")
    sketch.line((0.0, 0.15 * radius), (0.0, -1.1 * radius), "axis")
    sketch.line((0.0, 0.0), polar((0.0, 0.0), radius, end), "dim")
    sketch.turn((0.0, 0.0), 0.35 * radius, down, end)
    sketch.upright(-radius, -radius + need, 60, f"c {formatting.size(need, unit)}", from_x=(96, 96), side="left")
    place = sketch.to_px(*polar((0.0, 0.0), 0.45 * radius, down + turn / 2))
    sketch.write(place, f"θ {formatting.degrees(turn, 0)}", anchor="middle")
    words = sketch.to_px(*polar((0.0, 0.0), radius, end))
    sketch.write((words[0] + 10, words[1] + 16), f"d {formatting.size(depth, unit)}")
    sketch.write((104, 24), f"ρ {formatting.size(radius, unit)}")
    return sketch.finish(f"An arc of {formatting.size(radius, unit)} that goes back by {formatting.size(need, unit)}")
