"""A drawing to scale: millimetres in, y upwards; labels upright; a scale bar, so that it holds at any zoom."""

import math
from collections.abc import Sequence

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit, show_with_unit, to_nm
from regrind.shop.web import svg

Point = tuple[float, float]
_BARS = [m * 10.0**p for p in range(-5, 4) for m in (1, 2, 5)]
_INCH_BARS = [25.4 * bar for bar in _BARS]
ARROW = 7.0
LETTER = 8.2  # the widest a figure of 15 px comes out, for keeping labels apart


class SvgCanvas:
    """width, height in px; scale in px per mm; origin: where (0, 0) mm stands, in px."""

    def __init__(self, width: float, height: float, scale: float, origin: Point, unit: Unit) -> None:
        self.width, self.height, self.scale, self.origin, self.unit = width, height, scale, origin, unit
        self.parts: list[SafeString] = []

    def to_px(self, x: float, y: float) -> Point:
        """A point in mm, in px."""
        return self.origin[0] + x * self.scale, self.origin[1] - y * self.scale

    def line(self, a: Point, b: Point, look: str) -> None:
        self.parts.append(svg.line(self.to_px(*a), self.to_px(*b), look))

    def path(self, points: Sequence[Point], look: str, *, closed: bool = False) -> None:
        self.parts.append(svg.path([self.to_px(*p) for p in points], look, closed=closed))

    def circle(self, centre: Point, radius: float, look: str) -> None:
        self.parts.append(svg.circle(self.to_px(*centre), radius * self.scale, look))

    def dot(self, centre: Point, look: str = "dye") -> None:
        self.parts.append(svg.circle(self.to_px(*centre), 4.5, look))

    def arc(self, centre: Point, radius: float, start: float, end: float, look: str) -> None:
        """Part of a circle; angles in radians, counted anticlockwise from +x."""
        self.path([polar(centre, radius, start + (end - start) * k / 48) for k in range(49)], look)

    def write(self, px: Point, words: str, *, anchor: str = "start", look: str = "", size: int = 15) -> None:
        """Words at a place in px, kept inside the drawing."""
        wide = len(words) * LETTER * size / 15
        shift = {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        x = min(max(px[0], shift + 4), self.width - 4 - wide + shift)
        y = min(max(px[1], 14), self.height - 5)
        self.parts.append(svg.text((x, y), words, size=size, anchor=anchor, look=look))

    def arrow(self, tip: Point, towards: Point) -> None:
        """An open arrowhead in px: its tip, and the way that it points."""
        angle = math.atan2(towards[1], towards[0])
        ends = [
            (tip[0] - ARROW * math.cos(angle + turn), tip[1] - ARROW * math.sin(angle + turn)) for turn in (-0.4, 0.4)
        ]
        self.parts.append(svg.path([ends[0], tip, ends[1]], "dim", closed=False))

    def measure(self, a: Point, b: Point) -> None:
        """A dimension line between two places in px; arrows from outside where there is little room."""
        long = math.dist(a, b)
        if long < 1e-6:
            return
        way = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
        out = 0 if long > 3.2 * ARROW else 2.4 * ARROW
        start, end = _shift(a, way, -out), _shift(b, way, out)
        self.parts.append(svg.line(start, end, "dim"))
        back = (-way[0], -way[1])
        self.arrow(a, way if out else back)
        self.arrow(b, back if out else way)

    def across(self, x1: float, x2: float, y_px: float, words: str, *, from_y: Sequence[float] = ()) -> None:
        """A level dimension at height y_px between two x in mm; `from_y` (px) start its extension lines."""
        a, b = self.to_px(min(x1, x2), 0)[0], self.to_px(max(x1, x2), 0)[0]
        for x, start in zip((self.to_px(x1, 0)[0], self.to_px(x2, 0)[0]), from_y, strict=False):
            self.parts.append(svg.line((x, start), (x, y_px + (5 if start < y_px else -5)), "dim"))
        self.measure((a, y_px), (b, y_px))
        if words:
            self.write(((a + b) / 2, y_px - 8), words, anchor="middle")

    def upright(
        self, y1: float, y2: float, x_px: float, words: str, *, from_x: Sequence[float] = (), side: str = "right"
    ) -> None:
        """An upright dimension at x_px between two y in mm, its figure level beside it."""
        a, b = self.to_px(0, y1)[1], self.to_px(0, y2)[1]
        for y, start in zip((a, b), from_x, strict=False):
            self.parts.append(svg.line((start, y), (x_px + (5 if start < x_px else -5), y), "dim"))
        self.measure((x_px, min(a, b)), (x_px, max(a, b)))
        anchor, step = ("start", 8) if side == "right" else ("end", -8)
        if words:
            self.write((x_px + step, (a + b) / 2 + 5), words, anchor=anchor)

    def turn(self, centre: Point, radius: float, start: float, end: float) -> None:
        """An angle's arc with an arrow at its end."""
        self.arc(centre, radius, start, end, "dim")
        if abs(end - start) * radius * self.scale > 2 * ARROW:
            way = 1 if end > start else -1
            self.arrow(self.to_px(*polar(centre, radius, end)), (-way * math.sin(end), -way * math.cos(end)))

    def finish(self, title: str, *, bar: bool = True) -> SafeString:
        if bar:
            self._bar()
        return svg.wrap(self.width, self.height, title, self.parts)

    def _bar(self) -> None:
        bars = _BARS if self.unit == "mm" else _INCH_BARS
        fits = [bar for bar in bars if bar * self.scale <= self.width * 0.22]
        long = fits[-1] if fits else bars[0]
        y, right = self.height - 12, self.width - 8
        bar_left = right - long * self.scale
        self.parts.append(svg.path([(bar_left, y - 5), (bar_left, y), (right, y), (right, y - 5)], "dim", closed=False))
        self.write(
            (bar_left - 8, y + 3), f"to scale: {_bar_words(long, self.unit)}", anchor="end", look="note", size=14
        )


def polar(centre: Point, radius: float, angle: float) -> Point:
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def spread_labels(places: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Heights in px for labels that want to stand at `places` (rising), at least `gap` apart, inside low to high."""
    rows = list(places)
    for k in range(len(rows)):
        rows[k] = max(rows[k], low + k * gap, rows[k - 1] + gap if k else low)
    for k in range(len(rows) - 1, -1, -1):
        rows[k] = min(rows[k], high - (len(rows) - 1 - k) * gap, rows[k + 1] - gap if k < len(rows) - 1 else high)
    return rows


def _shift(point: Point, way: Point, by: float) -> Point:
    return point[0] + way[0] * by, point[1] + way[1] * by


def _bar_words(mm: float, unit: Unit) -> str:
    places = (
        next((p for p in range(7) if to_nm(mm) % (10 ** (6 - p)) == 0), 6)
        if unit == "mm"
        else next((p for p in range(7) if round(mm / 25.4, 9) == round(mm / 25.4, p)), 6)
    )
    return show_with_unit(to_nm(mm), unit, places=places)
