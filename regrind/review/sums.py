"""What the roll-ups keep of each family within the filter: whole numbers, summed by the database.

Whole years, and all of them, are read from the rows that hold their sums: a page's cost does not grow with the cells.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet, Sum

from regrind.record.figures import NAMES, Figures, TallyName
from regrind.record.models import CustomerYear, FamilyMonth, FamilyYear, Tally, YearTally

from .bias import Signs
from .filters import ReviewFilter
from .intervals import Moments
from .setups import SetupSums


class Sums(Figures):
    """The figures of some cells together."""

    __slots__ = ()

    @property
    def stock(self) -> Moments:
        return Moments(self.stock_n, self.stock_sum_nm, self.stock_sumsq)

    @property
    def off_plan(self) -> Moments:
        return Moments(self.plan_n, self.plan_sum_nm, self.plan_sumsq)

    @property
    def off_plan_signs(self) -> Signs:
        return Signs(self.plan_above, self.plan_below)

    @property
    def by_setup(self) -> SetupSums:
        return SetupSums(self.setups, self.setup_pieces, self.setup_pieces_sq, self.setup_hundredths, self.setup_cross)


@dataclass(frozen=True, slots=True)
class Part:
    """Some rows of one level. tallies: their table of tallies, or None."""

    rows: QuerySet[Any]
    tallies: Any


def split(look: ReviewFilter, *, with_customer: bool = False) -> list[Part]:
    """The rows that add up to the filter: those of all years, or whole years and the cells of the years that it cuts.

    with_customer: rows that name their customer are wanted, whether the filter does or not.
    """
    level: Any = CustomerYear if with_customer or look.customer else FamilyYear
    years = Part(level.objects.filter(look.whole_years()), YearTally if level is FamilyYear else None)
    cut = [Q(month__gte=year, month__lte=year.replace(month=12)) for year in sorted(look.cut_years())]
    cells = FamilyMonth.objects.filter(look.cells(), Q(*cut, _connector=Q.OR))
    return [years, Part(cells, Tally)] if cut else [years]


def sum_rows(
    look: ReviewFilter, by: str = "family", *, only: int | None = None, names: Sequence[str] = NAMES
) -> dict[int, Sums]:
    """The sums by family, or by customer; at most two queries.

    only: one family's key. names: the columns that are wanted, where not all are.
    """
    sums: dict[int, Sums] = {}
    for part in split(look, with_customer=by == "customer"):
        rows = part.rows if only is None else part.rows.filter(family=only)
        summed = rows.values_list(by).order_by().annotate(**{f"sum_{name}": Sum(name) for name in names})
        for key, *numbers in summed:
            more = Sums(**dict(zip(names, map(int, numbers), strict=True)))
            sums[key] = sums[key] + more if key in sums else more
    return sums


def senders(look: ReviewFilter, family: int) -> set[int]:
    """The keys of the customers whose pieces of this family are within the filters."""
    return {
        customer
        for part in split(look, with_customer=True)
        for customer in part.rows.filter(family=family, received__gt=0).order_by().values_list("customer", flat=True)
    }


@dataclass(frozen=True, slots=True)
class Tallied:
    """One line of a tally: of what, how many, how many of them good, and the sum and squares of what was measured."""

    key: str
    n: int
    good: int
    total: int
    squares: int


def tally(
    look: ReviewFilter, *names: TallyName, families: Iterable[int] | None = None
) -> dict[TallyName, dict[Any, list[Tallied]]]:
    """By what was tallied and family, its lines, most first; at most two queries. families: of these alone."""
    lines: dict[tuple[TallyName, int, str], Tallied] = {}
    for part in _tallied(look):
        rows = part.rows if families is None else part.rows.filter(family__in=list(families))
        summed = (
            part.tallies.objects.filter(cell__in=rows.order_by().values("pk"), what__in=names)
            .values_list("what", "cell__family", "key")
            .order_by()
            .annotate(sum_n=Sum("n"), sum_good=Sum("good"), sum_total=Sum("total"), sum_squares=Sum("squares"))
        )
        for name, family, key, *numbers in summed:
            more = Tallied(key, *map(int, numbers))
            lines[name, family, key] = _joined(lines.get((name, family, key)), more)
    tallies: dict[TallyName, dict[Any, list[Tallied]]] = {name: {} for name in names}
    for (name, family, _), line in sorted(lines.items(), key=lambda item: (-item[1].n, item[1].key)):
        tallies[name].setdefault(family, []).append(line)
    return tallies


def _tallied(look: ReviewFilter) -> list[Part]:
    """Where the tallies of it are: in the cells alone where a customer is named."""
    return [Part(FamilyMonth.objects.filter(look.cells()), Tally)] if look.customer else split(look)


def _joined(one: Tallied | None, other: Tallied) -> Tallied:
    if one is None:
        return other
    return Tallied(
        one.key, one.n + other.n, one.good + other.good, one.total + other.total, one.squares + other.squares
    )
