"""`manage.py fill_years --visits 1000000`: twenty invented years, for measuring."""

import time
from typing import Any

from django.core.management.base import CommandError, CommandParser

from regrind.demo.years.fill import fill
from regrind.shop.events import Refusal
from regrind.shop.management.base import ShopCommand


class Command(ShopCommand):
    help = "Fill an empty shop with twenty invented years, for measuring. A shop that holds anything is refused."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--visits", type=int, default=10_000, help="pieces, each on one visit")
        parser.add_argument("--seed", type=int, default=1, help="the same seed gives the same years")

    def handle(self, *, visits: int, seed: int, **_: Any) -> None:
        if not 1 <= visits <= 10_000_000:
            raise CommandError("Visits go from 1 to 10000000.")
        began = time.monotonic()
        try:
            cells = fill(visits=visits, seed=seed, say=self._say)
        except Refusal as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"{visits} visits, {cells} cells, {time.monotonic() - began:.0f} s")

    def _say(self, text: str) -> None:
        self.stdout.write(text)
