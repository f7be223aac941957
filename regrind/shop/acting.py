"""One event in the shop: one transaction that knows who acts, so that the history does too."""
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar

from django.db import connection, transaction

from .models import Actor, Person


class Conflict(Exception):
    """Someone else changed the same thing first. The message says what stands now.

    theirs: what they stored, in words, by the names of the form's fields. whose: who that was and when.
    """

    def __init__(self, message: str = "", *, theirs: Mapping[str, str] | None = None, whose: str = "") -> None:
        super().__init__(message)
        self.theirs, self.whose = dict(theirs or {}), whose


class Refusal(Exception):
    """The shop's rules do not allow this step. The message says why and what would be allowed."""


Last = dict[Callable[[set], None], set]
_last: ContextVar[Last | None] = ContextVar("last", default=None)


def at_last(act: Callable[[set], None], things: Iterable[Hashable]) -> None:
    """Have `act` called once with all the things named, at the end of the running event and in its transaction.

    Outside of an event it is called at once, in a transaction of its own. Whoever locks rows there locks them in one
    order, after everything else: so that two events never wait for each other.
    """
    waiting = _last.get()
    if waiting is None:
        with transaction.atomic():
            act(set(things))
    else:
        waiting.setdefault(act, set()).update(things)


@contextmanager
def _lasting() -> Iterator[None]:
    """Around the outermost event: what is to be done at its end is gathered, and done if it ends well."""
    if _last.get() is not None:
        yield
        return
    token = _last.set({})
    try:
        yield
        for act, things in (_last.get() or {}).items():
            act(things)
    finally:
        _last.reset(token)


@contextmanager
def acting(person: Person | str, why: str = "") -> Iterator[None]:
    """Run one event in one transaction, with its actor and reason known to the history triggers.

    May be nested: the outermost event's actor stands.
    """
    name = person if isinstance(person, str) else person.name
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT set_config('regrind.actor', %s, true), set_config('regrind.why', %s, true)",
                               [name, why[:300]])
            with _lasting():
                yield
            return
        outermost = not Actor.objects.exists()
        if outermost:
            Actor.objects.create(name=name, why=why[:300])
        with _lasting():
            yield
        if outermost:
            Actor.objects.all().delete()
