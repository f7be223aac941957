"""`manage.py recount`: the review's sums counted anew from the record, or checked against it."""

from itertools import islice
from typing import Any

from django.core.management.base import CommandError, CommandParser

from regrind.record.models import ALL_YEARS, FamilyYear, Line
from regrind.record.rollup_levels import Cell, Key, YearOfFamily
from regrind.record.rollup_rebuild import differences, rebuild
from regrind.shop.management.base import ShopCommand

SHOWN = 20


class Command(ShopCommand):
    help = "Count the review's sums anew. --check compares them with the record and changes nothing."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--check", action="store_true", help="compare only; fails where something differs")
        parser.add_argument("--if-empty", action="store_true", help="only where there are lines and no sums yet")

    def handle(self, *, check: bool, if_empty: bool, **_: Any) -> None:
        if check:
            self._check()
        elif not if_empty or (Line.objects.exists() and not FamilyYear.objects.exists()):
            self.stdout.write(f"{rebuild()} cells of family, customer and month counted.")

    def _check(self) -> None:
        wrong = list(islice(differences(), SHOWN + 1))
        for key, figure, stands, counted in wrong[:SHOWN]:
            self.stdout.write(f"{_say(key)}, {figure}: stands {stands}, counted {counted}")
        if wrong:
            raise CommandError("The sums differ from the record: run recount, and tell who maintains the program.")
        self.stdout.write("The sums equal a full recount.")


def _say(key: Key) -> str:
    customer = "" if isinstance(key, YearOfFamily) else f", customer {key.customer}"
    if isinstance(key, Cell):
        when = f"{key.month:%Y-%m}"
    else:
        when = "all years" if key.year == ALL_YEARS else str(key.year.year)
    return f"family {key.family}{customer}, {when}"
