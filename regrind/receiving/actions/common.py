"""What the counter's actions share."""

from collections.abc import Sequence

from regrind.record.models import Batch, Line, LineChange, Piece
from regrind.record.moves import close_if_done
from regrind.shop.models import Event


def lock(batch_pk: int) -> Batch:
    """Hold the batch until the transaction ends, so that two tablets never take the same number of a line or piece.

    (SQLite, opened IMMEDIATE, holds the whole database from the start of the transaction.)
    """
    return Batch.objects.select_for_update(no_key=True).get(pk=batch_pk)


def record_change(happened: Event, line: Line, kind: str, description: str) -> LineChange:
    return LineChange.objects.create(event=happened, line=line, kind=kind, description=description[:300])


def settle(batch: Batch) -> None:
    """Closed or open again by what is still here; a box without a piece stays open, unless it was cancelled."""
    close_if_done(batch)


def names(pieces: Sequence[Piece]) -> str:
    """`3-7, 3-8`: the first twenty, and how many more."""
    more = f" and {len(pieces) - 20} more" if len(pieces) > 20 else ""
    return ", ".join(piece.short for piece in pieces[:20]) + more


def pieces_word(count: int) -> str:
    return f"{count} piece" if count == 1 else f"{count} pieces"
