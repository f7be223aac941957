"""Records by the numbers that are printed on them: batch 417, line 417-3, piece 417-3-7."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404

from regrind.shop.fields.whole_numbers import read_whole

from .models import Batch, Line, LineMove, Piece

RECENT = 60


def recent_lines(family: Any) -> QuerySet[Line, int]:
    """The newest lines of a family (a primary key, or an OuterRef to one), at most RECENT: keys for an `__in`.

    What was last used or is usual for a family is looked for on these alone, so that it takes as long in the
    twentieth year as in the second.
    """
    return Line.objects.filter(family=family).order_by("-pk").values_list("pk", flat=True)[:RECENT]


def read_numbers(text: str) -> list[int]:
    """The numbers of a printed number, batch-line-piece or its beginning; none where it is no such number."""
    numbers = [read_whole(part, 7) for part in text.split("-")]
    return [] if None in numbers else [number for number in numbers if number is not None]


def _numbers(text: str, count: int) -> list[int]:
    numbers = read_numbers(text)
    if len(numbers) != count:
        raise Http404(text)
    return numbers


def batch_or_404(number: str) -> Batch:
    """The batch of a printed number; Http404 where there is none."""
    [batch] = _numbers(number, 1)
    row = Batch.objects.select_related("customer", "received_by").filter(number=batch).first()
    if row is None:
        raise Http404(number)
    return row


def _moved(batch: int, number: int) -> list[int]:
    """The line (its primary key, alone) that had this number before it was moved to another batch; else nothing."""
    moves = LineMove.objects.filter(batch__number=batch, number=number).order_by("-pk")
    return list(moves.values_list("line", flat=True)[:1])


def line_or_404(number: str) -> Line:
    """The line of a printed number, with its batch, customer and family; Http404 where there is none."""
    batch, line = _numbers(number, 2)
    lines = Line.objects.select_related("batch__customer", "family")
    row = lines.filter(batch__number=batch, number=line).first() or lines.filter(pk__in=_moved(batch, line)).first()
    if row is None:
        raise Http404(number)
    return row


def piece_or_404(number: str) -> Piece:
    """The piece of a printed number, with its line, batch, customer and family; Http404 where there is none."""
    batch, line, piece = _numbers(number, 3)
    pieces = Piece.objects.select_related("line__batch__customer", "line__family", "batch", "tool")
    row = pieces.filter(batch__number=batch, original_line=line, number=piece).first()
    row = row or pieces.filter(line__in=_moved(batch, line), number=piece).first()
    if row is None:
        raise Http404(number)
    return row


def pieces_of(line: Line) -> QuerySet[Piece]:
    """A line's pieces, each with the very line that was asked for."""
    return line.pieces.select_related("batch__customer", "tool")
