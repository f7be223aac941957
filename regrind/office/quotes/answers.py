"""What the customer answered to a quote: by the link's page, or as somebody of the shop wrote it down."""

from collections.abc import Sequence
from typing import Any

from django.utils import timezone

from regrind.bench.models import Inspection, Plan
from regrind.bench.revisions import newest
from regrind.record.models import Answer, Line, Piece
from regrind.record.rollups import touch
from regrind.shop.models import Event

from ..quote_models import QuoteAnswer, QuoteItem, QuoteLink, QuotePiece
from .prices import agreed_prices
from .settled import way_of
from .states import is_as_shown, newest_rows

NOT_GROUND = {"returned_unground": "return unground", "scrap": "scrap"}


def note_answer(
    answering: Event, answer: Answer, pieces: Sequence[Piece], way: str = "", link: QuoteLink | None = None
) -> None:
    """Note an answer on the quote that shows these pieces as they are, if one does. Runs within the answer's event,
    before anything is moved.

    way: the option named, `grind:PLAN:OPTION`; without it each plan stands as it was asked.
    """
    plans, inspections = newest(Plan, pieces), newest(Inspection, pieces)
    rows = [row for row in newest_rows(pieces).values() if is_as_shown(row, plans, inspections)]
    QuoteAnswer.objects.bulk_create(
        [
            QuoteAnswer(
                event=answering, quote_piece=row, answer=answer, link=link, minor=_agreed_minor(row, answer, way)
            )
            for row in rows
        ]
    )
    _price_line(answer.line)


def _agreed_minor(row: QuotePiece, answer: Answer, way: str) -> int | None:
    """What the regrind costs as it was quoted, without what is charged beside it."""
    if answer.decision != "grind":
        return None
    option = find_option(row.item, way or way_of(row.plan))
    if option is None or option["price_minor"] is None:
        return None
    return int(option["price_minor"]) - int(option["beside_minor"])


def find_option(item: QuoteItem, way: str) -> dict[str, Any] | None:
    """The option of an item by its way; None where it is not one of it."""
    return next((option for option in item.shown["options"] if option["way"] == way), None)


def say_way(item: QuoteItem, way: str, currency: str) -> str:
    """`grind sides and end, 17.50 USD each`; `return unground`."""
    option = find_option(item, way)
    if option is None:
        return NOT_GROUND[way]
    minor = option["price_minor"]
    price = f", {minor / 100:.2f} {currency} each" if minor is not None else ""
    return f"grind {option['words']}{price}"


def _price_line(line: Line) -> None:
    """A line without a price gets the quoted one, where that is the same for all that was agreed."""
    rows = list(agreed_prices(list(line.pieces.all())).select_related("quote_piece__item__quote__batch"))
    prices = {row.minor for row in rows if row.minor is not None}
    if line.unit_price_minor is not None or len(prices) != 1:
        return
    line.unit_price_minor, line.price_since = prices.pop(), timezone.localdate()
    line.price_why = f"quote {rows[-1].quote_piece.item.quote}"
    line.save(update_fields=["unit_price_minor", "price_since", "price_why"])
    touch(lines=[line.pk])
