"""The trade between diameter and usable length: what the end costs and keeps; a point for each option."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from regrind.geometry.units import Unit
from regrind.shop.web import svg

WIDTH, HEIGHT, LEFT, BOTTOM, PAD, TOP = 420, 300, 92, 56, 28, 44
POINT_PX, NAME_PX = 13, 60  # the radius of a point; the width of a limit's name
CLOSE_PX = 17  # two labels nearer than this would run into each other
LIMITS = {"diameter": "diameter_mm", "usable_length": "usable_length_mm"}


def draw_trade(options: Sequence[Mapping[str, Any]], picked: int, unit: Unit, link: str = "?option=") -> SafeString:
    """Usable length to the right, diameter upwards; each point is a link that shows its option.

    Between two options the end is cut back further and the diameter stays: a stair. Dashed: the customer's limits.
    """
    floors = {line["limit"]: line["at_least"] for line in options[picked]["limits"] if line["limit"] in LIMITS}
    xs, ys = [o["usable_length_mm"] for o in options], [o["diameter_mm"] for o in options]
    across = _Axis(_reach(xs, floors.get("usable_length")), LEFT + PAD, WIDTH - PAD)
    up = _Axis(_reach(ys, floors.get("diameter")), HEIGHT - BOTTOM - 16, TOP)
    places = [(across.place(x), up.place(y)) for x, y in zip(xs, ys, strict=True)]
    parts = _axes()
    parts.append(svg.path(_stair(places), "was", closed=False))
    parts += _labels(places, options, picked, unit)
    parts += _floors(floors, across, up, places)
    for index in [*(i for i in range(len(options)) if i != picked), picked]:
        parts.append(_point(index, places[index], index == picked, link))
    return svg.wrap(WIDTH, HEIGHT, "Diameter against usable length, a point for each option", parts, role="group")


class _Axis:
    """From values to places on the drawing, lowest value at `start`."""

    def __init__(self, values: Sequence[float], start: float, end: float):
        self.low, self.high, self.start, self.end = min(values), max(values), start, end

    def place(self, value: float) -> float:
        spread = self.high - self.low
        share = 0.5 if spread < 1e-9 else (value - self.low) / spread
        return self.start + share * (self.end - self.start)


def _reach(values: Sequence[float], floor: float | None) -> list[float]:
    """The values, and the limit where it lies near enough to be shown beside them."""
    if floor is None:
        return list(values)
    spread = max(max(values) - min(values), 0.02 * max(values))
    return [*values, floor] if min(values) - 2 * spread < floor < max(values) + 2 * spread else list(values)


def _axes() -> list[SafeString]:
    floor = HEIGHT - BOTTOM
    return [
        svg.line((LEFT, 8), (LEFT, floor), "axis"),
        svg.line((LEFT, floor), (WIDTH - 8, floor), "axis"),
        svg.text((LEFT - 8, 18), "diameter", anchor="end", look="note"),
        svg.text((WIDTH - 8, HEIGHT - 8), "usable length", anchor="end", look="note"),
    ]


def _floors(floors: Mapping[str, float], across: _Axis, up: _Axis, points: Sequence[svg.Point]) -> list[SafeString]:
    """The customer's limits, each named at the end of its line where no point lies."""
    parts, bottom = [], HEIGHT - BOTTOM
    least = floors.get("diameter")
    if least is not None and up.low <= least <= up.high:
        y = up.place(least)
        parts += [
            svg.line((LEFT, y), (WIDTH - 8, y), "limit"),
            svg.text((_free_end(y, points), y - 6), "smallest", look="note halo"),
        ]
    shortest = floors.get("usable_length")
    if shortest is not None and across.low <= shortest <= across.high:
        x = across.place(shortest)
        parts += [svg.line((x, 8), (x, bottom), "limit"), svg.text((x + 6, 18), "shortest", look="note halo")]
    return parts


def _free_end(y: float, points: Sequence[svg.Point]) -> float:
    """Where a name of 60 px above a level line begins: at its left end, or at the right where a point lies there."""
    start, end = LEFT + 6.0, WIDTH - 8.0 - NAME_PX
    near = [x for x, point_y in points if point_y - POINT_PX < y and point_y + POINT_PX > y - 24]
    taken = any(start - POINT_PX < x < start + NAME_PX + POINT_PX for x in near)
    return end if taken else start


def _stair(places: Sequence[svg.Point]) -> list[svg.Point]:
    """From the longest option to the shortest: along at one diameter, then up to the next."""
    ordered = sorted(places, reverse=True)
    points = ordered[:1]
    for x, y in ordered[1:]:
        points += [(x, points[-1][1]), (x, y)]
    return points


def _labels(
    places: Sequence[svg.Point], options: Sequence[Mapping[str, Any]], picked: int, unit: Unit
) -> list[SafeString]:
    """Each option's two figures on the axes, the picked one's first; one that would run into another is left out."""
    parts: list[SafeString] = []
    beside: list[float] = [18.0]
    below: list[float] = []
    floor = HEIGHT - BOTTOM
    for index in sorted(range(len(options)), key=lambda i: i != picked):
        (x, y), option, look = places[index], options[index], "" if index == picked else "note"
        if index == picked:
            parts += [svg.line((LEFT, y), (x, y), "dim"), svg.line((x, floor), (x, y), "dim")]
        if all(abs(y - other) > CLOSE_PX for other in beside):
            beside.append(y)
            parts.append(svg.text((LEFT - 8, y + 5), svg.in_unit(option["diameter_mm"], unit), anchor="end", look=look))
        if all(abs(x - other) > CLOSE_PX * 5 for other in below):
            below.append(x)
            parts.append(
                svg.text(
                    (min(x, WIDTH - 44), floor + 20),
                    svg.in_unit(option["usable_length_mm"], unit),
                    anchor="middle",
                    look=look,
                )
            )
    return parts


def _point(index: int, centre: svg.Point, picked: bool, link: str) -> SafeString:
    dot = svg.circle(centre, POINT_PX, "dye" if picked else "spot")
    number = svg.text((centre[0], centre[1] + 5), str(index + 1), anchor="middle", look="on-dye" if picked else "")
    return format_html(
        '<a href="{0}{1}" hx-get="{0}{1}" hx-target="#option" hx-select="#option" '
        'hx-swap="outerHTML settle:0ms" aria-label="Option {2}"{3}>{4}{5}{6}</a>',
        link,
        index,
        index + 1,
        mark_safe(' aria-current="true"') if picked else "",
        svg.circle(centre, 34, "tap-area"),
        dot,
        number,
    )
