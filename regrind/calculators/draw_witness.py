"""The marked land from the side, much enlarged: the wheel's plane, the feed, the strip scraped bare."""

import math

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit

from . import formatting
from .svg_canvas import SvgCanvas

WIDTH, HEIGHT = 400, 290


def draw_witness(feed: float, strip: float, land: float, scraped_at: str, unit: Unit) -> SafeString:
    """The land level, edge at the right, heel at the left; the wheel's plane cuts off the scraped corner."""
    scale = min(220 / land, 90 / feed if feed else math.inf)
    edge_x = 120 + land * scale if scraped_at == "heel" else 280
    sketch = SvgCanvas(WIDTH, HEIGHT, scale, (edge_x, 130), unit)
    corner = -land if scraped_at == "heel" else 0.0
    inner = corner + strip if scraped_at == "heel" else -strip
    slope = math.asin(feed / strip)
    sink = strip * math.tan(slope) if slope < 1.4 else feed
    px = 1 / scale
    sketch.path([(-land, 0.0), (0.0, 0.0), (-10 * px, -100 * px), (-land - 8 * px, -100 * px)], "body", closed=True)
    sketch.path([(corner, 0.0), (inner, 0.0), (corner, -sink)], "off", closed=True)
    sketch.path([(-land - 8 * px, -100 * px), (-land, 0.0), (0.0, 0.0), (-10 * px, -100 * px)], "was")
    way = 1 if scraped_at == "heel" else -1
    beyond = 26 * px
    sketch.line(
        (corner - way * beyond, -sink - beyond * math.tan(slope)),
        (inner + way * 40 * px, 40 * px * math.tan(slope)),
        "will",
    )
    _measures(sketch, feed, strip, sink, corner, inner, scraped_at)
    end = sketch.to_px(inner + way * 40 * px, 0)
    sketch.write(
        (end[0] + way * 6, end[1] - 14), "wheel’s plane", anchor="start" if way > 0 else "end", look="note", size=14
    )
    sketch.write((sketch.to_px(0, 0)[0] - 2, 18), "edge", anchor="middle", look="note", size=14)
    sketch.write((sketch.to_px(-land, 0)[0] + 2, 18), "heel", anchor="middle", look="note", size=14)
    description = (
        f"{formatting.size(strip, unit)} scraped at the {scraped_at} by a feed of {formatting.size(feed, unit)}"
    )
    return sketch.finish(f"A strip of {description}")


def _measures(
    sketch: SvgCanvas, feed: float, strip: float, sink: float, corner: float, inner: float, scraped_at: str
) -> None:
    y = sketch.origin[1]
    sketch.across(corner, inner, y - 66, f"b {formatting.size(strip, sketch.unit)}", from_y=(y - 8, y - 8))
    x = sketch.to_px(corner, 0)[0] + (-18 if scraped_at == "heel" else 18)
    sketch.measure((x, y), (x, sketch.to_px(0, -sink)[1]))
    beside, anchor = (x - 8, "end") if scraped_at == "heel" else (x + 8, "start")
    sketch.write((beside, y + sink * sketch.scale / 2 + 5), f"i {formatting.plain(feed, sketch.unit)}", anchor=anchor)
    middle = sketch.to_px((corner + inner) / 2, 0)[0]
    sketch.write(
        (middle, y + max(sink * sketch.scale, 20) + 40),
        f"Δα {formatting.degrees(math.asin(feed / strip))}",
        anchor="middle",
    )
