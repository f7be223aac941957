"""The customers' view: what each sent, what came good, and what that saved them against buying new."""

from django.utils import timezone

from regrind.record.models import Customer

from .filters import ReviewFilter
from .rows import DECIDED, Row, recent
from .sums import Sums, sum_rows

SHOWN = (*DECIDED, "received", "complained", "charged_n", "charged_minor", "saved_minor", "saved_n")


def customer_rows(look: ReviewFilter) -> list[Row]:
    """A row for each customer who sent anything, the largest saving first; a fixed number of queries."""
    names = dict(Customer.objects.values_list("pk", "name"))
    now = sum_rows(recent(look, timezone.localdate()), "customer", names=DECIDED)
    whole = sum_rows(look, "customer", names=SHOWN)
    rows = [Row(key, sums, now.get(key, Sums()), name=names[key]) for key, sums in whole.items() if sums.received]
    return sorted(rows, key=lambda row: (-row.sums.saved_minor, row.name))
