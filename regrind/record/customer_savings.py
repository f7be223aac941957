"""What a customer's tools came to: received, good, and saved against buying new; from the roll-ups."""

from dataclasses import dataclass

from .models import Customer, Family, FamilyMonth
from .rates import read_rates


@dataclass(frozen=True)
class Savings:
    """Tools received, decided on and good; `saved_minor` (minor units) against `tools` new ones with a known price."""

    received: int = 0
    decided: int = 0
    good: int = 0
    saved_minor: int = 0
    tools: int = 0


def sum_savings(customer: Customer) -> Savings:
    """All of a customer's visits, each at the new price of its own month; four queries, whatever the history.

    A good tool counts where it was charged or made good a complaint; what was charged is what it cost.
    """
    cells = list(FamilyMonth.objects.filter(customer=customer).order_by("pk"))
    families, rates = Family.objects.in_bulk({cell.family_id for cell in cells}), read_rates()
    received = decided = good = saved = tools = 0
    for cell in cells:
        received += cell.figures.received
        decided += cell.figures.decided
        good += cell.figures.good
        new_minor = rates.on(families[cell.family_id], cell.month).new_minor
        if new_minor is not None:
            saved += new_minor * cell.figures.replaced_n - cell.figures.charged_minor
            tools += cell.figures.replaced_n
    return Savings(received, decided, good, saved, tools)
