from typing import Any

from django.core.management.base import CommandError, CommandParser

from regrind.shop.management.base import ShopCommand
from regrind.shop.management.names import find_person
from regrind.shop.people.account_actions import replace_lost_password


class Command(ShopCommand):
    help = "Give a person a new first password and print it once, where theirs is lost and no owner can sign in."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        person = find_person(name)
        if not person.is_active:
            raise CommandError(f"{person} is inactive and cannot sign in. An owner changes that under Shop, People.")
        password = replace_lost_password(person)
        self.stdout.write(f"Sign in: name {person}, password {password}\nThe program then asks for your own password.")
        if person.totp_seed:
            self.stdout.write("The sign-in also asks for the code from the phone.")
