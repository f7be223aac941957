"""One tooth in section whose face is ground: the old edge and the new one on its flank, true to scale."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.face_grind import Faced
from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import Point, SvgCanvas, polar

WIDTH, HEIGHT, EDGE_PX, BACK_PX, DEEP = 420, 300, (330, 90), 110, 1.5


def draw_faced(radius: float, rake: float, relief: float, back: float, faced: Faced, unit: Unit) -> SafeString:
    """The edge at the top, cutting to the right, the axis far below; lengths in mm, angles in rad."""
    scale = BACK_PX / back
    sketch = SvgCanvas(WIDTH, HEIGHT, scale, (EDGE_PX[0], EDGE_PX[1] + radius * scale), unit)
    turned = math.atan2(back, radius - back * math.tan(relief))
    old, new = (0.0, radius), polar((0.0, 0.0), faced.radius_mm, math.pi / 2 + turned)
    foot, new_foot = _foot(old, rake, 0.0, DEEP * back), _foot(new, faced.rake_rad, turned, DEEP * back)
    behind = (new[0] - 1.2 * back, new[1] - 1.2 * back * math.tan(relief + turned))
    sketch.path([behind, new, new_foot, (behind[0], new_foot[1])], "body", closed=True)
    sketch.path([old, new, new_foot, foot], "off", closed=True)
    sketch.path([behind, new, old, foot], "was")
    sketch.path([behind, new, new_foot], "will")
    sketch.across(new[0], old[0], 40, f"b {formatting.size(back, unit)}", from_y=(EDGE_PX[1], EDGE_PX[1]))
    sketch.write((16, 24), f"D′ {formatting.size(2 * faced.radius_mm, unit)}")
    return sketch.finish(f"One tooth in section, its face ground {formatting.size(faced.stock_mm, unit)} deep")


def _foot(edge: Point, rake: float, turned: float, deep: float) -> Point:
    """Where a face ends on the sheet: inwards from its edge, at its rake to the radius through it."""
    lean = rake - turned
    return edge[0] - deep * math.sin(lean), edge[1] - deep * math.cos(lean)
