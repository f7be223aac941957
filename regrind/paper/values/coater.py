"""The order to a coater: read where the tools are coated."""

from dataclasses import dataclass
from datetime import date

from .head import Heading, Signed
from .quantity import Length, Money


@dataclass(frozen=True)
class CoaterLine:
    """Like pieces: their numbers, how many, what they are of. diameter, diameter_to: the smallest and the largest after
    grinding, as measured or, with `planned`, as planned; None where neither is known."""

    number: str
    tools: str
    pieces: int
    substrate: str
    diameter: Length | None = None
    diameter_to: Length | None = None
    planned: bool = False


@dataclass(frozen=True)
class CoaterOrder:
    """head.customer is the coater. coating: as wanted; note: masking and edges as agreed; price: for all of it."""

    head: Heading
    slip: str
    coating: str
    lines: tuple[CoaterLine, ...]
    note: str = ""
    price: Money | None = None
    expected: date | None = None
    sent: Signed | None = None
