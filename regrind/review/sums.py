"""What the roll-ups keep of each family within the filter: whole numbers, summed by the database.

Whole years are read from the rows that hold their sums, so that a page's cost does not grow with the cells.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Case, IntegerField, Q, QuerySet, Sum, Value, When

from regrind.record.figures import NAMES, Figures, TallyName
from regrind.record.models import ALL_YEARS, CustomerYear, FamilyMonth, FamilyYear, Tally, YearTally

from .bias import Signs
from .filters import ReviewFilter, year_of
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
    """Some rows of one level. column: when they are, months or years. tallies: their table of tallies, or None."""

    rows: QuerySet[Any]
    column: str
    tallies: Any


def split(look: ReviewFilter, breaks: Sequence[date] = (), *, with_customer: bool = False) -> list[Part]:
    """The rows that add up to the filter: whole years, and cells of the years that it or a break cuts.

    with_customer: rows that name their customer are wanted, whether the filter does or not.
    """
    if not breaks and not look.since and not look.until and not look.customer and not with_customer:
        return [Part(FamilyYear.objects.filter(look.years(), year=ALL_YEARS), "year", YearTally)]
    cut = look.cut_years() | {year_of(day) for day in breaks if day.month > 1}
    if with_customer or look.customer:
        years = Part(CustomerYear.objects.filter(look.years()).exclude(year__in=cut), "year", None)
    else:
        every = FamilyYear.objects.filter(look.years(), year__gt=ALL_YEARS).exclude(year__in=cut)
        years = Part(every, "year", YearTally)
    months = (Q(month__gte=year, month__lte=year.replace(month=12)) for year in sorted(cut))
    cells = FamilyMonth.objects.filter(look.cells(), Q(*months, _connector=Q.OR))
    return [years, Part(cells, "month", Tally)] if cut else [years]


def sum_families(
    look: ReviewFilter,
    breaks: Sequence[date],
    *,
    by: Sequence[str] = ("family",),
    only: int | None = None,
    names: Sequence[str] = NAMES,
) -> dict[Any, dict[int, Sums]]:
    """By family (by the values of `by`, a tuple where there are several), then by era, the sums; two queries.

    breaks: first days of months, in order, at which an era ends and the next begins; era 0 comes before the first.
    only: one family's key. names: the columns that are wanted, where not all are.
    """
    sums: dict[Any, dict[int, Sums]] = {}
    for part in split(look, breaks, with_customer="customer" in by):
        rows = part.rows if only is None else part.rows.filter(family=only)
        summed = (
            rows.annotate(era=_era(part.column, breaks))
            .values_list(*by, "era")
            .order_by()
            .annotate(**{f"sum_{name}": Sum(name) for name in names})
        )
        for row in summed:
            by_era = sums.setdefault(row[0] if len(by) == 1 else row[: len(by)], {})
            more = Sums(**dict(zip(names, map(int, row[len(by) + 1 :]), strict=True)))
            era = row[len(by)]
            by_era[era] = by_era[era] + more if era in by_era else more
    return sums


def _era(column: str, breaks: Sequence[date]) -> Case | Value:
    if not breaks:
        return Value(0, output_field=IntegerField())
    return Case(
        *(When(**{f"{column}__lt": day}, then=Value(n)) for n, day in enumerate(breaks)),
        default=Value(len(breaks)),
        output_field=IntegerField(),
    )


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
    return [Part(FamilyMonth.objects.filter(look.cells()), "month", Tally)] if look.customer else split(look)


def _joined(one: Tallied | None, other: Tallied) -> Tallied:
    if one is None:
        return other
    return Tallied(
        one.key, one.n + other.n, one.good + other.good, one.total + other.total, one.squares + other.squares
    )
