"""Under whose limits something was worked out: a box may have turned out to be another customer's since."""

from collections.abc import Iterable
from typing import Any

from .models import Line, OwnerChange


def mark_made_under(line: Line, rows: Iterable[Any]) -> None:
    """Set `made_under` on each row of an event: whose limits held then, "" where they are today's. One query."""
    changes = list(OwnerChange.objects.filter(line=line).select_related("was").order_by("event"))
    for row in rows:
        change = next((change for change in changes if change.event_id > row.event_id), None)
        row.made_under = str(change.was) if change and change.was_id != line.batch.customer_id else ""
