"""The customers' view: what each sent, what came good, and what that saved them against buying new."""
from django.utils import timezone

from regrind.record.models import Customer, Family
from regrind.record.rates import read_rates

from .looking import Look
from .rows import Row, add_era, eras, year_before
from .sums import Sums, sum_families


def customer_rows(look: Look) -> list[Row]:
    """A row for each customer who sent anything, the largest saving first; a fixed number of queries."""
    today, book = timezone.localdate(), read_rates()
    families = {family.pk: family for family in Family.objects.all()}
    names = dict(Customer.objects.values_list("pk", "name"))
    breaks = eras(book, families.values(), today)
    rows: dict[int, Row] = {}
    for (customer, family), by_era in sum_families(look, breaks, by=("customer", "family")).items():
        row = rows.get(customer) or Row(customer, Sums(), name=names[customer])
        for era, sums in by_era.items():
            start = breaks[era - 1] if era else None
            rates = book.on(families[family], start) if start else book.periods(families[family])[0][1]
            row = add_era(row, sums, rates, bool(start and start >= year_before(today)))
        rows[customer] = row
    return sorted((row for row in rows.values() if row.sums.seen), key=lambda row: (-row.saved_minor, row.name))
