"""What the price list says of a batch's lines: the price of each with its reason. Prices are whole minor units.

A discount is rounded once, on the price of one piece, half a minor unit up.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.utils.timezone import localdate

from regrind.bench.models import Plan
from regrind.bench.planning.more_work import price_gash
from regrind.bench.revisions import newest, summarize_grinds
from regrind.record.kinds import KINDS, name_part
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Batch, Line, Piece
from regrind.record.rates import SHOP, Band, Listed, RateBook, as_band, read_rates
from regrind.shop.models import ShopSettings
from regrind.shop.owner.settings import shop_settings

from .extras import CORNERS
from .price_list.entries import tool_words
from .price_list.works import WORKS


@dataclass(frozen=True)
class WorkPrice:
    """What the list says of one work on one line: the price of a piece (None where it says nothing) and the reason.

    pieces: how many of the line it is done on; 0 where nothing is decided yet.
    """

    operation: str
    pieces: int
    minor: int | None
    why: str

    @property
    def words(self) -> str:
        return WORKS.get(("price", self.operation), ", ".join(map(name_part, self.operation.split())))


@dataclass(frozen=True)
class Proposal:
    """What the list says of a line: each work that its pieces have."""

    works: tuple[WorkPrice, ...] = ()

    @property
    def minor(self) -> int | None:
        """The one price of all its pieces; None where the list has none, or their work differs in price."""
        prices = {work.minor for work in self.works}
        return prices.pop() if len(prices) == 1 else None

    @property
    def why(self) -> str:
        return self.works[0].why if self.minor is not None else ""

    @property
    def mixed(self) -> bool:
        """Whether pieces of the line have different prices: the line is split, or one price agreed."""
        return len({work.minor for work in self.works}) > 1


class PriceList:
    """The list of these batches: of each as it was on the day that it was received, for its customer."""

    def __init__(self, batches: Iterable[Batch], book: RateBook | None = None) -> None:
        self.book = book or read_rates(customers={batch.customer_id for batch in batches})

    @cached_property
    def shop(self) -> ShopSettings:
        return shop_settings()

    def price(self, line: Line, operation: str, pieces: int = 0) -> WorkPrice:
        """The price of a piece of this line for some work, less the customer's discount where it is not their own."""
        batch = line.batch
        listed = self.book.locate(line.family, "price", _day(batch), operation, batch.customer_id)
        if listed is None:
            return WorkPrice(operation, pieces, None, "")
        why = _reason(listed)
        percent = None if as_band(listed.scope).customer else self._of_customer(batch, "discount")
        if not percent:
            return WorkPrice(operation, pieces, listed.amount, why)
        return WorkPrice(operation, pieces, less(listed.amount, percent), f"{why}, less {percent / 100:g} %")

    def item_price(self, line: Line, item: str) -> int | None:
        """The price of an item beside the regrind, a piece; gashing again by the hour where the list says nothing."""
        listed = self.book.find(line.family, item, _day(line.batch), "", line.batch.customer_id)
        return self._gash(line) if listed is None and item == "gash" else listed

    def new_price(self, line: Line) -> int | None:
        """The price of a new tool."""
        return self.book.find(line.family, "new", _day(line.batch))

    def _gash(self, line: Line) -> int | None:
        """What the plan told that gashing again costs; None where nobody knows the teeth."""
        teeth = tool_of(line).teeth
        if not teeth:
            return None
        hourly = self.book.find_exact(SHOP, "hourly", _day(line.batch))
        return price_gash(self.shop, teeth, hourly).price_minor or None

    def of_box(self, batch: Batch, item: str) -> int:
        """The charge of a whole box (rush, least): the customer's, else everybody's; 0 where there is none."""
        return self._of_customer(batch, item) or self.book.find_exact(SHOP, item, _day(batch)) or 0

    def _of_customer(self, batch: Batch, item: str) -> int | None:
        return self.book.find_exact(Band(customer=batch.customer_id), item, _day(batch))


def _day(batch: Batch) -> date:
    return localdate(batch.received_at)


def less(minor: int, basis_points: int) -> int:
    """An amount less a share of it in hundredths of a per cent, half a minor unit up.

    >>> less(1_750, 1_000), less(5, 5_000)
    (1575, 3)
    """
    return (minor * (10_000 - basis_points) + 5_000) // 10_000


def _reason(listed: Listed) -> str:
    band = as_band(listed.scope)
    tool = "this family" if band.family else tool_words(band)
    whose = "own price" if band.customer else "price list"
    parts = [WORKS.get(("price", operation), name_part(operation)) for operation, _ in listed.parts]
    amounts = " + ".join(f"{minor // 100}.{minor % 100:02d}" for _, minor in listed.parts)
    return f"{whose}: {' + '.join(parts)}, {tool}, {amounts}"


def propose(lines: Sequence[Line], asked: PriceList) -> dict[int, Proposal]:
    """What the list says of each line, by its primary key; a fixed number of queries."""
    works = _works(lines)
    return {
        line.pk: Proposal(
            tuple(asked.price(line, operation, count) for operation, count in (works.get(line.pk) or {"": 0}).items())
        )
        for line in lines
    }


def _works(lines: Iterable[Line]) -> dict[int, Counter[str]]:
    """By line, how many pieces have which work: as ground, else as planned."""
    by_pk = {line.pk: line for line in lines}
    pieces = list(Piece.objects.filter(line__in=by_pk, complaint_of=None).exclude(status="missing"))
    ground, plans = summarize_grinds(pieces).parts, newest(Plan, pieces)
    works: dict[int, Counter[str]] = {}
    for piece in pieces:
        plan = plans.get(piece.pk)
        parts = ground.get(piece.pk) or (plan.grinds.split() if plan and plan.decision == "grind" else ())
        if parts and piece.result in ("", "ground"):
            works.setdefault(piece.line_id, Counter())[in_order(parts, by_pk[piece.line_id].family.kind)] += 1
    return works


def in_order(parts: Iterable[str], kind: str) -> str:
    """Parts of a work in the one order in which the list names them. A corner or ball beside others is
    charged beside them."""
    named, order = set(parts), KINDS[kind].grinds
    named = named - CORNERS or named
    return " ".join([*(part for part in order if part in named), *sorted(named - set(order))])
