"""The database after a test that commits: put back as the migrations left it.

Django's flush would empty every table, make permissions and content types anew and, since the insert-only tables refuse
to be emptied, drop and make each of some 200 triggers: half of a browser test's time. Here SQLite's file is copied back
from memory, and PostgreSQL empties the tables with its triggers asleep; the rows that migrations made stay.
"""

import sqlite3

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
    names = ", ".join(f'"{table}"' for table in sorted(tables - MADE_BY_MIGRATIONS))
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        cursor.execute(f"TRUNCATE {names}")
        cursor.execute("SET session_replication_role = origin")
