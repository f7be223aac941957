"""One step of an explanation: its formula, the numbers in it, the result and the source."""

from dataclasses import dataclass

TANGENT = "derived: arc through the edge, touching the core circle (geometry notes, the face)"
NOTES = "derived (geometry notes, {})"
PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Number:
    """A figure that goes into a formula: its sign there, value, and unit (mm, °, 1 or empty)."""

    symbol: str
    value: float
    unit: str = "mm"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a short stable name, the formula, its numbers, the result (None where there is none) and source."""

    name: str
    formula: str
    numbers: tuple[Number, ...]
    result: float | str | None
    unit: str
    source: str
