"""The family review on one page."""

from dataclasses import dataclass

from .head import Heading
from .quantity import Length, Money


@dataclass(frozen=True)
class FamilyRow:
    """One tool family as the review shows it; shares in whole percent."""

    family: str
    seen: int
    reground_percent: int | None = None
    usual_stock_radial: Length | None = None
    regrinds_so_far: str = ""
    regrinds_left: str = ""
    minutes: str = ""
    price: Money | None = None
    not_ground_percent: int | None = None
    why_not: str = ""
    complaints: int = 0


@dataclass(frozen=True)
class Review:
    """The families of a period, in the order the page showed them."""

    head: Heading
    period: str
    rows: tuple[FamilyRow, ...]
    note: str = ""
