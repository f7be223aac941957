"""What a customer's tools came to: received, good, and saved against buying new; from the roll-ups."""

from dataclasses import dataclass

from django.db.models import Sum

from .models import ALL_YEARS, Customer, CustomerYear

SHOWN = ("received", "ground", "returned_unground", "scrap", "good", "saved_minor", "saved_n")


@dataclass(frozen=True)
class Savings:
    """Tools received, decided on and good; `saved_minor` (minor units) against `tools` new ones with a known price."""

    received: int = 0
    decided: int = 0
    good: int = 0
    saved_minor: int = 0
    tools: int = 0


def sum_savings(customer: Customer) -> Savings:
    """All of a customer's visits, each at the new price of its own month; one query, whatever the history.

    A good tool counts where it was charged or made good a complaint; what was charged is what it cost.
    """
    rows = CustomerYear.objects.filter(customer=customer, year=ALL_YEARS)
    summed = rows.aggregate(**{f"sum_{name}": Sum(name) for name in SHOWN})
    received, ground, unground, scrap, good, saved, tools = (int(number or 0) for number in summed.values())
    return Savings(received, ground + unground + scrap, good, saved, tools)
