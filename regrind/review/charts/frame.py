"""What the review's charts share: a chart with the table behind it, and an axis with round marks."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.utils.safestring import SafeString

WIDTH, HEIGHT = 468, 284
LEFT, RIGHT, TOP, BOTTOM = 76, 24, 30, 68
LABEL = 14


@dataclass(frozen=True)
class Chart:
    """A picture in words, figures and lines. empty: the words in place of a picture that has nothing to show."""

    title: str
    picture: SafeString | None
    head: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    note: str = ""
    empty: str = ""
    links: tuple[str, ...] = field(default=())  # the address of each row's pieces, where it has one

    @property
    def linked_rows(self) -> list[tuple[str, tuple[str, ...], str]]:
        """(first cell, the other cells, the address behind the first) of each row."""
        links = self.links or ("",) * len(self.rows)
        return [(row[0], row[1:], link) for row, link in zip(self.rows, links, strict=True)]


@dataclass(frozen=True)
class Axis:
    """From values to places on the drawing: `low` at `start`, `high` at `end`, with marks at round values."""

    low: float
    high: float
    start: float
    end: float
    marks: tuple[float, ...]

    def place(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def axis(
    values: Sequence[float], start: float, end: float, *, most: int = 5, scale: float = 1.0, from_zero: bool = False
) -> Axis:
    """An axis over `values` that begins and ends at a mark. `scale`: how much of the values' unit makes one of the
    reader's (25,400,000 nm an inch), so that the marks are round to the reader.

    >>> axis([0, 9], 0, 100).marks
    (0.0, 2.0, 4.0, 6.0, 8.0, 10.0)
    """
    low, high = min(values) / scale, max(values) / scale
    low, high = (min(0.0, low), max(0.0, high)) if from_zero else (low, high)
    if high - low < 1e-6 * max(1.0, abs(high), abs(low)):
        room = max(abs(high), abs(low)) * 0.01 if max(abs(high), abs(low)) > 1e-6 else 1.0
        low, high = (low if from_zero else low - room), high + room
    step = round_step((high - low) / most)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    marks = tuple(round(k * step, 12) * scale for k in range(first, last + 1))
    return Axis(marks[0], marks[-1], start, end, marks)


def round_step(least: float) -> float:
    """The smallest of 1, 2, 5, 10 … that is not below `least`."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= least * (1 - 1e-9))
