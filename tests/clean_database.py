"""The database after a test that commits: put back as the migrations left it.

Django's flush would empty every table, make permissions and content types anew and, since the insert-only tables refuse
to be emptied, drop and make each of some 200 triggers: half of a browser test's time. Here SQLite's file is copied back
from memory, and PostgreSQL empties what was filled with its triggers asleep; the rows that migrations made stay.
"""

import sqlite3
from collections.abc import Sequence
from typing import Any

from django.apps import apps
from django.db import connection

from regrind.record.models import AllowedStep

MADE_BY_MIGRATIONS = {"django_content_type", "auth_permission", AllowedStep._meta.db_table}


def copy_of_sqlite() -> sqlite3.Connection:
    """A copy of the test database in memory, taken before any test wrote to it."""
    connection.ensure_connection()
    copy = sqlite3.connect(":memory:")
    connection.connection.backup(copy)
    return copy


def put_back(pristine: sqlite3.Connection | None) -> None:
    """Undo all that was committed. `pristine` is the copy on SQLite, None on PostgreSQL."""
    connection.ensure_connection()
    if pristine:
        pristine.backup(connection.connection)
        return
    tables = {model._meta.db_table for model in apps.get_models(include_auto_created=True) if model._meta.managed}
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        for table in _filled(cursor, sorted(tables - MADE_BY_MIGRATIONS)):
            cursor.execute(f'DELETE FROM "{table}"')
        cursor.execute("SET session_replication_role = origin")


def _filled(cursor: Any, tables: Sequence[str]) -> list[str]:
    """The tables that hold a row: to empty one costs PostgreSQL new files for it and each of its indexes."""
    cursor.execute(" UNION ALL ".join(f"(SELECT '{table}' FROM \"{table}\" LIMIT 1)" for table in tables))
    return [table for (table,) in cursor.fetchall()]
