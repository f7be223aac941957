"""Lines of text set into a box of a given width and height, as large as they go, nothing cut."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reportlab.pdfgen.canvas import Canvas

from regrind.paper.type import width, write

LEADING = 1.1
FLOOR_PT = 5.0  # no letter on a label is smaller
ASCENT = 0.84


@dataclass(frozen=True)
class Run:
    """A piece of a line: its weight, and its size as a share of the line's."""

    text: str
    bold: bool = False
    share: float = 1.0

    @property
    def width_at_1(self) -> float:
        """Its width in points on a line of one point."""
        return width(self.text, self.share, bold=self.bold)


@dataclass(frozen=True)
class Line:
    """One line of runs at a wanted size in points. A line that wraps has one run; others shrink to fit.

    `spread` sets the last run against the right edge. `least` is the size in points that no fitting goes below.
    """

    runs: tuple[Run, ...]
    size: float
    wrap: bool = False
    spread: bool = False
    least: float = 0.0

    @property
    def floor(self) -> float:
        """The smallest size in points at which its smallest run can be read."""
        return max(self.least, FLOOR_PT / min(run.share for run in self.runs))

    @property
    def width_at_1(self) -> float:
        """Its width in points at one point, with room between where it is spread."""
        gap = 0.9 if self.spread and len(self.runs) > 1 else 0.0
        return sum(run.width_at_1 for run in self.runs) + gap


def plain(text: str, size: float, *, bold: bool = False) -> Line:
    """A line of one run that shrinks to fit. size: wanted, in points."""
    return Line((Run(text, bold),), size)


def wrapped(text: str, size: float, *, bold: bool = False) -> Line:
    """A line that may become several. size: wanted, in points."""
    return Line((Run(text, bold),), size, wrap=True)


def fit(lines: Sequence[Line], scale: float, width_pt: float) -> list[Line]:
    """The lines at a scale of their wanted sizes: broken where they may be, shrunk where they may not."""
    return [row for one in lines for row in _set(one, one.size * scale, width_pt)]


def even(lines: Sequence[Line], rows: Sequence[Line]) -> list[Line]:
    """Fitted lines of which those that were wanted equally large are equally large; as they are where one wrapped."""
    if len(lines) != len(rows):
        return list(rows)
    least = {
        one.size: min(row.size for was, row in zip(lines, rows, strict=True) if was.size == one.size) for one in lines
    }
    return [replace(row, size=least[was.size]) for was, row in zip(lines, rows, strict=True)]


def height(rows: Sequence[Line]) -> float:
    """The height in points that lines take."""
    return sum(row.size for row in rows) * LEADING


def _set(one: Line, size: float, width_pt: float) -> list[Line]:
    size = max(size, one.floor)
    natural = one.width_at_1 * size
    if natural <= width_pt:
        return [Line(one.runs, size, spread=one.spread)]
    shrunk = size * width_pt / natural
    if not one.wrap and shrunk >= one.floor:
        return [Line(one.runs, shrunk, spread=one.spread)]
    if len(one.runs) > 1:
        *first, last = one.runs
        apart = Line((Run(last.text.strip(), last.bold),), FLOOR_PT, wrap=True)
        return [*_set(replace(one, runs=tuple(first), spread=False), size, width_pt), *_set(apart, FLOOR_PT, width_pt)]
    size = size if one.wrap else one.floor
    return [
        Line((Run(text, one.runs[0].bold),), size)
        for text in wrap(one.runs[0].text, width_pt / size, bold=one.runs[0].bold)
    ]


def wrap(text: str, width_at_1: float, *, bold: bool = False) -> list[str]:
    """The text broken into lines no wider than a width given for one point; long words are broken too."""
    rows: list[str] = []
    row = ""
    for word in text.split(" "):
        tried = f"{row} {word}" if row else word
        if width(tried, 1, bold=bold) <= width_at_1:
            row = tried
            continue
        rows += [row] if row else []
        *full, row = _pieces(word, width_at_1, bold)
        rows += full
    return [*rows, row] if row else rows


def _pieces(word: str, width_at_1: float, bold: bool) -> list[str]:
    pieces = [""]
    for sign in word:
        if pieces[-1] and width(pieces[-1] + sign, 1, bold=bold) > width_at_1:
            pieces.append("")
        pieces[-1] += sign
    return pieces


def shorten(rows: list[Line], height_pt: float, width_pt: float) -> list[Line]:
    """The lines that stand in a height; an ellipsis follows the last where some had to go."""
    shortened = list(rows)
    while len(shortened) > 1 and height(shortened) > height_pt:
        shortened = shortened[:-1]
    return shortened if len(shortened) == len(rows) else [*shortened[:-1], _ended(shortened[-1], width_pt)]


def _ended(row: Line, width_pt: float) -> Line:
    """The line's first words with an ellipsis after them; letters go only where it has no room."""
    first = row.runs[0]
    words = first.text
    while words and width(f"{words} …", row.size * first.share, bold=first.bold) > width_pt:
        words = words[:-1]
    return Line((Run(f"{words} …", first.bold, first.share),), row.size)


def draw(canvas: Canvas, rows: Sequence[Line], x: float, top: float, width_pt: float, height_pt: float) -> None:
    """Draw fitted lines from the top of a box; spare height goes between them, up to a fifth of each.

    x, top: the upper left corner in points from the lower left of the page.
    """
    spare = max(0.0, height_pt - height(rows)) / max(1, len(rows) - 1)
    y = top
    for row in rows:
        _draw_row(canvas, row, x, y - row.size * ASCENT, width_pt)
        y -= row.size * LEADING + min(spare, row.size * 0.2)


def _draw_row(canvas: Canvas, row: Line, x_start: float, baseline: float, width_pt: float) -> None:
    x = x_start
    for index, run in enumerate(row.runs):
        if row.spread and index and index == len(row.runs) - 1:
            x = x_start + width_pt - run.width_at_1 * row.size
        write(canvas, x, baseline, run.text, row.size * run.share, bold=run.bold, label=True)
        x += run.width_at_1 * row.size
