"""One event in the shop: one transaction that knows who acts, so that the history does too."""
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction

from .models import Actor, Person


class Conflict(Exception):
    """Someone else changed the same thing first. The message says what stands now."""


class Refusal(Exception):
    """The shop's rules do not allow this step. The message says why and what would be allowed."""


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
            yield
            return
        outermost = not Actor.objects.exists()
        if outermost:
            Actor.objects.create(name=name, why=why[:300])
        yield
        if outermost:
            Actor.objects.all().delete()
