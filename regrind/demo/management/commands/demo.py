from typing import Any

from django.core.management.base import BaseCommand
from django.db import transaction

from regrind.demo.filling import fill


class Command(BaseCommand):
    help = "Fill an empty shop with the invented demo: two years of boxes. A shop that holds anything is left alone."

    def handle(self, *args: Any, **options: Any) -> None:
        with transaction.atomic():
            pieces = fill()
        self.stdout.write(f"The demo shop has {pieces} pieces." if pieces else "This shop is not empty: left alone.")
