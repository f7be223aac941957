from typing import Any

from django.db import transaction

from regrind.demo.filling import fill
from regrind.shop.management.base import ShopCommand


class Command(ShopCommand):
    help = "Fill an empty shop with the invented demo: two years of boxes. A shop that holds anything is left alone."

    def handle(self, *args: Any, **options: Any) -> None:
        with transaction.atomic():
            pieces = fill()
        self.stdout.write(f"The demo shop has {pieces} pieces." if pieces else "This shop is not empty: left alone.")
