"""The trade between diameter and usable length: a point for each option, joined; the taken one in dye."""
from collections.abc import Sequence
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString

from . import svg

WIDTH, HEIGHT, LEFT, BOTTOM, PAD = 420, 280, 96, 52, 28


def draw_trade(options: Sequence[dict[str, Any]], picked: int, unit: str, link: str = "?option=") -> SafeString:
    """Usable length to the right, diameter upwards; each point is a link that shows its option."""
    xs, ys = [o["usable_length_mm"] for o in options], [o["diameter_mm"] for o in options]
    places = [(_place(x, xs, LEFT + PAD, WIDTH - PAD), _place(-y, [-v for v in ys], PAD, HEIGHT - BOTTOM - PAD))
              for x, y in zip(xs, ys, strict=True)]
    floor = HEIGHT - BOTTOM
    parts = [svg.line((LEFT, 8), (LEFT, floor), "axis"), svg.line((LEFT, floor), (WIDTH - 8, floor), "axis"),
             svg.text((LEFT - 8, 18), "diameter", anchor="end", look="note"),
             svg.text((WIDTH - 8, HEIGHT - 8), "usable length", anchor="end", look="note")]
    parts.append(svg.path(sorted(places), "was", closed=False))
    for index, (at, option) in enumerate(zip(places, options, strict=True)):
        parts += _point(index, at, option, index == picked, unit, floor, link)
    return svg.wrap(WIDTH, HEIGHT, "Diameter against usable length, a point for each option", parts, role="group")


def _place(value: float, values: Sequence[float], low: float, high: float) -> float:
    spread = max(values) - min(values)
    return (low + high) / 2 if spread < 1e-9 else low + (value - min(values)) / spread * (high - low)


def _point(index: int, at: svg.Point, option: dict[str, Any], picked: bool, unit: str,
           floor: float, link: str) -> list[SafeString]:
    dot = svg.circle(at, 9 if picked else 7, "dye" if picked else "will")
    tap = svg.circle(at, 24, "tap-area")
    parts = [format_html('<a href="{}{}" aria-label="Show option {}">{}{}</a>', link, index, index + 1, tap, dot)]
    if picked:
        parts += [svg.line((LEFT, at[1]), at, "dim"), svg.line((at[0], floor), at, "dim"),
                  svg.text((LEFT - 8, at[1] + 5), svg.in_unit(option["diameter_mm"], unit), anchor="end"),
                  svg.text((at[0], floor + 20), svg.in_unit(option["usable_length_mm"], unit), anchor="middle")]
    return parts
