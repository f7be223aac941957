"""Which photos a line or a piece has, and which were just removed; a fixed number of queries."""

import json
from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from regrind.geometry.units import show_with_unit
from regrind.record.models import Line, Piece
from regrind.shop.undo import UNDO_FOR

from ..models import Photo


def shown() -> QuerySet[Photo]:
    """Every photo that was not removed."""
    return Photo.objects.select_related("event__by", "piece", "line__batch")


def photos_of(line: Line, piece: Piece | None = None) -> list[Photo]:
    """The photos of a line; of one piece those of its own, and those of its whole line."""
    shown_with = Q(piece=piece) | Q(piece=None) if piece else Q()
    return list(shown().filter(shown_with, line=line))


def measured_on_photos(line: Line, pieces: Iterable[Piece]) -> list[tuple[str, str, str]]:
    """What was measured on the photos of pieces, or of the whole line: depth or wear_land, the length, which photo."""
    rows = Photo.objects.filter(Q(piece__in=list(pieces)) | Q(piece=None), line=line).exclude(measured="")
    unit = line.batch.customer.unit
    measured = [(photo, json.loads(photo.measured)) for photo in rows]
    return [(values["quantity"], show_with_unit(values["nm"], unit), f"photo {photo.pk}") for photo, values in measured]


def photos_of_pieces(pieces: Iterable[Piece]) -> dict[int | None, list[Photo]]:
    """The photos of pieces by the piece's id; those of whole lines under None."""
    some = list(pieces)
    by_piece: dict[int | None, list[Photo]] = {}
    lines = {piece.line_id for piece in some}
    for photo in shown().filter(Q(piece__in=some) | Q(piece=None, line__in=lines)).order_by("pk"):
        by_piece.setdefault(photo.piece_id, []).append(photo)
    return by_piece


def just_removed(line: Line) -> list[Photo]:
    """What was removed from a line within ten minutes, and was not added again; the last removed first."""
    fresh = Photo.every.filter(line=line, event__undone_by__recorded_at__gte=timezone.now() - UNDO_FOR)
    again = Photo.objects.filter(line=line, sha256=OuterRef("sha256"), event__gt=OuterRef("event__undone_by"))
    return list(
        fresh.exclude(Exists(again))
        .select_related("event__undone_by__by", "piece", "line__batch")
        .order_by("-event__undone_by")
    )
