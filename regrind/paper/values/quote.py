"""The quote: read by whoever decides for the customer."""

from dataclasses import dataclass
from datetime import date

from .head import Heading, Photo
from .quantity import Money


@dataclass(frozen=True)
class QuoteOption:
    """One way to grind: what is ground, size and length after, whether it is worth it, and the price of a piece (None
    where there is none yet). proposed: what the shop would do."""

    words: str
    after: str
    worth: str
    price: Money | None
    proposed: bool = False


@dataclass(frozen=True)
class QuotedTools:
    """Like pieces of one line that are asked about. not_ground: what one costs that is not ground after all. drawing:
    of what is proposed, as SVG; "" for none. photos: of the pieces as they came."""

    line: str
    tool: str
    pieces: str
    count: int
    question: str
    now: str
    limit: str
    options: tuple[QuoteOption, ...]
    part_number: str = ""
    not_ground: Money | None = None
    coating: Money | None = None
    drawing: str = ""
    photos: tuple[Photo, ...] = ()


@dataclass(frozen=True)
class QuoteRow:
    """What needs no answer, ground or not. price: of a piece, None where there is none; priced: it should have one."""

    line: str
    tool: str
    pieces: str
    count: int
    words: str
    price: Money | None = None
    priced: bool = False


@dataclass(frozen=True)
class QuotePart:
    """Rows that need no answer, under one heading."""

    title: str
    rows: tuple[QuoteRow, ...]


@dataclass(frozen=True)
class QuoteSheet:
    """A quote for a box. answer_to: how to answer by word. address: of the customer's page, printed as a code; "" for
    none, as on the paper that the shop stores."""

    head: Heading
    items: tuple[QuotedTools, ...]
    valid_until: date
    answer_to: str
    settled: tuple[QuotePart, ...] = ()
    uninspected: str = ""
    rush: Money | None = None
    least: Money | None = None
    note: str = ""
    address: str = ""
