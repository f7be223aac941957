"""The pieces that the newest event of a page moved, so that one tap takes that event back and no other."""
from collections.abc import Sequence
from datetime import timedelta

from django.db.models import F
from django.utils import timezone

from regrind.record.models import Piece
from regrind.record.moves import UNDO_FOR, forward_steps

ONE_EVENT = timedelta(seconds=30)


def just_moved(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces whose last step belongs to the newest event among them, while it can be taken back; one query.

    One event's steps were recorded together and say the same time of doing.
    """
    steps = list(forward_steps().filter(piece__in=pieces, number=F("piece__steps_taken"),
                                        recorded_at__gte=timezone.now() - UNDO_FOR).order_by("-recorded_at"))
    if not steps:
        return []
    newest = steps[0]
    mine = {step.piece_id for step in steps if step.done_at == newest.done_at
            and newest.recorded_at - step.recorded_at < ONE_EVENT}
    return [piece for piece in pieces if piece.pk in mine]
