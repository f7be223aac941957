"""A box whose tools are asked about, its quote, and the customer's browser."""

from dataclasses import dataclass, field

import pytest

from regrind.bench.planning.actions import decide
from regrind.office.quote_models import Quote, QuoteItem, QuotePiece
from regrind.office.quotes.links import address_of
from regrind.office.quotes.making import make_link, make_quote
from regrind.record.models import Batch
from regrind.record.rate_changes import keep_list

from .conftest import pieces_of

PUBLIC = "https://tools.example"
PRICES = {"sides": 1_750, "end": 1_200, "sides end": 2_400}
INSPECTION, NEW = 300, 4_890


@pytest.fixture
def quoted(settings, make_batch, look, bench_hand, owner, front_desk):
    """quoted(2, 3) -> a box with a price list, lines of as many tools that are asked about, a quote and its link."""
    settings.PUBLIC_ADDRESS = PUBLIC

    def make(*counts: int, number: int = 417, **more) -> "Asked":
        batch = make_batch(*counts, number=number, **more)
        entries = {((None, "square"), "price", work): minor for work, minor in PRICES.items()}
        entries |= {((None, "square"), "new", ""): NEW, ((None, "square"), "inspection", ""): INSPECTION}
        keep_list(by=owner, entries=entries, from_day=batch.received_at.date(), stale=lambda: False)
        for line in batch.lines.all():
            pieces = pieces_of(line)
            look(pieces)
            decide(by=bench_hand, pieces=pieces, expected={}, decision="ask", reason="It is small. Shall we?")
        return Asked(batch, make_quote(by=front_desk, batch=batch), front_desk)

    return make


@dataclass
class Asked:
    batch: Batch
    quote: Quote
    by: object
    token: str = field(default="")

    def __post_init__(self) -> None:
        self.token = make_link(by=self.by, quote=self.quote)

    @property
    def where(self) -> str:
        return address_of(self.token).removeprefix(PUBLIC)

    @property
    def items(self) -> list[QuoteItem]:
        return list(QuoteItem.objects.filter(quote=self.quote).order_by("position"))

    @property
    def rows(self) -> list[QuotePiece]:
        return list(QuotePiece.objects.filter(item__quote=self.quote).select_related("piece").order_by("pk"))

    def way(self, words: str, item: int = 0) -> str:
        """The way of an option by what it grinds."""
        return next(one["way"] for one in self.items[item].shown["options"] if one["words"] == words)

    def states(self) -> list[str]:
        return list(self.batch.pieces.order_by("pk").values_list("status", flat=True))
