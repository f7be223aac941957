"""How a quote stands: which of its tools are answered, which are open, and whether something changed since."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from regrind.bench.models import Inspection, Plan
from regrind.bench.revisions import newest
from regrind.record.models import Piece

from ..quote_models import Quote, QuoteAnswer, QuoteItem, QuoteLink, QuotePiece


@dataclass(frozen=True)
class PieceState:
    """A piece of a quote with its answer. changed: it is not answered, and no longer as the quote shows it."""

    row: QuotePiece
    answer: QuoteAnswer | None
    changed: bool

    @property
    def open(self) -> bool:
        return self.answer is None and not self.changed


@dataclass(frozen=True)
class ItemState:
    item: QuoteItem
    pieces: Sequence[PieceState]

    @property
    def open_pieces(self) -> list[PieceState]:
        return [piece for piece in self.pieces if piece.open]


@dataclass(frozen=True)
class QuoteState:
    """A quote with its items. replaced: a later quote of the box holds instead."""

    quote: Quote
    items: Sequence[ItemState]
    replaced: bool

    @property
    def pieces(self) -> list[PieceState]:
        return [piece for item in self.items for piece in item.pieces]

    @property
    def changed(self) -> list[PieceState]:
        return [piece for piece in self.pieces if piece.changed]

    @property
    def expired(self) -> bool:
        return self.quote.valid_until < timezone.localdate()

    @property
    def open(self) -> bool:
        """Whether something can still be answered: nothing changed, replaced or past its day."""
        some = any(piece.open for piece in self.pieces)
        return some and not (self.changed or self.replaced or self.expired)

    @property
    def words(self) -> str:
        answered = sum(piece.answer is not None for piece in self.pieces)
        if answered == len(self.pieces):
            return "answered"
        if self.replaced:
            return "replaced by a later quote"
        if self.changed:
            return "void: findings changed"
        if self.expired:
            return "expired"
        return f"{answered} of {len(self.pieces)} answered" if answered else "waiting for the answer"


def state_of(quote: Quote) -> QuoteState:
    """How a quote stands now; a fixed number of queries."""
    related = ("piece__batch", "piece__line__batch", "plan")
    rows = list(QuotePiece.objects.filter(item__quote=quote).select_related("item", *related).order_by("item", "pk"))
    pieces = [row.piece for row in rows]
    plans, inspections, answers = newest(Plan, pieces), newest(Inspection, pieces), _answers(rows)
    by_item: dict[int, list[PieceState]] = {}
    for row in rows:
        answer = answers.get(row.pk)
        changed = answer is None and not is_as_shown(row, plans, inspections)
        by_item.setdefault(row.item_id, []).append(PieceState(row, answer, changed))
    items = QuoteItem.objects.filter(quote=quote).select_related("line__batch").order_by("position")
    later = Quote.objects.filter(batch=quote.batch_id, number__gt=quote.number).exists()
    return QuoteState(quote, [ItemState(item, by_item[item.pk]) for item in items], later)


def _answers(rows: Sequence[QuotePiece]) -> dict[int, QuoteAnswer]:
    """The standing answer of each piece; one that was undone does not count."""
    standing = QuoteAnswer.objects.filter(quote_piece__in=rows).select_related("answer", "event__by").order_by("pk")
    return {row.quote_piece_id: row for row in standing}


def is_as_shown(row: QuotePiece, plans: dict[int, Plan], inspections: dict[int, Inspection]) -> bool:
    """Whether a piece still waits with the very plan and inspection that the quote shows."""
    plan, inspection = plans.get(row.piece_id), inspections.get(row.piece_id)
    as_planned = plan is not None and plan.pk == row.plan_id
    as_inspected = (inspection.pk if inspection else None) == row.plan.inspection_id
    return row.piece.status == "waiting" and as_planned and as_inspected


def newest_rows(pieces: Sequence[Piece]) -> dict[int, QuotePiece]:
    """The row of each piece in the newest quote that shows it, by piece id."""
    rows = QuotePiece.objects.filter(piece__in=pieces).select_related("item", "plan", "piece").order_by("pk")
    return {row.piece_id: row for row in rows}


def live_link(quote: Quote) -> QuoteLink | None:
    """The link that opens the quote's page now, if one does."""
    links = QuoteLink.objects.filter(quote=quote, revoked=None, ends_at__gt=timezone.now())
    return links.select_related("event__by").order_by("pk").last()
