"""What is charged for a batch or a parcel: lines, items beside the regrind, rush, batch minimum.

All amounts are whole minor units. A total is the sum of its lines and named charges; nothing in it is rounded.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from regrind.record.complaints import refused_pieces
from regrind.record.models import Batch, Line, Piece

from .charge_models import FixedPrice, FixedTerms, LineExtra
from .extras import BY_PIECE, WORDS, Counts, count_extras
from .proposals import PriceList
from .quotes.prices import quoted_prices

Prices = dict[str, int | None]  # item, or "price" for the regrind -> a piece's price


@dataclass(frozen=True)
class Extra:
    """An item beside the regrind: on how many pieces of the line it was done, and the price of one."""

    item: str
    pieces: int
    each_minor: int

    @property
    def words(self) -> str:
        return WORDS[self.item]

    @property
    def minor(self) -> int:
        return self.pieces * self.each_minor


@dataclass(frozen=True)
class Charged:
    """The charge of one line: the pieces reground and charged, what one costs (None: no price yet), items beside."""

    line: Line
    pieces: int
    free: int  # reground on a complaint, at no charge
    each_minor: int | None
    extras: tuple[Extra, ...] = ()

    @property
    def regrind_minor(self) -> int:
        return self.pieces * (self.each_minor or 0)

    @property
    def minor(self) -> int:
        return self.regrind_minor + sum(extra.minor for extra in self.extras)


@dataclass(frozen=True)
class Bill:
    """The lines, the other charges and the total; `open_lines` have pieces to charge and no price yet."""

    lines: tuple[Charged, ...]
    rush_minor: int
    minimum_minor: int  # what the batch minimum adds
    open_lines: tuple[Line, ...]

    @property
    def total_minor(self) -> int:
        return sum(line.minor for line in self.lines) + self.rush_minor + self.minimum_minor


def bill(batch: Batch, piece_ids: Sequence[int] | None = None) -> Bill:
    """The bill for the pieces of a batch; for one parcel's pieces where `piece_ids` names them.

    Rush and minimum are charged once a batch, so a parcel's bill has neither. A complaint is not charged.
    """
    whole = piece_ids is None
    pieces = list(batch.pieces.all() if piece_ids is None else batch.pieces.filter(pk__in=piece_ids))
    lines = list(batch.lines.select_related("family").order_by("number"))
    price_list = PriceList(batch)
    rows = _charge(lines, pieces, prices_of(batch, lines, price_list))
    summed = sum(row.minor for row in rows)
    rush, least = box_charges(batch, price_list) if whole and summed else (0, 0)
    unpriced = tuple(row.line for row in rows if row.pieces and row.each_minor is None)
    return Bill(rows, rush, max(0, least - summed), unpriced)


def _charge(lines: Sequence[Line], pieces: Sequence[Piece], prices: Mapping[int, Prices]) -> tuple[Charged, ...]:
    """A row a line; one more for each other price that its pieces were quoted at."""
    ground = [piece for piece in pieces if piece.result == "ground"]
    refused = refused_pieces(ground)
    charged = [piece for piece in ground if piece.complaint_of_id is None or piece.pk in refused]
    free = Counter(piece.line_id for piece in ground if piece not in charged)
    quoted, extras = quoted_prices(charged), count_extras(pieces)
    each: dict[int, Counter[int | None]] = {line.pk: Counter() for line in lines}
    for piece in charged:
        each[piece.line_id][quoted.get(piece.pk, prices[piece.line_id].get("price"))] += 1
    return tuple(
        Charged(
            line, count, free[line.pk] if first else 0, minor, _extras(prices[line.pk], extras, line) if first else ()
        )
        for line in lines
        for first, minor, count in _by_price(each[line.pk], prices[line.pk].get("price"))
    )


def _by_price(counts: Mapping[int | None, int], usual: int | None) -> list[tuple[bool, int | None, int]]:
    """(is it the line's first row, price, pieces): the line's own price first where pieces have it."""
    ordered = sorted(counts, key=lambda minor: (minor != usual, minor or 0)) or [usual]
    return [(index == 0, minor, counts.get(minor, 0)) for index, minor in enumerate(ordered)]


def _extras(prices: Prices, extras: Counts, line: Line) -> tuple[Extra, ...]:
    counted = extras.get(line.pk, {}).items()
    return tuple(Extra(item, count, each) for item, count in counted if (each := prices.get(item)))


def prices_of(batch: Batch, lines: Sequence[Line], price_list: PriceList | None = None) -> dict[int, Prices]:
    """By line, what a piece costs for the regrind and for each item beside it: as fixed, else as set by hand, else (for
    the items) as the list has it."""
    asked = price_list or PriceList(batch)
    prices = {line.pk: asked_prices(line, asked) for line in lines}
    for extra in LineExtra.objects.filter(line__in=lines).order_by("pk"):
        prices[extra.line_id][extra.item] = extra.minor
    return prices | fixed_prices(batch, lines)


def asked_prices(line: Line, asked: PriceList) -> Prices:
    return {"price": line.unit_price_minor, **{item: asked.item_price(line, item) for item in BY_PIECE}}


def fixed_prices(batch: Batch, lines: Sequence[Line]) -> dict[int, Prices]:
    """The fixed prices of these lines; a line that came about after they were fixed has none. One without a price then
    has the price it got since."""
    fixed: dict[int, Prices] = {}
    if fixed_terms(batch) is not None:
        for row in FixedPrice.objects.filter(line__in=lines).order_by("pk"):
            fixed.setdefault(row.line_id, {})[row.item] = row.minor
    since = {line.pk: line.unit_price_minor for line in lines}
    return {pk: {"price": since[pk]} | prices for pk, prices in fixed.items()}


def fixed_terms(batch: Batch) -> FixedTerms | None:
    """The terms that were fixed for a batch, None while they may still change."""
    return FixedTerms.objects.select_related("event__by").filter(batch=batch).order_by("pk").last()


def box_charges(batch: Batch, price_list: PriceList | None = None) -> tuple[int, int]:
    """(rush, least charge) of a batch: as fixed, else the customer's terms, else the list's."""
    fixed = fixed_terms(batch)
    if fixed is not None:
        return fixed.rush_minor, fixed.least_minor
    asked = price_list or PriceList(batch)
    rush = batch.customer.rush_charge_minor or asked.of_box("rush") if batch.rush else 0
    return rush, batch.customer.batch_minimum_minor or asked.of_box("least")
