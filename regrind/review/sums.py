"""What the roll-ups keep of each family in the part that is looked at: whole numbers, summed by the database."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Case, IntegerField, Q, Sum, Value, When

from regrind.record.figures import NAMES, Figures, TallyName
from regrind.record.models import FamilyMonth, Tally

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


def sum_families(
    look: ReviewFilter,
    breaks: Sequence[date],
    *,
    by: Sequence[str] = ("family",),
    only: int | None = None,
    names: Sequence[str] = (),
) -> dict[Any, dict[int, Sums]]:
    """By family (by the values of `by`, a tuple where there are several), then by era, the sums; one query.

    breaks: first days of months, in order, at which an era ends and the next begins; era 0 comes before the first.
    only: one family's key. names: the columns that are wanted, where not all are.
    """
    era = (
        Case(
            *(When(month__lt=day, then=Value(n)) for n, day in enumerate(breaks)),
            default=Value(len(breaks)),
            output_field=IntegerField(),
        )
        if breaks
        else Value(0, output_field=IntegerField())
    )
    cells = FamilyMonth.objects.filter(look.cells())
    if only is not None:
        cells = cells.filter(family=only)
    sums: dict[Any, dict[int, Sums]] = {}
    summed = (
        cells.annotate(era=era)
        .values_list(*by, "era")
        .order_by()
        .annotate(**{f"sum_{name}": Sum(name) for name in names or NAMES})
    )
    for row in summed:
        key = row[0] if len(by) == 1 else row[: len(by)]
        totals = (int(total or 0) for total in row[len(by) + 1 :])
        sums.setdefault(key, {})[row[len(by)]] = Sums(**dict(zip(names or NAMES, totals, strict=True)))
    return sums


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
    """By what was tallied and family, its lines, most first; one query. families: of these alone."""
    cells = look.cells() if families is None else look.cells() & Q(family__in=list(families))
    in_cells = Q(cell__in=FamilyMonth.objects.filter(cells).order_by().values("pk")) if cells else Q()
    rows = (
        Tally.objects.filter(in_cells, what__in=names)
        .values_list("what", "cell__family", "key")
        .order_by()
        .annotate(sum_n=Sum("n"), sum_good=Sum("good"), sum_total=Sum("total"), sum_squares=Sum("squares"))
    )
    tallies: dict[TallyName, dict[Any, list[Tallied]]] = {name: {} for name in names}
    for name, family, key, *numbers in rows:
        tallies[name].setdefault(family, []).append(Tallied(key, *(int(number or 0) for number in numbers)))
    for lines in (lines for by_family in tallies.values() for lines in by_family.values()):
        lines.sort(key=lambda line: (-line.n, line.key))
    return tallies
