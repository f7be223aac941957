"""What a customer's tools came to: came, came good, and saved against buying new, from the roll-ups."""

from dataclasses import dataclass

from .models import Customer, Family, FamilyMonth
from .rates import read_rates


@dataclass(frozen=True)
class Saved:
    """came, decided on and good tools; minor units saved against new ones over `tools` whose new price was known."""

    came: int = 0
    decided: int = 0
    good: int = 0
    minor: int = 0
    tools: int = 0


def sum_savings(customer: Customer) -> Saved:
    """All of a customer's visits, each at the new price of its own month; four queries, whatever the history.

    A good tool counts where it was charged or made good a complaint; what was charged is what it cost.
    """
    cells = list(
        FamilyMonth.objects.filter(customer=customer).values_list(
            "family", "month", "seen", "ground", "as_it_came", "scrap", "good", "charged_minor", "replaced_n"
        )
    )
    families, book = Family.objects.in_bulk({cell[0] for cell in cells}), read_rates()
    came = decided = good = minor = tools = 0
    for family, month, seen, ground, back, scrap, fine, charged, replaced in cells:
        came, decided, good = came + seen, decided + ground + back + scrap, good + fine
        new = book.on(families[family], month).new_minor
        if new is not None:
            minor, tools = minor + new * replaced - charged, tools + replaced
    return Saved(came, decided, good, minor, tools)
