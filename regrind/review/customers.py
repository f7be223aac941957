"""The customers' view: what each sent, what came good, and what that saved them against buying new."""

from collections import defaultdict
from dataclasses import replace

from django.utils import timezone

from regrind.record.models import Customer, Family
from regrind.record.rates import ALWAYS, read_rates

from .filters import ReviewFilter
from .rows import DECIDED, Row, rate_changes, saved_by, year_before
from .sums import Sums, sum_families

SHOWN = (*DECIDED, "received", "complained", "charged_n", "charged_minor")


def customer_rows(look: ReviewFilter) -> list[Row]:
    """A row for each customer who sent anything, the largest saving first; a fixed number of queries.

    Their sums are added by the database; one family and era at a time comes only what its rates are needed for.
    """
    today = timezone.localdate()
    names, saved = dict(Customer.objects.values_list("pk", "name")), _saved(look)
    rows = []
    for customer, by_era in sum_families(look, [year_before(today)], by=("customer",), names=SHOWN).items():
        before, now = by_era.get(0, Sums()), by_era.get(1, Sums())
        row = Row(customer, before + now, name=names[customer], now=now, before=before)
        rows.append(replace(row, saved_minor=saved[customer][0], saved_n=saved[customer][1]))
    return sorted((row for row in rows if row.sums.received), key=lambda row: (-row.saved_minor, row.name))


def _saved(look: ReviewFilter) -> dict[int, tuple[int, int]]:
    """By customer what its good tools saved in minor units and over how many, each era at its own rates."""
    book, families = read_rates(), {family.pk: family for family in Family.objects.all()}
    breaks = rate_changes(book, families.values())
    savings: dict[int, tuple[int, int]] = defaultdict(lambda: (0, 0))
    new = {
        (family.pk, era): book.on(family, breaks[era - 1] if era else ALWAYS)
        for family in families.values()
        for era in range(len(breaks) + 1)
    }
    summed = sum_families(look, breaks, by=("customer", "family"), names=("replaced_n", "charged_minor"))
    for (customer, family), by_era in summed.items():
        for era, sums in by_era.items():
            minor, over = saved_by(sums, new[family, era])
            savings[customer] = savings[customer][0] + minor, savings[customer][1] + over
    return savings
