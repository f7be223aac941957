"""The families page's rows: sums, rates of their time, verdicts, sorted and cut into pages."""
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from typing import Any

from django.utils import timezone

from regrind.record.models import Family
from regrind.record.rates import read_rates

from .looking import Look, WhatIf
from .rows import Row, eras, make_row, with_verdict
from .sums import sum_families, tally
from .verdicts import FEW, LOTS, NOT, PRICE, WORTH

PAGE = 50
NOTHING = float("-inf")
# From what earns to what only keeps the wheel busy; what cannot be said stands between.
VERDICT_ORDER = (WORTH, LOTS, FEW, PRICE, NOT)


def _or_nothing(value: float | None) -> float:
    return NOTHING if value is None else value


SORTS: dict[str, Callable[[Row], Any]] = {
    "earns": lambda row: -_or_nothing(row.earns_minor),
    "saves": lambda row: -_or_nothing(row.saves_minor),
    "verdict": lambda row: VERDICT_ORDER.index(row.verdict.code) if row.verdict else len(VERDICT_ORDER),
    "family": lambda row: (),
    "seen": lambda row: -row.sums.seen,
    "good": lambda row: -_or_nothing(row.good_share),
    "stock": lambda row: -_or_nothing(row.stock_nm),
    "regrinds": lambda row: -_or_nothing(row.regrinds_before),
    "left": lambda row: -_or_nothing(row.regrinds_left),
    "minutes": lambda row: -_or_nothing(row.minutes_hundredths),
    "wheel": lambda row: -_or_nothing(row.wheel_each_minor),
    "price": lambda row: -_or_nothing(row.price_minor),
    "complaints": lambda row: -row.sums.complained,
}


def all_rows(look: Look, what_if: WhatIf | None = None, sort: str = "earns", *, only: Family | None = None,
             today: date | None = None) -> list[Row]:
    """Every family that has pieces in the part that is looked at, sorted by one of SORTS; a fixed number of queries.

    only: this family alone. today: the day whose rates the verdicts use.
    """
    day, book = today or timezone.localdate(), read_rates()
    families = {only.pk: only} if only else {family.pk: family for family in Family.objects.all()}
    breaks = eras(book, families.values(), day)
    summed = sum_families(look, breaks, only=only.pk if only else None)
    rows = [with_verdict(make_row(key, by_era, breaks, book, families[key], day), what_if or WhatIf())
            for key, by_era in summed.items() if key in families]
    rows = [row for row in rows if row.sums.seen]
    return sorted(sorted(rows, key=lambda row: (str(row.family), row.key)), key=SORTS[sort])


def with_reasons(rows: Iterable[Row], look: Look) -> list[Row]:
    """The rows with what was said of the pieces that were not ground; one query."""
    rows = list(rows)
    told = tally(look, "why", families=[row.key for row in rows] if len(rows) <= PAGE else None)["why"]
    return [replace(row, reasons=told.get(row.key, ())) for row in rows]


def page_of(rows: list[Row], after: str) -> tuple[list[Row], int | None]:
    """The rows that follow the family `after` (its key, as text; the first ones where it is none of them), and the
    key that the next page follows, None on the last."""
    keys = [str(row.key) for row in rows]
    start = keys.index(after) + 1 if after in keys else 0
    shown = rows[start:start + PAGE]
    return shown, shown[-1].key if start + PAGE < len(rows) else None
