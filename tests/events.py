"""Events for tests: one for rows that a test writes itself, and the undo of the newest event of some pieces."""

from collections.abc import Iterable
from typing import Any

from regrind.record.models import Piece
from regrind.shop.events import event
from regrind.shop.models import Event, Person
from regrind.shop.undo import undo


def make_event(by: Person | None, kind: str = "test", **values: Any) -> Event:
    with event(by, kind, **values) as made:
        return made


def newest_event(pieces: Iterable[Piece]) -> Event:
    """The newest standing event about these pieces, as the record has it now."""
    return Event.objects.filter(last_of__in=list(pieces)).latest("pk")


def undo_newest(pieces: Iterable[Piece], by: Person, why: str = "") -> Event:
    return undo(by=by, done=newest_event(pieces), why=why)
