"""The families page's rows: sums, verdicts, sorted and cut into pages."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from django.utils import timezone

from regrind.record.models import Family
from regrind.record.rates import read_rates

from .columns import SORTS
from .filters import ReviewFilter, WhatIf
from .rows import DECIDED, Row, recent, with_verdict
from .sums import Sums, sum_rows, tally

PAGE = 50
JUDGED_BY = ("price", "hourly", "wheel", "new")


def all_rows(
    look: ReviewFilter,
    what_if: WhatIf | None = None,
    sort: str = "earns",
    *,
    only: Family | None = None,
    today: date | None = None,
) -> list[Row]:
    """Every family that has pieces in the part that is looked at, sorted by one of SORTS; a fixed number of queries.

    only: this family alone. today: the day whose rates the verdicts use.
    """
    day, one = today or timezone.localdate(), only.pk if only else None
    book = read_rates(one, wide=only is None, whats=JUDGED_BY)
    families = {only.pk: only} if only else {family.pk: family for family in Family.objects.all()}
    now = sum_rows(recent(look, day), only=one, names=DECIDED)
    rows = [
        Row(key, sums, now.get(key, Sums()), families[key], rates=book.on(families[key], day))
        for key, sums in sum_rows(look, only=one).items()
        if key in families and sums.received
    ]
    rows = [with_verdict(row, what_if or WhatIf()) for row in rows]
    return sorted(sorted(rows, key=lambda row: (str(row.family), row.key)), key=SORTS[sort])


def with_reasons(rows: Iterable[Row], look: ReviewFilter) -> list[Row]:
    """The rows with what was said of the pieces that were not ground; one query."""
    rows = list(rows)
    reasons = tally(look, "why", families=[row.key for row in rows] if len(rows) <= PAGE else None)["why"]
    return [replace(row, reasons=reasons.get(row.key, ())) for row in rows]


def page_of(rows: list[Row], after: str) -> tuple[list[Row], int | None]:
    """The rows that follow the family `after` (its key, as text; the first ones where it is none of them), and the
    key that the next page follows, None on the last."""
    keys = [str(row.key) for row in rows]
    start = keys.index(after) + 1 if after in keys else 0
    shown = rows[start : start + PAGE]
    return shown, shown[-1].key if start + PAGE < len(rows) else None
