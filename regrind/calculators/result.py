"""What a page of the bench book answers with: figures, the working, a drawing; and how sure a figure is."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.safestring import SafeString

from regrind.geometry.bibliography import Reference
from regrind.geometry.errors import Refused


@dataclass(frozen=True)
class Figure:
    """One figure of the answer; `other` stands beside it in graphite, `sure` is its expanded uncertainty in words."""

    label: str
    value: str
    other: str = ""
    sure: str = ""


@dataclass(frozen=True)
class WorkingStep:
    """One step of the working: the formula in letters, its numbers, the result, why it holds, who published it."""

    formula: str
    numbers: str
    result: str
    basis: str = ""
    reference: Reference | None = None


@dataclass(frozen=True)
class Table:
    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    caption: str = ""


@dataclass(frozen=True)
class CalculatorResult:
    """A page's answer. The first figure is the large one; legend tells the drawing's letters."""

    figures: Sequence[Figure]
    drawing: SafeString
    working: Sequence[WorkingStep]
    legend: Sequence[tuple[str, str]] = ()
    notes: Sequence[str] = ()
    table: Table | None = None
    drawings: Sequence[SafeString] = field(default=())


def find_expanded(act: Callable[..., float], values: Mapping[str, float], digits: Mapping[str, float]) -> float:
    """Expanded uncertainty (k = 2) of `act(**values)` where each value was read to its digit (0: taken as exact).

    A digit of width a has the standard uncertainty a/√12 (JCGM 100:2008, 4.3.7); the change over one whole digit
    gives the slope, root of the sum of squares (5.1.2). At the end of a value's range the slope is taken one-sided.
    """
    parts = [_change(act, values, name, digit) / math.sqrt(12) for name, digit in digits.items() if digit]
    return 2 * math.hypot(*parts)


def _change(act: Callable[..., float], values: Mapping[str, float], name: str, digit: float) -> float:
    """How much the answer changes over one digit of one value."""
    for low, high in ((-0.5, 0.5), (-1.0, 0.0), (0.0, 1.0)):
        try:
            ends = [act(**{**values, name: values[name] + step * digit}) for step in (low, high)]
        except Refused:
            continue
        return ends[1] - ends[0]
    raise Refused(name, "is read too coarsely for an answer here: give a finer digit")
