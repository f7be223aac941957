"""Complaints: which are open, how the others ended, and which piece is about which."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from .models import ComplaintEnd, Piece


@dataclass(frozen=True)
class Complaint:
    """A piece that came back, with the earlier piece that it is about; end: how it ended, None while it is open."""

    piece: Piece
    end: ComplaintEnd | None

    @property
    def words(self) -> str:
        """`open`, or `refused: how it was used`"""
        if self.end is None:
            return "open"
        note = f", {self.end.note}" if self.end.note else ""
        return f"{self.end.get_outcome_display()}: {self.end.get_cause_display()}{note}"


def complaints_about(pieces: Sequence[Piece]) -> list[Complaint]:
    """Every complaint that one of these pieces is, or that is about one of them; two queries."""
    keys = [piece.pk for piece in pieces]
    return list_complaints(Q(pk__in=keys) | Q(complaint_of__in=keys))


def open_complaints(most: int, after: int = 0) -> tuple[list[Complaint], int | None]:
    """Those that nobody ended, the oldest first: at most so many that follow the piece with the key `after`.

    With the key that the next ones follow, None where these were the last.
    """
    ended = ComplaintEnd.objects.filter(piece=OuterRef("pk"))
    waiting = Piece.objects.filter(~Exists(ended), complaint_of__isnull=False, pk__gt=after)
    keys = list(waiting.order_by("pk").values_list("pk", flat=True)[: most + 1])
    rows = sorted(list_complaints(Q(pk__in=keys[:most])), key=lambda row: row.piece.pk)
    return rows, keys[most - 1] if len(keys) > most else None


def list_complaints(condition: Q) -> list[Complaint]:
    """The complaints that meet a condition, in the order in which they came; two queries."""
    related = ("batch__customer", "complaint_of__batch", "line__family")
    rows = Piece.objects.filter(condition, complaint_of__isnull=False).select_related(*related)
    pieces = list(rows.order_by("batch__received_at", "pk"))
    ends = {end.piece_id: end for end in ComplaintEnd.objects.filter(piece__in=pieces).order_by("pk")}
    return [Complaint(piece, ends.get(piece.pk)) for piece in pieces]


def charged_pieces(pieces: Sequence[Piece]) -> list[Piece]:
    """Those that are no complaint, or one that was refused. No query where none is a complaint."""
    complained = [piece.pk for piece in pieces if piece.complaint_of_id is not None]
    ends = ComplaintEnd.objects.filter(piece__in=complained).order_by("pk") if complained else ()
    outcomes = {end.piece_id: end.outcome for end in ends}
    return [piece for piece in pieces if piece.complaint_of_id is None or outcomes.get(piece.pk) == "refused"]
