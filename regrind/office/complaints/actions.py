"""Ending complaints. All writes of their ends are here."""

from regrind.record.models import ComplaintEnd, Piece
from regrind.record.moves import about
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person


def end_complaint(*, by: Person, piece: Piece, outcome: str, cause: str, note: str = "") -> ComplaintEnd:
    """Record how a complaint ended and what it came from. A refused one is charged as other pieces are.

    outcome: ground, credited or refused. cause: a code of CAUSES. Refusal where the piece is no complaint, or ends as
    ground again and was not.
    """
    if piece.complaint_of_id is None:
        raise Refusal(f"{piece} is no complaint.")
    if outcome == "ground" and piece.result != "ground":
        raise Refusal(f"{piece} is not ground again yet: it is {piece.state_in_words}.")
    with event(by, "complaint ended", why=f"{piece}: {note or outcome}") as ending:
        Piece.objects.select_for_update(no_key=True, of=("self",)).get(pk=piece.pk)
        about(ending, [piece.pk])
        return ComplaintEnd.objects.create(event=ending, piece=piece, outcome=outcome, cause=cause, note=note)
