"""The database of a backup: copied as of one moment, checked, and put back."""

import os
import shutil
import sqlite3
import subprocess
import time
from contextlib import closing
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, connection, transaction
from django.db.backends.utils import CursorWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from .archive import BackupError

PATIENCE_S = 60.0  # sqlite3 itself would ask for ever
SQLITE_TABLES = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite!_%' ESCAPE '!'"


def schema() -> list[str]:
    """Every applied migration, as `room.name`."""
    return sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations())


def is_behind() -> bool:
    """Whether migrations of this program are not applied yet."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def is_empty() -> bool:
    """Whether no table is there at all: nothing to keep, and a place to restore into."""
    return not connection.introspection.table_names()


def sqlite_file() -> Path:
    return Path(str(settings.DATABASES["default"]["NAME"]))


def size() -> int:
    """Bytes of the database on its disk; those of PostgreSQL as it counts them."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT pg_database_size(current_database())")
        else:
            cursor.execute("SELECT page_count * page_size FROM pragma_page_count(), pragma_page_size()")
        return int(cursor.fetchone()[0])


def counts() -> dict[str, int]:
    """Rows of every table, whatever program made it."""
    with connection.cursor() as cursor:
        return {table: _count(cursor, table) for table in sorted(connection.introspection.table_names(cursor))}


def _count(cursor: CursorWrapper | sqlite3.Cursor, table: str) -> int:
    cursor.execute(f'SELECT count(*) FROM "{table}"')
    return int(cursor.fetchone()[0])


def copy_to(target: Path) -> tuple[dict[str, int], list[str]]:
    """Copy the database as it is at one moment. Returns the rows of every table at that moment, and what is wrong."""
    try:
        return _copy_sqlite(target) if connection.vendor == "sqlite" else (_dump_postgres(target), [])
    except (sqlite3.Error, DatabaseError) as error:
        raise BackupError(f"The database cannot be copied: {error}.") from error


def _copy_sqlite(target: Path) -> tuple[dict[str, int], list[str]]:
    """Page by page, indexes too: they are what shows that a row was altered on the disk.

    A connection of its own, so that what a running transaction has not committed is not copied and not waited for.
    """
    end = time.monotonic() + PATIENCE_S

    def give_up(status: int, pages_left: int, pages: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > end:
            raise BackupError("The database cannot be copied: another program has locked it for a minute. Try again.")

    with (
        closing(sqlite3.connect(f"{sqlite_file().absolute().as_uri()}?mode=ro", uri=True)) as source,
        closing(sqlite3.connect(target)) as copy,
    ):
        source.backup(copy, progress=give_up)
        copy.execute("PRAGMA journal_mode = DELETE")
        faults = _faults_of_sqlite(copy)
        tables = [name for (name,) in copy.execute(SQLITE_TABLES)]
        return {table: _count(copy.cursor(), table) for table in sorted(tables)}, faults


def _faults_of_sqlite(database: sqlite3.Connection | CursorWrapper) -> list[str]:
    """database: an open connection, or a cursor."""
    findings = [finding for (finding,) in database.execute("PRAGMA integrity_check(5)").fetchall()]
    dangling = database.execute("PRAGMA foreign_key_check").fetchall()
    return ([] if findings == ["ok"] else [f"SQLite reports of the database: {'; '.join(findings)}"]) + (
        [f"{len(dangling)} rows refer to rows that do not exist"] if dangling else []
    )


def faults() -> list[str]:
    """Faults of the open SQLite database: pages, indexes, references. PostgreSQL reports its own."""
    if connection.vendor != "sqlite":
        return []
    with connection.cursor() as cursor:
        return _faults_of_sqlite(cursor)


def _dump_postgres(target: Path) -> dict[str, int]:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        cursor.execute("SELECT pg_export_snapshot()")
        _postgres(
            "pg_dump",
            "--format=custom",
            "--no-owner",
            "--no-privileges",
            f"--snapshot={cursor.fetchone()[0]}",
            f"--file={target}",
            where=True,
        )
        rows = counts()
    _postgres("pg_restore", f"--file={os.devnull}", str(target))  # reads all of it back
    return rows


def _postgres(program: str, *args: str, where: bool = False) -> None:
    """Run a client program; where: on the database of the settings."""
    path = shutil.which(program)
    if path is None:
        raise BackupError(f"{program} is not installed. Install the PostgreSQL client programs.")
    params = connection.get_connection_params()
    env = {
        variable: str(params[key])
        for variable, key in (
            ("PGHOST", "host"),
            ("PGPORT", "port"),
            ("PGUSER", "user"),
            ("PGPASSWORD", "password"),
            ("PGSSLMODE", "sslmode"),
        )
        if params.get(key)
    }
    done = subprocess.run(
        [path, *args, *([f"--dbname={params['dbname']}"] if where else [])],
        env=os.environ | env,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise BackupError(f"{program} failed: {done.stderr.strip()[-500:]}")


def load(copy: Path, vendor: str) -> None:
    """Put a copied database into the empty place of the settings."""
    if vendor == "postgresql":
        _postgres("pg_restore", "--no-owner", "--exit-on-error", "--single-transaction", str(copy), where=True)
        return
    connection.close()
    target = sqlite_file()
    target.unlink(missing_ok=True)  # empty: a command that only looked made it
    shutil.move(copy, target)
