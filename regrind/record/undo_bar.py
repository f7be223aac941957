"""The bar that offers to undo the newest event about the pieces of a page; the same on every page."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, QuerySet
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.shop.event_kinds import KINDS
from regrind.shop.models import Event, Person
from regrind.shop.undo import right_to_undo

from .models import Piece


@dataclass(frozen=True)
class UndoBar:
    """An event that this person may undo: `words` is `Ground 6 pieces, 09:14`."""

    event: Event
    words: str
    reason_needed: bool


def undo_bar(person: Person, pieces: Iterable[Piece]) -> UndoBar | None:
    """The bar for the newest event about these pieces; None where there is none that this person may undo. At most one
    query."""
    ids = {piece.last_event_id for piece in pieces if piece.last_event_id}
    if not ids:
        return None
    return bar_for(person, Event.objects.filter(pk__in=ids))


def bar_for(person: Person, events: QuerySet[Event]) -> UndoBar | None:
    """The bar for the newest of these events that was not undone; None where this person may not undo it."""
    newest = counted(events.filter(undone_by=None)).order_by("-pk").first()
    if newest is None:
        return None
    right = right_to_undo(person, newest)
    return None if right.refusal else UndoBar(newest, name_event(newest), right.reason_needed)


def counted(events: QuerySet[Event]) -> QuerySet[Event]:
    """Events with their person, and `n` pieces that have not gone on since."""
    return events.select_related("by").annotate(n=Count("last_of"))


def name_event(done: Event) -> str:
    """`Ground 6 pieces, 09:14`: what was done, on how many pieces that have not gone on, and when.

    done: from `counted`.
    """
    count: int = done.n  # type: ignore[attr-defined]  # the annotation
    pieces = f" {count} piece{'' if count == 1 else 's'}" if count else ""
    when = timezone.localtime(done.done_at)
    day = "" if when.date() == timezone.localdate() else f"{date_format(when, 'j M Y')} "
    return f"{KINDS[done.kind].words}{pieces}, {day}{date_format(when, 'H:i')}"
