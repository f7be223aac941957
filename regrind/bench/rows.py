"""The insert-only rows about a piece: the newest of each, and adding the next without overwriting anyone's."""
from collections.abc import Iterable, Sequence
from typing import TypeVar

from django.db import IntegrityError, transaction

from regrind.record.models import Piece
from regrind.record.rollups import touch
from regrind.shop.acting import Conflict

from .models import PieceRow

Row = TypeVar("Row", bound=PieceRow)


def newest(model: type[Row], pieces: Iterable[Piece | int]) -> dict[int, Row]:
    """The newest row of `model` for each piece, by piece id; one query, pieces without one are left out."""
    ids = [p if isinstance(p, int) else p.pk for p in pieces]
    rows: dict[int, Row] = {}
    found = model._default_manager.filter(piece_id__in=ids).select_related("by", "like__by")
    for row in found.order_by("revision", "pk"):
        rows[row.piece_id] = row
    return rows


def add(rows: Sequence[Row]) -> list[Row]:
    """Insert rows whose (piece, revision) the page foresaw; raises Conflict where someone saved one first."""
    if not rows:
        return []
    try:
        with transaction.atomic():
            kept = type(rows[0])._default_manager.bulk_create(rows)
    except IntegrityError as clash:
        numbers = ", ".join(str(row.piece) for row in rows[:5])
        raise Conflict(f"Someone saved a newer {rows[0]._meta.verbose_name} of {numbers} while this page was open."
                       ) from clash
    touch(pieces=[row.piece_id for row in rows])
    return kept
