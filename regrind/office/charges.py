"""What is charged for a batch or a parcel: lines, items beside the regrind, rush, batch minimum.

All amounts are whole minor units. A total is the sum of its lines and named charges; nothing in it is rounded.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from regrind.record.complaints import charged_pieces
from regrind.record.models import Batch, Line, Piece

from .charge_models import FixedPrice, FixedTerms, LineExtra
from .extras import BY_PIECE, WORDS, count_extras, find_extras
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


class ChargeBook:
    """Whatever the charges of some batches hang on, read once: a fixed number of queries, whatever their number."""

    def __init__(self, batches: Collection[Batch]) -> None:
        lines = Line.objects.filter(batch__in=batches).select_related("family", "batch__customer", "price_by")
        pieces = list(Piece.objects.filter(batch__in=batches))
        self.lines = list(lines.order_by("batch", "number"))
        self.pieces: dict[int, list[Piece]] = {line.pk: [] for line in self.lines}
        for piece in pieces:
            self.pieces[piece.line_id].append(piece)
        charged = charged_pieces(pieces)
        self.charged = {piece.pk for piece in charged}
        self.quoted, self.extras = quoted_prices(charged), find_extras(charged)
        self.price_list, self.terms = PriceList(batches), terms_of(batches)
        self.prices = prices_of(self.lines, self.price_list)

    def bill(self, batch: Batch, piece_ids: Collection[int] | None = None, *, closing: bool = True) -> Bill:
        """The bill for all pieces of one of the batches; for one parcel's where `piece_ids` names them.

        closing: whether the parcel emptied the batch. Rush and minimum are charged with that one alone, on the whole
        batch. A complaint is not charged.
        """
        rows = self._charge(batch, piece_ids)
        rush, minimum = self._of_box(batch) if closing else (0, 0)
        unpriced = tuple(row.line for row in rows if row.pieces and row.each_minor is None)
        return Bill(rows, rush, minimum, unpriced)

    def _of_box(self, batch: Batch) -> tuple[int, int]:
        """(rush, what the minimum adds) of a whole batch; nothing where nothing else is charged."""
        summed = sum(row.minor for row in self._charge(batch))
        if not summed:
            return 0, 0
        rush, least = box_charges(batch, self.price_list, self.terms.get(batch.pk))
        return rush, max(0, least - summed)

    def _charge(self, batch: Batch, piece_ids: Collection[int] | None = None) -> tuple[Charged, ...]:
        """The rows of each line, whether or not pieces of it are among these."""
        lines = [line for line in self.lines if line.batch_id == batch.pk]
        return tuple(row for line in lines for row in self._charge_line(line, piece_ids))

    def _charge_line(self, line: Line, piece_ids: Collection[int] | None) -> Iterable[Charged]:
        """A row; one more for each other price that its pieces were quoted at. What is beside stands with the first."""
        pieces = [piece for piece in self.pieces[line.pk] if piece_ids is None or piece.pk in piece_ids]
        prices, ground = self.prices[line.pk], [piece.pk for piece in pieces if piece.result == "ground"]
        usual, charged = prices["price"], [pk for pk in ground if pk in self.charged]
        counts = Counter(self.quoted.get(pk, usual) for pk in charged) or Counter({usual: 0})
        beside = [(item, count, prices.get(item)) for item, count in count_extras(pieces, self.extras).items()]
        extras = tuple(Extra(item, count, each) for item, count, each in beside if each)
        first, *others = sorted(counts, key=lambda minor: (minor != usual, minor or 0))
        yield Charged(line, counts[first], len(ground) - len(charged), first, extras)
        for minor in others:
            yield Charged(line, counts[minor], 0, minor)


def bill(batch: Batch) -> Bill:
    """The bill for all pieces of a batch."""
    return ChargeBook([batch]).bill(batch)


def prices_of(lines: Sequence[Line], asked: PriceList) -> dict[int, Prices]:
    """By line, what a piece costs for the regrind and for each item beside it: as fixed, else as set by hand, else (for
    the items) as the list has it."""
    prices = {line.pk: asked_prices(line, asked) for line in lines}
    for extra in LineExtra.objects.filter(line__in=lines).order_by("pk"):
        prices[extra.line_id][extra.item] = extra.minor
    return prices | fixed_prices(lines)


def asked_prices(line: Line, asked: PriceList) -> Prices:
    return {"price": line.unit_price_minor, **{item: asked.item_price(line, item) for item in BY_PIECE}}


def fixed_prices(lines: Sequence[Line]) -> dict[int, Prices]:
    """The fixed prices of these lines; a line that came about after they were fixed has none. One without a price then
    has the price it got since."""
    fixed: dict[int, Prices] = {}
    standing = FixedTerms.objects.filter(batch=OuterRef("line__batch"))
    for row in FixedPrice.objects.filter(Exists(standing), line__in=lines).order_by("pk"):
        fixed.setdefault(row.line_id, {})[row.item] = row.minor
    since = {line.pk: line.unit_price_minor for line in lines}
    return {pk: {"price": since[pk]} | prices for pk, prices in fixed.items()}


def terms_of(batches: Collection[Batch]) -> dict[int, FixedTerms]:
    """By batch, the terms that were fixed; one whose terms may still change is left out."""
    rows = FixedTerms.objects.select_related("event__by").filter(batch__in=batches).order_by("pk")
    return {row.batch_id: row for row in rows}


def fixed_terms(batch: Batch) -> FixedTerms | None:
    """The terms that were fixed for a batch, None while they may still change."""
    return terms_of([batch]).get(batch.pk)


def box_charges(batch: Batch, asked: PriceList, fixed: FixedTerms | None) -> tuple[int, int]:
    """(rush, least charge) of a batch: as fixed, else the customer's terms, else the list's."""
    if fixed is not None:
        return fixed.rush_minor, fixed.least_minor
    rush = batch.customer.rush_charge_minor or asked.of_box(batch, "rush") if batch.rush else 0
    return rush, batch.customer.batch_minimum_minor or asked.of_box(batch, "least")
