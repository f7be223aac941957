"""Asked about or sent back at the inspection, before anything is measured or planned."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from regrind.record.models import Piece
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person

from ..inspecting.actions import inspect
from ..models import BY_EYE, Plan
from ..revisions import revisions
from .actions import decide


def decide_at_once(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: Mapping[int, int],
    decision: str,
    result: str,
    reason: str,
    done_at: datetime | None = None,
) -> list[Plan]:
    """Record that the pieces were judged by eye, and decide, as one event.

    decision: ask or not_ground, with result returned_unground or scrap. expected: the revisions of their inspections
    that the page saw. Refusal where a piece was inspected before, and where the customer's terms ask first.
    """
    inspected = [piece.short for piece in pieces if piece.status != "arrived"]
    if inspected:
        raise Refusal(f"{', '.join(inspected)} was inspected before: ask about it or return it on its plan.")
    with event(by, "inspected", why=reason, done_at=done_at):
        inspect(by=by, pieces=pieces, expected=expected, typed={}, damage="unmeasurable", unmeasurable_reason=BY_EYE[0])
        plans = revisions(Plan, pieces)
        return decide(by=by, pieces=pieces, expected=plans, decision=decision, result=result, reason=reason)
