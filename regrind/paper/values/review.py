"""The family review on one page."""

from dataclasses import dataclass

from .head import Heading
from .quantity import Length, Money


@dataclass(frozen=True)
class FamilyRow:
    """One tool family as the review shows it; shares in whole percent. What is left empty by all has no column.

    advice: what is said of it in words. reground_from, reground_to: the interval of the share that came good. saved:
    of a tool that came, against a new one. earned: a bench minute (for the shop's own eyes).
    """

    family: str
    received: int
    reground_percent: int | None = None
    usual_stock_radial: Length | None = None
    regrinds_so_far: str = ""
    regrinds_left: str = ""
    minutes: str = ""
    price: Money | None = None
    not_ground_percent: int | None = None
    why_not: str = ""
    complaints: int = 0
    advice: str = ""
    reground_from: int | None = None
    reground_to: int | None = None
    saved: Money | None = None
    earned: Money | None = None


@dataclass(frozen=True)
class Review:
    """The families of a period, in the order the page showed them; `summary` stands above them in a sentence or two."""

    head: Heading
    period: str
    rows: tuple[FamilyRow, ...]
    note: str = ""
    summary: str = ""
