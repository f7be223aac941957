from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser

from regrind.shop.events import event
from regrind.shop.management.base import ShopCommand
from regrind.shop.models import Person
from regrind.shop.people.account_actions import first_password


class Command(ShopCommand):
    help = "Make the first owner's account if there is no account yet, and print its password once."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--name", default="owner")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        if Person.objects.exists():
            return
        password = first_password()
        with event(None, "first start"):
            Person.objects.create_user(
                name, password, owner=True, bench=True, front_desk=True, must_change_password=True
            )
        self.stdout.write(
            f"This is a new, empty shop in {settings.DATA}.\n"
            f"First sign-in: name {name}, password {password}\nThe program then asks for your own password."
        )
