"""The review's sums in money: each cell at the rates of its own month.

So a page reads what wheels cost and new tools would have cost, however often rates changed. A cell is priced when it is
counted; when a rate of the past changes, the cells since then are priced again, in that event's own transaction.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from itertools import pairwise
from operator import attrgetter
from typing import Any, NamedTuple

from django.db.models import F, Q

from .figures import PRICED, Figures
from .models import Family, FamilyMonth
from .rates import RateBook, Rates, read_rates
from .rollup_levels import YEARS, Cell, Held, Sums, lock_cells

PRICED_BY = ("wheel", "new")
OF_PIECES = ("ground", "returned_unground", "scrap", "good", "replaced_n")
read_priced = attrgetter(*OF_PIECES, "charged_minor", "earning_minor", "earning_ground")  # all that `price` reads


class RateChange(NamedTuple):
    """Of which family, or kind, or of the whole shop, and from which day on, a wheel or a new tool cost another."""

    family: int | None
    kind: str
    since: date


def price(figure: Callable[[str], Any], rates: Rates) -> dict[str, Any]:
    """The figures PRICED at these rates. figure: gives any other by its name, as a number or the database's column."""
    wheel, new = rates.wheel_minor or 0, rates.new_minor
    priced = {
        "wheel_minor": figure("ground") * wheel,
        "earned_minor": figure("earning_minor") - figure("earning_ground") * wheel,
    }
    if new is None:
        return priced | {"saved_minor": 0, "saved_n": 0, "saved_of": 0}
    decided, replaced = figure("ground") + figure("returned_unground") + figure("scrap"), figure("replaced_n")
    return priced | {
        "saved_minor": replaced * new - figure("charged_minor"),
        "saved_n": replaced,
        "saved_of": decided - figure("good") + replaced,
    }


def price_cells(counted: Mapping[Cell, Sums]) -> None:
    """Price cells that were counted; two queries, none where nothing was decided on."""
    decided = {cell: sums for cell, sums in counted.items() if sums.figures.decided}
    if not decided:
        return
    families = Family.objects.in_bulk({cell.family for cell in decided})
    book = _read_costs(families)
    for cell, sums in decided.items():
        figures, rates = sums.figures, book.on(families[cell.family], cell.month)
        sums.figures = replace(figures, **price(figures.__getattribute__, rates))


def price_changed(counted: Mapping[Cell, Sums], held: Mapping[Cell, Held]) -> None:
    """The same, for those alone of which something priced is not as it stands; the others keep their prices."""
    changed = {}
    for cell, sums in counted.items():
        stands = held[cell].sums.figures
        if read_priced(stands) == read_priced(sums.figures):
            sums.figures = replace(sums.figures, **{name: getattr(stands, name) for name in PRICED})
        else:
            changed[cell] = sums
    price_cells(changed)


def price_again(changes: set[RateChange]) -> None:
    """Price the cells that these rates are about, and add their years up anew. Runs in a transaction.

    Nothing is done for a rate that holds from a coming month on, as most do.
    """
    if not changes:
        return
    lock_cells()
    about = Q(*(_about(change) for change in changes), _connector=Q.OR)
    keys = FamilyMonth.objects.filter(about).order_by().values_list("family", flat=True).distinct()
    families = Family.objects.in_bulk(list(keys))
    book = _read_costs(families)
    for key in sorted(families):
        _price_family(families[key], book)


def _about(change: RateChange) -> Q:
    whose = Q(family=change.family) if change.family else Q(family__kind=change.kind) if change.kind else Q()
    return whose & Q(month__gte=change.since)


def _read_costs(families: Mapping[int, Family]) -> RateBook:
    """What wheels and new tools cost, of all families or of the one that is asked about."""
    one = next(iter(families)) if len(families) == 1 else None
    return read_rates(one, wide=one is None, whats=PRICED_BY)


def _price_family(family: Family, book: RateBook) -> None:
    cells = FamilyMonth.objects.filter(family=family)
    periods = [*book.periods(family), (date.max, Rates())]
    for (start, rates), (end, _) in pairwise(periods):
        cells.filter(month__gte=start, month__lt=end).update(**price(F, rates))
    counted = {
        Cell(family.pk, customer, month): Sums(Figures(**dict(zip(PRICED, priced, strict=True))))
        for customer, month, *priced in cells.order_by().values_list("customer", "month", *PRICED)
    }
    for level in YEARS:
        for key, sums in level.gather(counted).items():
            values = {name: getattr(sums.figures, name) for name in PRICED}
            level.rows.objects.filter(**dict(zip(level.columns, key, strict=True))).update(**values)
