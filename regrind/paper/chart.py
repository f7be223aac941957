"""The life of a followed tool: its diameter over its visits, the customer's limit dashed."""

from collections.abc import Sequence
from itertools import pairwise

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from regrind.paper import text
from regrind.paper.type import width, write
from regrind.paper.values import Length, LifeChart, LifePoint, Style

FIGURE, WORD = 7.5, 7.0
LEFT, RIGHT, BELOW, ABOVE = 8.0, 104.0, 30.0, 14.0
MOST_NAMED = 8


class Life(Flowable):
    """The chart, as wide as its room: visits from left to right, lines named at their right ends."""

    def __init__(self, life: LifeChart, style: Style, height: float = 126) -> None:
        super().__init__()
        self.life, self.style, self.wanted = life, style, height

    def wrap(self, room: float, _height: float) -> tuple[float, float]:
        """Take all the width; sizes in points."""
        self.width, self.height = room, self.wanted
        return self.width, self.height

    def draw(self) -> None:
        """Draw axis, lines and points."""
        low, high = span(self.life)
        self._low, self._per_nm = low, (self.height - BELOW - ABOVE) / (high - low)
        right = self.width - RIGHT
        self.canv.setLineWidth(0.6)
        self.canv.line(LEFT, BELOW - 6, right, BELOW - 6)
        names = self._level_names()
        for level, _, dash in names:
            self._level(level, right, dash)
        places = spread([self._y(level) for level, _, _ in names], FIGURE + 2.5)
        for (_, words, _), y in zip(names, places, strict=True):
            size = min(FIGURE, (RIGHT - 6) / width(words, 1))
            write(self.canv, right + 5, y - FIGURE * 0.33, words, size)
        self._points(right)

    def _y(self, nm: int) -> float:
        return BELOW + (nm - self._low) * self._per_nm

    def _level_names(self) -> list[tuple[int, str, Sequence[float] | None]]:
        """Each line's level, what is written at its end, and its dash (none for the tool's own line)."""
        named: list[tuple[int, str, Sequence[float] | None]] = []
        life = self.life
        for value, word, dash in ((life.nominal, "nominal", (1, 2)), (life.limit, "your limit", (5, 3))):
            if value is not None:
                named.append((value.nm, f"{word} {text.length(value, self.style)}", dash))
        if self.life.points:
            last = self.life.points[-1].diameter
            named.append((last.nm, f"now {text.length(last, self.style)}", None))
        return named

    def _level(self, nm: int, right: float, dash: Sequence[float] | None) -> None:
        if dash is None:
            return
        self.canv.saveState()
        self.canv.setLineWidth(0.9)
        self.canv.setDash(list(dash))
        self.canv.line(LEFT, self._y(nm), right, self._y(nm))
        self.canv.restoreState()

    def _points(self, right: float) -> None:
        points = self.life.points
        step = (right - LEFT - 24) / max(1, len(points) - 1)
        where = [(LEFT + 12 + index * step, self._y(point.diameter.nm)) for index, point in enumerate(points)]
        self.canv.setLineWidth(1.4)
        for one, following in pairwise(where):
            self.canv.line(*one, *following)
        every = -(-len(points) // MOST_NAMED)
        for index, (point, (x, y)) in enumerate(zip(points, where, strict=True)):
            if (len(points) - 1 - index) % every == 0:
                self._name(point, x, y, step * every)
            self.canv.circle(x, y, 2.2, fill=1, stroke=0)

    def _name(self, point: LifePoint, x: float, y: float, room: float) -> None:
        day = text.day(point.on)
        figure = text.number(point.diameter, self.style.unit, self.style)
        _centred(self.canv, x, BELOW - 15, day, WORD)
        label = text.line(point.label)
        if label:
            _centred(self.canv, x, BELOW - 23.5, label, min(WORD, min(0.9 * room, 2 * (LEFT + 12)) / width(label, 1)))
        _centred(self.canv, x, y + 5, figure, FIGURE)


def _centred(canvas: Canvas, x: float, y: float, words: str, size: float) -> None:
    """Words centred on x, on white so that no line runs through them."""
    wide = width(words, size)
    x_left = max(0.0, x - wide / 2)
    canvas.setFillGray(1)
    canvas.rect(x_left - 1, y - 1, wide + 2, size * 0.9, fill=1, stroke=0)
    canvas.setFillGray(0)
    write(canvas, x_left, y, words, size)


def span(life: LifeChart) -> tuple[int, int]:
    """The lowest and highest level of the chart in nanometres, with a tenth of room at either end."""
    lengths: list[Length] = [point.diameter for point in life.points]
    lengths += [value for value in (life.nominal, life.limit) if value is not None]
    if not lengths:
        return 0, 1
    low, high = min(one.nm for one in lengths), max(one.nm for one in lengths)
    pad = max((high - low) // 10, 10_000)
    return low - pad, high + pad


def spread(levels: Sequence[float], apart: float) -> list[float]:
    """The levels moved up, from the lowest on, until they stand at least so far apart."""
    moved = list(levels)
    order = sorted(range(len(moved)), key=lambda index: moved[index])
    for below, above in pairwise(order):
        moved[above] = max(moved[above], moved[below] + apart)
    return moved
