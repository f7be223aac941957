"""One event in the shop: one transaction and one Event row, which every row and every change within it hangs on."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import connection, transaction
from django.utils import timezone

from regrind.log import log_event

from .event_kinds import KINDS
from .models import CurrentEvent, Event, Person


class Conflict(Exception):
    """Someone else changed the same record first. The message names its present state.

    theirs: their saved values by the names of the form's fields. whose: who that was and when.
    """

    def __init__(self, message: str = "", *, theirs: Mapping[str, str] | None = None, whose: str = "") -> None:
        super().__init__(message)
        self.theirs, self.whose = dict(theirs or {}), whose


class Refusal(Exception):
    """The shop's rules do not allow this step. The message says why and what would be allowed.

    event: the event that prevents it, if there is one.
    """

    def __init__(self, message: str = "", *, event: Event | None = None) -> None:
        super().__init__(message)
        self.event = event


Deferred = Callable[[set[Any]], None]


@dataclass
class _Running:
    """The running transaction: its event, once there is one, and the functions to call before the commit."""

    key: str = ""
    event: Event | None = None
    deferred: dict[Deferred, set[Any]] = field(default_factory=dict)


_running: ContextVar[_Running | None] = ContextVar("running", default=None)


def before_commit(act: Deferred, things: Iterable[Hashable]) -> None:
    """Have `act` called once with all the things named, at the end of the running event and in its transaction.

    Outside of an event it is called at once, in a transaction of its own. Whoever locks rows there locks them in one
    order, after everything else: so that two events never wait for each other.
    """
    running = _running.get()
    if running is None:
        with transaction.atomic():
            act(set(things))
    else:
        running.deferred.setdefault(act, set()).update(things)


@contextmanager
def one_event(key: str = "") -> Iterator[None]:
    """Make all that happens within one event: the first that `event` names. Nested, the outer one holds.

    key: the once-only key of the form that it came with.
    """
    if _running.get() is not None:
        yield
        return
    running = _Running(key)
    token = _running.set(running)
    try:
        with transaction.atomic():
            yield
            for act, things in running.deferred.items():
                act(things)
            if running.event is not None:
                _set_current_event(None)
        if running.event is not None:
            log_event(running.event.pk, running.event.kind)
    finally:
        _running.reset(token)


@contextmanager
def event(
    by: Person | None,
    kind: str,
    *,
    why: str = "",
    done_at: datetime | None = None,
    undoes: Event | None = None,
    outsider: str = "",
) -> Iterator[Event]:
    """Run one event in one transaction; the history's triggers write its key beside every change.

    by: None where the program itself acts, or an outsider: the customer of that name, by a link. kind: a key of KINDS.
    done_at: when it was done, if entered later. Nested calls join the outer event: its person, kind and times stand.
    Refusal where done_at lies in the future.
    """
    with one_event():
        running = _running.get()
        assert running is not None
        if running.event is None:
            running.event = _record(running.key, by, kind, why, done_at, undoes, outsider)
        yield running.event


def _record(
    key: str,
    by: Person | None,
    kind: str,
    why: str,
    done_at: datetime | None,
    undoes: Event | None,
    outsider: str,
) -> Event:
    if kind not in KINDS:
        raise LookupError(f"{kind!r} is no kind of event")
    now = timezone.now()
    if done_at and done_at > now:
        raise Refusal("That time is in the future. Enter the present time or an earlier one.")
    row = Event.objects.create(
        kind=kind,
        by=by,
        outsider=outsider[:120],
        why=why[:300],
        done_at=done_at or now,
        recorded_at=now,
        undoes=undoes,
        key=key,
    )
    _set_current_event(row)
    return row


def _set_current_event(running: Event | None) -> None:
    """Set the event that the history's triggers write beside each change; None once it is over."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT set_config('regrind.event', %s, true)", [str(running.pk) if running else ""])
    elif running:
        CurrentEvent.objects.create(event=running)
    else:
        CurrentEvent.objects.all().delete()
