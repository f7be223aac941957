"""The rows that hold the review's sums: cells, and above them the years, which add what the cells of a year hold.

Rows of a level are locked in the order of their keys, all cells before any year, so that no two events wait for each
other in a circle.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any, NamedTuple, TypeVar

from django.db import connection
from django.db.models import Q

from .figures import NAMES, Figures, TallyName
from .models.rollups import ALL_YEARS, CustomerYear, FamilyMonth, FamilyYear, Tally, YearTally

ROWS_AT_ONCE = 500
Part = TypeVar("Part")
TallyKey = tuple[TallyName, str]  # what, of


class Cell(NamedTuple):
    """Sorts by family, then customer, then month: the order in which cells are locked."""

    family: int
    customer: int
    month: date


class YearOfFamily(NamedTuple):
    family: int
    year: date


class YearOfCustomer(NamedTuple):
    customer: int
    family: int
    year: date


Key = Cell | YearOfFamily | YearOfCustomer


@dataclass
class Sums:
    """What was counted of one row: its figures, and its tallies as [n, good, total, squares]."""

    figures: Figures = field(default_factory=Figures)
    tallies: dict[TallyKey, list[int]] = field(default_factory=dict)

    def tally(self, kind: TallyName, key: str, good: int = 0, value: int = 0) -> None:
        self._add((kind, key[:300]), (1, good, value, value * value))

    def _add(self, key: TallyKey, values: Iterable[int]) -> None:
        row = self.tallies.setdefault(key, [0, 0, 0, 0])
        for index, more in enumerate(values):
            row[index] += more
        if not any(row):
            del self.tallies[key]

    def add(self, other: "Sums", sign: int = 1) -> None:
        """Add (sign 1) or take away (sign -1) another's figures and tallies."""
        self.figures = self.figures.plus(other.figures, sign)
        for key, values in other.tallies.items():
            self._add(key, (sign * value for value in values))

    def less(self, other: "Sums") -> "Sums":
        """What this one holds more than the other."""
        change = Sums()
        change.add(self)
        change.add(other, -1)
        return change

    def __bool__(self) -> bool:
        return bool(self.tallies) or self.figures != Figures()


class Held(NamedTuple):
    """A locked row as it stands, with the primary keys of its tallies."""

    pk: int
    sums: Sums
    tally_keys: dict[TallyKey, int]


@dataclass(frozen=True)
class Level:
    """A table of sums. above: the keys of the rows that a cell's figures are part of."""

    rows: Any  # a model of `Summed`
    tallies: Any  # a model of `Tallied`, or None where this level keeps none
    key: type[Key]
    above: Callable[[Cell], tuple[Key, ...]]

    @property
    def columns(self) -> list[str]:
        return [self.rows._meta.get_field(name).attname for name in self.key._fields]

    def make_missing(self, keys: list[Any]) -> None:
        """Before any is locked, so that nobody who holds a lock waits for another's new row."""
        for some in in_parts(keys, ROWS_AT_ONCE):
            there = set(self.rows.objects.filter(self.named(some)).values_list(*self.key._fields))
            self.rows.objects.bulk_create([self._row(key) for key in some if key not in there], ignore_conflicts=True)

    def hold(self, keys: list[Any]) -> dict[Any, Held]:
        """The rows of these keys, at most ROWS_AT_ONCE, locked in their order until the transaction ends."""
        locked = (
            self.rows.objects.select_for_update(no_key=True, of=("self",))
            .filter(self.named(keys))
            .order_by(*self.columns)
        )
        return self._with_tallies(locked)

    def read(self, which: Q) -> dict[Any, Held]:
        """The rows that `which` names, as they stand."""
        return self._with_tallies(self.rows.objects.filter(which))

    def _with_tallies(self, rows: Iterable[Any]) -> dict[Any, Held]:
        held = {self._key_of(row): Held(row.pk, Sums(row.figures), {}) for row in rows}
        if self.tallies:
            by_row = {row.pk: row for row in held.values()}
            for some in in_parts(list(by_row), ROWS_AT_ONCE):
                for tally in self.tallies.objects.filter(cell__in=some):
                    row, key = by_row[tally.cell_id], (tally.what, tally.key)
                    row.sums.tallies[key], row.tally_keys[key] = tally.values, tally.pk
        return held

    def write(self, held: Mapping[Any, Held], changes: Mapping[Any, Sums]) -> None:
        """Add these changes to locked rows."""
        gone, new = [], []
        for key, change in changes.items():
            row = held[key]
            row.sums.add(change)
            self._update(row, change.figures)
            gone += [row.tally_keys[tally] for tally in change.tallies if tally in row.tally_keys]
            new += self._tally_rows(row.pk, {k: row.sums.tallies[k] for k in change.tallies if k in row.sums.tallies})
        if self.tallies:
            if gone:
                self.tallies.objects.filter(pk__in=gone).delete()
            self.tallies.objects.bulk_create(new, batch_size=ROWS_AT_ONCE)

    def _update(self, row: Held, changed: Figures) -> None:
        values = {name: getattr(row.sums.figures, name) for name in NAMES if getattr(changed, name)}
        if values:
            self.rows.objects.filter(pk=row.pk).update(**values)

    def store(self, counted: Mapping[Any, Sums]) -> int:
        """New rows for what was counted, those without figures left out; returns how many."""
        keys = sorted(key for key, sums in counted.items() if sums.figures != Figures())
        rows = self.rows.objects.bulk_create(
            [self._row(key, counted[key].figures) for key in keys], batch_size=ROWS_AT_ONCE
        )
        if self.tallies:
            pairs = zip(rows, keys, strict=True)
            tallies = [tally for row, key in pairs for tally in self._tally_rows(row.pk, counted[key].tallies)]
            self.tallies.objects.bulk_create(tallies, batch_size=2 * ROWS_AT_ONCE)
        return len(rows)

    def clear(self) -> None:
        if self.tallies:
            self.tallies.objects.all().delete()
        self.rows.objects.all().delete()

    def gather(self, cells: Mapping[Cell, Sums]) -> dict[Any, Sums]:
        """What these cells hold, added up for the rows of this level; tallies only where it keeps them."""
        sums: dict[Any, Sums] = defaultdict(Sums)
        for cell, of_cell in cells.items():
            for key in self.above(cell):
                sums[key].add(of_cell if self.tallies else Sums(of_cell.figures))
        return dict(sums)

    def named(self, keys: Iterable[Any]) -> Q:
        """The rows of these keys; those that differ in their last part alone share a condition."""
        *first, last = self.key._fields
        ends: dict[tuple[Any, ...], list[date]] = defaultdict(list)
        for key in keys:
            ends[key[:-1]].append(key[-1])
        some = (Q(**dict(zip(first, start, strict=True)), **{f"{last}__in": days}) for start, days in ends.items())
        return Q(*some, _connector=Q.OR)

    def _key_of(self, row: Any) -> Any:
        return self.key(*(getattr(row, column) for column in self.columns))

    def _row(self, key: Any, figures: Figures | None = None) -> Any:
        return self.rows(**dict(zip(self.columns, key, strict=True)), **asdict(figures or Figures()))

    def _tally_rows(self, row: int, tallies: Mapping[TallyKey, list[int]]) -> list[Any]:
        if not self.tallies:
            return []
        return [
            self.tallies(cell_id=row, what=what, key=key, n=n, good=good, total=total, squares=squares)
            for (what, key), (n, good, total, squares) in sorted(tallies.items())
        ]


def in_parts(things: list[Part], size: int) -> Iterator[list[Part]]:
    """The things in order, at most `size` at a time."""
    for start in range(0, len(things), size):
        yield things[start : start + size]


def lock_cells() -> None:
    """Let events that touch a cell wait until this transaction is done (SQLite: all writers do anyway)."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f'LOCK TABLE "{FamilyMonth._meta.db_table}" IN EXCLUSIVE MODE')


def _year(cell: Cell) -> date:
    return cell.month.replace(month=1)


CELLS = Level(FamilyMonth, Tally, Cell, lambda cell: (cell,))
YEARS = (
    Level(
        FamilyYear,
        YearTally,
        YearOfFamily,
        lambda cell: (YearOfFamily(cell.family, ALL_YEARS), YearOfFamily(cell.family, _year(cell))),
    ),
    Level(
        CustomerYear,
        None,
        YearOfCustomer,
        lambda cell: (
            YearOfCustomer(cell.customer, cell.family, ALL_YEARS),
            YearOfCustomer(cell.customer, cell.family, _year(cell)),
        ),
    ),
)
LEVELS = (CELLS, *YEARS)
