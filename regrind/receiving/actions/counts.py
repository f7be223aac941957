"""How many there really are: counted again, missing, found again.

Two things look alike and are not. *Missing* is a piece that is ours to account for: it keeps its number, is named on
every paper with its reason, and counts among what came. *Counted wrong* is a piece that was never there: a recount
strikes it, so that the line holds what came. Only pieces that nothing has happened to can be struck, the highest
numbers first; the history keeps the struck rows, and the line says in words how many and which.
"""

import hashlib
from collections.abc import Iterable, Sequence

from django.db.models import Max

from regrind.record.models import Line, Piece
from regrind.record.moves import move
from regrind.record.rollups import touch
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Person

from ..line_parser import MOST_PIECES
from .common import lock, names, pieces_word, record_change, settle

GONE = ("left", "recycled", "missing")


def add_pieces(line: Line, count: int) -> None:
    """Number `count` more pieces of the line, after the highest number it was born with."""
    last = Piece.objects.filter(batch=line.batch_id, original_line=line.number).aggregate(m=Max("number"))["m"] or 0
    Piece.objects.bulk_create(
        [
            Piece(batch_id=line.batch_id, original_line=line.number, number=last + k, line=line)
            for k in range(1, count + 1)
        ]
    )
    touch(lines=[line.pk])


def untouched(line: Line) -> list[Piece]:
    """Pieces that nothing has happened to since they were logged, the highest number first."""
    return list(
        line.pieces.filter(
            status="arrived",
            steps_taken=0,
            tool=None,
            complaint_of=None,
            complaints=None,
            before_here=None,
            before_elsewhere=None,
        )
        .select_related("batch")
        .order_by("-original_line", "-number")
    )


def strike(line: Line, count: int) -> list[Piece]:
    """Take away the `count` highest untouched pieces: they were never there. Refusal where too many are touched."""
    free = untouched(line)
    if count > len(free):
        raise Refusal(
            f"Only {pieces_word(len(free))} of this line are untouched, so the count cannot fall by {count}. "
            "Name the others missing, with the reason."
        )
    struck = free[:count]
    Piece.objects.filter(pk__in=[piece.pk for piece in struck]).delete()
    touch(lines=[line.pk])
    return struck


def pieces_version(pieces: Iterable[Piece]) -> str:
    """The state of a line that a count is about: which pieces it holds, and which of them are missing."""
    state = sorted((piece.pk, piece.status == "missing") for piece in pieces)
    return hashlib.sha256(repr(state).encode()).hexdigest()[:32]


def recount(*, by: Person, line: Line, count: int, reason: str, version: str = "") -> None:
    """Set how many pieces a line really holds (0 to 500): more are added, fewer are struck as never there.

    count: pieces of the line now, without those named missing. version: of the line as its page showed it; Conflict
    where pieces were added, split off or named missing since. Refusal without a reason, or where it is no change.
    """
    if not 0 <= count <= MOST_PIECES:
        raise Refusal(f"A line holds 0 to {MOST_PIECES} pieces, not {count}.")
    if not reason:
        raise Refusal("Write the reason.")
    with event(by, "recounted", why=reason) as recounting:
        lock(line.batch_id)
        before = line.pieces.exclude(status="missing").count()
        if version and version != pieces_version(line.pieces.all()):
            raise Conflict(f"{line} has changed since your page was opened. It holds {pieces_word(before)} now.")
        if count == before:
            raise Refusal(f"The line holds {pieces_word(before)} already.")
        struck = strike(line, before - count) if count < before else []
        if count > before:
            add_pieces(line, count - before)
        which = f" Struck: {names(struck[::-1])}." if struck else ""
        record_change(recounting, line, "recounted", f"{before} → {count}: {reason}.{which}")
        settle(line.batch)


def name_missing(*, by: Person, pieces: Sequence[Piece], reason: str) -> None:
    """Say that pieces are not to be found, and why. Refusal without a reason or where one has left."""
    if not pieces:
        raise Refusal("Tick the pieces that are missing.")
    if not reason:
        raise Refusal("Write why they are missing.")
    with event(by, "missing", why=reason):
        move(pieces=pieces, to="missing", by=by, result="missing", reason=reason)
        settle(pieces[0].batch)


def name_found(*, by: Person, pieces: Sequence[Piece]) -> None:
    """Missing pieces turned up: each goes back to where it was before. Refusal where one is not missing."""
    if not pieces:
        raise Refusal("Tick the pieces that turned up.")
    with event(by, "found"):
        for piece in pieces:
            steps = list(piece.steps.order_by("-number")[:2])
            if piece.status != "missing" or not steps or steps[0].now != "missing":
                raise Refusal(f"{piece} is not missing.")
            before = steps[1].result if len(steps) > 1 else ""
            move(pieces=[piece], to=steps[0].was, by=by, result=before, reason="found again", stands="")
        settle(pieces[0].batch)
