"""Which photos a line or a piece has, and which was just taken off; a fixed number of queries."""
from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from regrind.record.models import Line, Piece
from regrind.record.moves import UNDO_FOR

from ..models import Photo, PhotoRemoval


def shown() -> QuerySet[Photo]:
    """Every photo that was not taken off."""
    gone = PhotoRemoval.objects.filter(photo=OuterRef("pk"), put_back=None)
    return Photo.objects.filter(~Exists(gone)).select_related("by", "piece", "line__batch")


def photos_of(line: Line, piece: Piece | None = None) -> list[Photo]:
    """The photos of a line; of one piece those of its own, and those of its whole line."""
    mine = Q(piece=piece) | Q(piece=None) if piece else Q()
    return list(shown().filter(mine, line=line))


def photos_of_pieces(pieces: Iterable[Piece]) -> dict[int | None, list[Photo]]:
    """The photos of pieces by the piece's id; those of whole lines under None."""
    some = list(pieces)
    found: dict[int | None, list[Photo]] = {}
    lines = {piece.line_id for piece in some}
    for photo in shown().filter(Q(piece__in=some) | Q(piece=None, line__in=lines)).order_by("pk"):
        found.setdefault(photo.piece_id, []).append(photo)
    return found


def just_removed(line: Line) -> list[PhotoRemoval]:
    """What was taken off a line within ten minutes and can be put back, the newest first."""
    since = timezone.now() - UNDO_FOR
    return list(PhotoRemoval.objects.filter(photo__line=line, put_back=None, at__gte=since)
                .select_related("by", "photo__piece", "photo__line__batch").order_by("-pk"))
