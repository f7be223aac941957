"""Rows in bulk: many at once into one table, its primary keys known before."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from django.db import connection, models


class Bulk:
    """The rows of one table until they are written; columns that are not named take their model's default."""

    def __init__(self, model: type[models.Model], *columns: str) -> None:
        fields = {f.attname: f for f in model._meta.concrete_fields}
        rest = [f for name, f in fields.items() if name not in columns and not f.primary_key]
        self.model = model
        self.columns = [model._meta.pk.column, *(fields[name].column for name in columns), *(f.column for f in rest)]
        self.rest = tuple(f.get_db_prep_save(f.get_default(), connection) for f in rest)
        self.rows: list[tuple[Any, ...]] = []
        self.number_on()

    def number_on(self) -> None:
        """Number on from the last row that is in the table by now."""
        self.last: int = self.model._base_manager.aggregate(m=models.Max("pk"))["m"] or 0

    def add(self, *values: Any) -> int:
        """Take a row, its values in the order of the columns; returns its primary key."""
        self.last += 1
        self.rows.append((self.last, *values, *self.rest))
        return self.last

    def write(self) -> None:
        """Insert what was taken. Values go in as they are: moments as `moment` gives them."""
        names = ", ".join(f'"{column}"' for column in self.columns)
        table = self.model._meta.db_table
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor, cursor.copy(f'COPY "{table}" ({names}) FROM STDIN') as copy:
                for row in self.rows:
                    copy.write_row(row)
        else:
            marks = ", ".join("?" * len(self.columns))
            connection.ensure_connection()
            connection.connection.executemany(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', self.rows)  # noqa: S608
        self.rows = []


def moment(when: datetime) -> Any:
    """A moment as the database's driver takes it."""
    return when if connection.vendor == "postgresql" else f"{when.astimezone(UTC):%Y-%m-%d %H:%M:%S.%f}"


def day(when: datetime) -> Any:
    """The day of a moment as the database's driver takes it."""
    return when.date() if connection.vendor == "postgresql" else f"{when:%Y-%m-%d}"


def write_from_memory() -> None:
    """Let SQLite hold one part's pages in memory until they are written once; this connection alone, and no fewer
    syncs: what is small at work (`regrind/sqlite.py`) would write the pages of the indexes again and again."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA cache_size=-600000")  # kB


def set_sequences(tables: Sequence[Bulk]) -> None:
    """Let the database number on after the rows that came with their numbers, and know how many there are."""
    from django.core.management.color import no_style

    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [bulk.model for bulk in tables]):
            cursor.execute(statement)
        if connection.vendor == "postgresql":  # its own housekeeping would do so within minutes
            cursor.execute("ANALYZE")
