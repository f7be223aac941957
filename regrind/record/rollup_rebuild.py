"""All sums of the review counted anew, and the proof that they equal such a count. One family at a time."""

from collections.abc import Iterator
from typing import Any, NamedTuple

from django.db import transaction
from django.db.models import Q

from .figures import NAMES
from .models import Family
from .rollup_levels import LEVELS, Cell, Key, Sums, in_parts, lock_cells
from .rollup_prices import price_cells
from .rollups import LINES_AT_ONCE, cells_where, count_lines


class Difference(NamedTuple):
    """A column or tally, of a cell or of a year, that does not say what the record says."""

    key: Key
    what: str
    stands: object
    counted: object


def rebuild() -> int:
    """Throw all sums away and count them from the record, in one transaction; returns how many cells there are.

    Events that touch a cell wait until it is done (SQLite: all writers do).
    """
    with transaction.atomic():
        lock_cells()
        for level in reversed(LEVELS):
            level.clear()
        return sum(_store(counted) for _, counted in _by_family())


def _by_family() -> Iterator[tuple[int, dict[Cell, Sums]]]:
    """Each family with its cells, counted from the record as it stands."""
    for family in Family.objects.order_by("pk").values_list("pk", flat=True):
        lines = cells_where(Q(family=family))
        cells: dict[Cell, Sums] = {}
        sums = {line: cells.setdefault(cell, Sums()) for line, cell in lines.items()}
        for some in in_parts(sorted(sums), LINES_AT_ONCE):
            count_lines({line: sums[line] for line in some})
        price_cells(cells)
        yield family, cells


def _store(counted: dict[Cell, Sums]) -> int:
    cells, *_ = [level.store(level.gather(counted)) for level in LEVELS]
    return cells


def differences() -> Iterator[Difference]:
    """Where the sums as they stand differ from a full recount: nothing at all, if every write path counted."""
    for family, cells in _by_family():
        for level in LEVELS:
            stands = {key: row.sums for key, row in level.read(Q(family=family)).items()}
            counted: dict[Any, Sums] = level.gather(cells)
            for key in sorted(counted.keys() | stands.keys()):
                yield from _compare(key, stands.get(key, Sums()), counted.get(key, Sums()))


def _compare(key: Key, stands: Sums, counted: Sums) -> Iterator[Difference]:
    for name in NAMES:
        stood, now = getattr(stands.figures, name), getattr(counted.figures, name)
        if stood != now:
            yield Difference(key, name, stood, now)
    for tally in sorted(stands.tallies.keys() | counted.tallies.keys()):
        if stands.tallies.get(tally) != counted.tallies.get(tally):
            yield Difference(key, " ".join(tally), stands.tallies.get(tally), counted.tallies.get(tally))
