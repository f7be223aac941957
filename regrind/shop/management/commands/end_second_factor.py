from typing import Any

from django.core.management.base import CommandParser

from regrind.shop.management.base import ShopCommand
from regrind.shop.management.names import find_person
from regrind.shop.people.second_factor import remove


class Command(ShopCommand):
    help = "Take away a person's second factor, where the phone is lost and no owner can sign in."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        person = find_person(name)
        remove(by=None, person=person)
        self.stdout.write(f"{person} signs in by password alone, until a phone is set up again.")
