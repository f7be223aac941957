"""All cells of the review counted anew, and the proof that they equal such a count. One family at a time."""

from collections.abc import Iterator
from dataclasses import asdict
from typing import NamedTuple

from django.db import connection, transaction
from django.db.models import Q

from .figures import NAMES, Figures
from .models import Family, FamilyMonth, Tally
from .rollups import KEYS, LINES_AT_ONCE, Cell, Sums, cells_where, count_lines, in_parts, tally_rows


class Difference(NamedTuple):
    """A cell's column or tally that does not say what the record says."""

    cell: Cell
    what: str
    stands: object
    counted: object


def rebuild() -> int:
    """Throw all cells away and count them from the record, in one transaction; returns how many there are.

    Events that touch a cell wait until it is done (SQLite: all writers do).
    """
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute(f'LOCK TABLE "{FamilyMonth._meta.db_table}" IN EXCLUSIVE MODE')
        Tally.objects.all().delete()
        FamilyMonth.objects.all().delete()
        return sum(_store(counted) for _, counted in _by_family())


def _by_family() -> Iterator[tuple[int, dict[Cell, Sums]]]:
    """Each family with its cells, counted from the record as it stands."""
    for family in Family.objects.order_by("pk").values_list("pk", flat=True):
        lines = cells_where(Q(family=family))
        cells: dict[Cell, Sums] = {}
        sums = {line: cells.setdefault(cell, Sums()) for line, cell in lines.items()}
        for some in in_parts(sorted(sums), LINES_AT_ONCE):
            count_lines({line: sums[line] for line in some})
        yield family, cells


def _store(counted: dict[Cell, Sums]) -> int:
    cells = sorted(cell for cell, sums in counted.items() if sums.figures != Figures())
    rows = FamilyMonth.objects.bulk_create(
        [FamilyMonth(**dict(zip(KEYS, cell, strict=True)), **asdict(counted[cell].figures)) for cell in cells],
        batch_size=500,
    )
    Tally.objects.bulk_create(
        [tally for row, cell in zip(rows, cells, strict=True) for tally in tally_rows(row.pk, counted[cell].tallies)],
        batch_size=1_000,
    )
    return len(rows)


def differences() -> Iterator[Difference]:
    """Where the cells as they stand differ from a full recount: nothing at all, if every write path counted."""
    for family, counted in _by_family():
        stands = _stored(family)
        for cell in sorted(counted.keys() | stands.keys()):
            yield from _compare(cell, stands.get(cell, Sums()), counted.get(cell, Sums()))


def _stored(family: int) -> dict[Cell, Sums]:
    cells: dict[int, tuple[Cell, Sums]] = {}
    for row in FamilyMonth.objects.filter(family=family):
        cells[row.pk] = (Cell(family, row.customer_id, row.month), Sums(row.figures))
    for tally in Tally.objects.filter(cell__family=family):
        cells[tally.cell_id][1].tallies[tally.what, tally.key] = [tally.n, tally.good, tally.total, tally.squares]
    return dict(cells.values())


def _compare(cell: Cell, stands: Sums, counted: Sums) -> Iterator[Difference]:
    for name in NAMES:
        stood, now = getattr(stands.figures, name), getattr(counted.figures, name)
        if stood != now:
            yield Difference(cell, name, stood, now)
    for key in sorted(stands.tallies.keys() | counted.tallies.keys()):
        if stands.tallies.get(key) != counted.tallies.get(key):
            yield Difference(cell, " ".join(key), stands.tallies.get(key), counted.tallies.get(key))
