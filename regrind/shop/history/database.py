"""Refuse to run on a database that could lose or silently change data."""

import sqlite3

from django.core.exceptions import ImproperlyConfigured
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from regrind import sqlite

from .triggers import missing_triggers


def known_migrations() -> set[str]:
    """Every migration that this program brings, as `room.name`."""
    return {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}


def refuse_newer() -> None:
    """Raise ImproperlyConfigured where a newer program has migrated the open database, naming what it did."""
    applied = {f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations()}
    unknown = sorted(applied - known_migrations())
    if unknown:
        raise ImproperlyConfigured(
            f"This database belongs to a newer program: it has the migration {unknown[0]}. "
            "Start the newer program again, or restore the backup made before the update."
        )


def refuse_unsafe() -> None:
    """Raise ImproperlyConfigured where the open database is not set as the record needs it, saying why."""
    refuse_newer()
    faults = faults_of_sqlite() if connection.vendor == "sqlite" else []
    missing = missing_triggers()
    if missing:
        faults.append(f"{len(missing)} history triggers are missing ({missing[0]} first): run 'manage.py migrate'")
    if faults:
        raise ImproperlyConfigured("This database is not safe to work with: " + "; ".join(faults))


def faults_of_sqlite() -> list[str]:
    """The sets of this connection that differ from what `regrind.sqlite` asks for, in words."""
    faults = []
    wanted = {"synchronous": "3", "foreign_keys": "1", "mmap_size": "0"}
    with connection.cursor() as cursor:
        for name, value in wanted.items():
            value_set = cursor.execute(f"PRAGMA {name}").fetchone()
            if value_set and str(value_set[0]) != value:
                faults.append(f"PRAGMA {name} is {value_set[0]}, it must be {value}")
        journal = cursor.execute("PRAGMA journal_mode").fetchone()[0]
    if journal == "wal" and not sqlite.WAL_IS_SAFE:
        faults.append(f"the journal is WAL, which SQLite {sqlite3.sqlite_version} can corrupt (fixed in 3.51.3)")
    if journal not in ("wal", "delete", "memory"):
        faults.append(f"the journal is {journal}")
    if getattr(connection, "transaction_mode", None) != "IMMEDIATE":
        faults.append("transactions do not start IMMEDIATE")
    return faults
