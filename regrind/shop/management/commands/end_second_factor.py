from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from regrind.shop.models import Person
from regrind.shop.people.second_factor import remove


class Command(BaseCommand):
    help = "Take away a person's second factor, where the phone is lost and no owner can sign in."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        person = Person.objects.find(name)
        if person is None:
            raise CommandError(f"There is nobody named {name!r}. Names: {', '.join(map(str, Person.objects.all()))}.")
        remove(by=None, person=person)
        self.stdout.write(f"{person} signs in by password alone, until a phone is set up again.")
