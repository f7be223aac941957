"""The rake against the diameter: the curved face falling, a straight face beside it, the diameters that matter."""

import math
from collections.abc import Sequence

from django.utils.safestring import SafeString

from regrind.geometry.section import Face, find_rake
from regrind.geometry.units import NM_PER_IN, NM_PER_MM, Unit
from regrind.shop.web import svg

from . import formatting

WIDTH, HEIGHT = 400, 300
LEFT, RIGHT, TOP, FLOOR = 56, 310, 30, 250
STEPS = 60


def find_straight_rake(face: Face, radius: float) -> float | None:
    """Rake in rad of a straight face with the same rake at the edge: sin γ(x) = r sin γ / x; it rises inwards."""
    sine = face.anchor_mm * face.sin_rake / radius
    return math.asin(sine) if abs(sine) <= 1 else None


def draw_curve(face: Face, radius: float, after: float, zero: float | None, unit: Unit) -> SafeString:
    """radius, after: mm; zero: the diameter in mm where the rake is gone. Diameter to the right, rake upwards."""
    low = _lowest(face, radius, after, zero)
    xs = [low + (radius - low) * k / STEPS for k in range(STEPS + 1)]
    curves = {
        "curved face": _points(xs, [find_rake(face, x) for x in xs]),
        "straight face": _points(xs, [find_straight_rake(face, x) for x in xs]),
    }
    rakes = [rake for points in curves.values() for _, rake in points]
    plot = _Plot((low, radius), (min(0.0, *rakes), max(0.0, *rakes)), unit)
    plot.draw_axes()
    for (name, points), look in zip(curves.items(), ("will", "was"), strict=True):
        plot.parts.append(svg.path([plot.to_px(*point) for point in points], look, closed=False))
        plot.name(name, points)
    plot.mark(after, find_rake(face, after))
    if zero is not None and zero / 2 >= low:
        plot.label_line(zero / 2, "limit")
    return svg.wrap(WIDTH, HEIGHT, "Rake against diameter, of the curved face and of a straight one", plot.parts)


def _lowest(face: Face, radius: float, after: float, zero: float | None) -> float:
    """How far in the curve is of use: a little past the diameter after and that of zero rake, never into the core."""
    wanted = min(after, zero / 2 if zero else after)
    return max(face.core_mm, wanted - 0.25 * (radius - wanted), 0.6 * radius)


def _points(xs: Sequence[float], rakes: Sequence[float | None]) -> list[svg.Point]:
    return [(x, rake) for x, rake in zip(xs, rakes, strict=True) if rake is not None]


class _Plot:
    """From radius and rake to places on the drawing, whose axis is in diameters and the page's unit."""

    def __init__(self, across: tuple[float, float], up: tuple[float, float], unit: Unit):
        self.across, self.unit, self.parts = across, unit, list[SafeString]()
        room = 0.06 * max(up[1] - up[0], math.radians(1))
        self.up = (up[0] - room, up[1] + room)

    def to_px(self, radius: float, rake: float) -> svg.Point:
        (low, high), (bottom, top) = self.across, self.up
        share = (radius - low) / (high - low) if high > low else 1.0
        return RIGHT - (1 - share) * (RIGHT - LEFT), FLOOR - (rake - bottom) / (top - bottom) * (FLOOR - TOP)

    def draw_axes(self) -> None:
        self.parts += [svg.line((LEFT, TOP), (LEFT, FLOOR), "axis"), svg.line((LEFT, FLOOR), (RIGHT, FLOOR), "axis")]
        zero = self.to_px(self.across[1], 0.0)[1]
        self.parts.append(svg.line((LEFT, zero), (RIGHT, zero), "dim"))
        step = _step(math.degrees(self.up[1] - self.up[0]), 5)
        count = math.ceil(math.degrees(self.up[0]) / step)
        while count * step <= math.degrees(self.up[1]):
            y = self.to_px(self.across[1], math.radians(count * step))[1]
            self._tick((LEFT - 4, y), (LEFT, y))
            self.parts.append(svg.text((LEFT - 7, y + 5), f"{count * step:g}°".replace("-", "\u2212"), anchor="end"))
            count += 1
        self._diameters()
        self.parts.append(svg.text((LEFT - 44, TOP - 12), "rake", look="note"))
        self.parts.append(svg.text((RIGHT, FLOOR + 40), f"diameter, {self.unit}", anchor="end", look="note"))

    def _diameters(self) -> None:
        to_unit = 2 * NM_PER_MM / (NM_PER_IN if self.unit == "in" else NM_PER_MM)
        low, high = self.across[0] * to_unit, self.across[1] * to_unit
        step = _step(high - low, 5)
        places = max(0, -math.floor(math.log10(step) + 1e-9)) if step else 0
        for count in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1):
            x = self.to_px(count * step / to_unit, 0.0)[0]
            self._tick((x, FLOOR), (x, FLOOR + 4))
            figure = f"{count * step:.{places}f}"
            self.parts.append(
                svg.text((x, FLOOR + 20), figure.removeprefix("0") if self.unit == "in" else figure, anchor="middle")
            )

    def _tick(self, a: svg.Point, b: svg.Point) -> None:
        self.parts.append(svg.line(a, b, "dim"))

    def name(self, words: str, points: list[svg.Point]) -> None:
        """A curve's name on its outer side: over one that rises inwards, right of one that falls."""
        rises = points[0][1] >= points[-1][1]
        x, y = self.to_px(*points[int(len(points) * (0.6 if rises else 0.78))])
        self.parts.append(svg.text((x, y - 8), words, anchor="middle") if rises else svg.text((x + 10, y + 12), words))

    def mark(self, radius: float, rake: float | None) -> None:
        """A dot where the tool will be, with its rake."""
        if rake is None:
            return
        x, y = self.to_px(radius, rake)
        self.parts.append(svg.circle((x, y), 4.5, "dye"))
        self.parts.append(svg.text((min(x + 10, WIDTH - 60), y + 18), f"D\u2032 {formatting.degrees(rake)}"))

    def label_line(self, radius: float, look: str) -> None:
        x = self.to_px(radius, 0.0)[0]
        self.parts.append(svg.line((x, TOP), (x, FLOOR), look))
        self.parts.append(svg.text((x, TOP - 8), "D₀", anchor="middle"))


def _step(span: float, most: int) -> float:
    """A round step that divides `span` into at most `most` or so."""
    rough = max(span, 1e-9) / most
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * m for m in (1, 2, 5, 10) if power * m >= rough)
