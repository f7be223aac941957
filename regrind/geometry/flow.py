"""How an answer follows what was measured: every partial derivative of one result, by where it comes from."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

_STEPS = (1e-5, 1e-6, 1e-7, 1e-8)


@dataclass(slots=True)
class Flow:
    """Partial derivatives of one result (mm or rad per mm or rad).

    `by_high`: radius of the highest tooth. `by_tooth`: radii of single teeth (from 0; None is one of them, nobody
    knows which). `by_mark`, `by_end_mark`: depths of marks on the sides or corner and on the end, by index.
    `by_back`: how far back a mark reaches on the flank. `by_length`: readings of the end teeth.
    `others`: further inputs by field name, the core by its radius.
    """

    by_high: float = 0.0
    by_tooth: dict[int | None, float] = field(default_factory=dict)
    by_mark: dict[int, float] = field(default_factory=dict)
    by_end_mark: dict[int, float] = field(default_factory=dict)
    by_back: dict[int, float] = field(default_factory=dict)
    by_length: dict[int, float] = field(default_factory=dict)
    others: dict[str, float] = field(default_factory=dict)

    def add(self, other: "Flow", times: float) -> None:
        """Let the result follow `other` too, `times` as much."""
        if not times:
            return
        self.by_high += times * other.by_high
        for ours, theirs in (
            (self.by_tooth, other.by_tooth),
            (self.by_mark, other.by_mark),
            (self.by_end_mark, other.by_end_mark),
            (self.by_back, other.by_back),
            (self.by_length, other.by_length),
            (self.others, other.others),
        ):
            if theirs:
                _add(ours, theirs, times)


def _add(ours: dict[Any, float], theirs: dict[Any, float], times: float) -> None:
    for key, slope in theirs.items():
        ours[key] = ours.get(key, 0.0) + times * slope


def differentiate(answer: Callable[..., float], point: tuple[float, ...]) -> list[float]:
    """Slope of `answer` by each of the numbers that it is asked `at`, in mm or rad, by small steps.

    Source: central differences of two widths (Richardson); smaller steps where they do not agree, 0 for no slope.

    >>> [round(slope, 9) for slope in differentiate(lambda x, y: x * y, (2.0, 3.0))]
    [3.0, 2.0]
    """
    return [_slope(answer, point, place) for place in range(len(point))]


def _slope(answer: Callable[..., float], point: tuple[float, ...], place: int) -> float:
    slope = 0.0
    for step in _STEPS:
        narrow, wide = (_rise(answer, point, place, width) for width in (step, 2 * step))
        if math.isfinite(narrow):
            slope = (4 * narrow - wide) / 3 if math.isfinite(wide) else narrow
        if abs(narrow - wide) <= 1e-6 * abs(narrow) + 1e-9:
            break
    return slope


def _rise(answer: Callable[..., float], point: tuple[float, ...], place: int, step: float) -> float:
    up, down = ([*point[:place], point[place] + sign * step, *point[place + 1 :]] for sign in (1, -1))
    return (answer(*up) - answer(*down)) / (2 * step)
