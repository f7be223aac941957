"""People by the names that are given to commands."""

from django.core.management.base import CommandError

from regrind.shop.models import Person


def find_person(name: str) -> Person:
    """The person of this name; CommandError with the names that there are."""
    person = Person.objects.find(name)
    if person is None:
        raise CommandError(f"There is nobody named {name!r}. Names: {', '.join(map(str, Person.objects.all()))}.")
    return person
