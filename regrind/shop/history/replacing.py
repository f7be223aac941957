"""Ways past the history's triggers, each refused by a trigger of its own.

SQLite's REPLACE deletes the row in its way without the triggers of a deletion (sqlite.org/lang_conflict.html); the
trigger before it looks for that row by every unique key. PostgreSQL's TRUNCATE fires no trigger of rows.
"""

from collections.abc import Iterator

from django.db import models
from django.db.models.functions import Lower

BYPASSES = {"sqlite": ("REPLACE INSERT", "REPLACE UPDATE"), "postgresql": ("TRUNCATE",)}


def refuse_replacing(name: str, model: type[models.Model], event: str) -> str:
    """The trigger that refuses a new or changed row that would take the place of another."""
    table, key = model._meta.db_table, model._meta.pk.column
    in_its_way = " OR ".join(f"({same})" for same in _same_keys(model))
    if event == "REPLACE UPDATE":
        in_its_way = f'"{key}" <> OLD."{key}" AND ({in_its_way})'
    return (
        f'CREATE TRIGGER "{name}" BEFORE {event.split()[1]} ON "{table}" '
        f'WHEN EXISTS (SELECT 1 FROM "{table}" WHERE {in_its_way}) '
        f"BEGIN SELECT RAISE(ABORT, '{table} has a row with this key already: nothing replaces it'); END"
    )


def _same_keys(model: type[models.Model]) -> Iterator[str]:
    """A condition for each unique key of a table: a row there has the new row's values. (NULL is like nothing.)"""
    fields = {field.name: str(field.column) for field in model._meta.concrete_fields}
    for field in model._meta.concrete_fields:
        if field.unique:  # the primary key too
            yield f'"{field.column}" = NEW."{field.column}"'
    for constraint in model._meta.constraints:
        if isinstance(constraint, models.UniqueConstraint):
            columns = [fields[name] for name in constraint.fields]
            same = [f'"{column}" = NEW."{column}"' for column in columns]
            yield " AND ".join(same + [_same_expression(one, fields) for one in constraint.expressions])


def _same_expression(expression: object, fields: dict[str, str]) -> str:
    source = expression.source_expressions[0] if isinstance(expression, Lower) else None
    if not isinstance(source, models.F):
        raise NotImplementedError(f"a unique key over {expression!r} is not guarded against REPLACE")
    column = fields[source.name]
    return f'lower("{column}") = lower(NEW."{column}")'


def refuse_truncate(name: str, model: type[models.Model]) -> str:
    """The trigger that refuses to empty a table."""
    return (
        f'CREATE TRIGGER "{name}" BEFORE TRUNCATE ON "{model._meta.db_table}" '
        "FOR EACH STATEMENT EXECUTE FUNCTION regrind_refuse()"
    )
