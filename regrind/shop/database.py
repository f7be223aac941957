"""Refuse to run on a database that could lose or silently change what it was told."""
import sqlite3

from django.core.exceptions import ImproperlyConfigured
from django.db import connection

from regrind import sqlite

from .history import missing_triggers


def refuse_unsafe() -> None:
    """Raise ImproperlyConfigured where the open database is not set as the record needs it, saying why."""
    faults = faults_of_sqlite() if connection.vendor == "sqlite" else []
    missing = missing_triggers()
    if missing:
        faults.append(f"{len(missing)} history triggers are missing ({missing[0]} first): run 'manage.py migrate'")
    if faults:
        raise ImproperlyConfigured("This database is not safe to work on: " + "; ".join(faults))


def faults_of_sqlite() -> list[str]:
    """The sets of this connection that differ from what `regrind.sqlite` asks for, in words."""
    faults = []
    wanted = {"synchronous": "2", "foreign_keys": "1", "mmap_size": "0"}
    with connection.cursor() as cursor:
        for name, value in wanted.items():
            found = cursor.execute(f"PRAGMA {name}").fetchone()
            if found and str(found[0]) != value:
                faults.append(f"PRAGMA {name} is {found[0]}, it must be {value}")
        journal = cursor.execute("PRAGMA journal_mode").fetchone()[0]
    if journal == "wal" and not sqlite.WAL_IS_SAFE:
        faults.append(f"the journal is WAL, which SQLite {sqlite3.sqlite_version} can corrupt (fixed in 3.51.3)")
    if journal not in ("wal", "delete", "memory"):
        faults.append(f"the journal is {journal}")
    if getattr(connection, "transaction_mode", None) != "IMMEDIATE":
        faults.append("transactions do not start IMMEDIATE")
    return faults
