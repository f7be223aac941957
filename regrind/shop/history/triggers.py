"""History kept by the database itself: what was changed, old and new, by which event, on every write path.

Tables that change get triggers that write a History row with the running event's key; insert-only tables get triggers
that refuse UPDATE and DELETE. Of an event, a reading and a rate the history keeps that it was added. What would go past
these triggers is refused on every guarded table: SQLite's INSERT and UPDATE OR REPLACE, PostgreSQL's TRUNCATE. All are
generated from the one list below and installed again after every migrate, since SQLite drops the triggers of a table
that a migration remakes.
"""

from collections.abc import Iterable, Iterator

from django.apps import apps
from django.db import connection, models, transaction

from .replacing import BYPASSES, refuse_replacing, refuse_truncate

# model label -> True where the table may change (and its changes are written down), False where it is insert-only
GUARDED: dict[str, bool] = {
    "shop.Person": True,
    "shop.Tablet": True,
    "shop.ShopSettings": True,
    "shop.Gauge": True,
    "shop.Wheel": True,
    "shop.WorkHolding": True,
    "shop.Event": False,
    "shop.History": False,
    "shop.HistorySeal": False,
}
# Columns that follow from others: no undo puts them back, they are worked out again.
DERIVED: dict[str, set[str]] = {}
# Insert-only tables whose new rows the history keeps too, so that its chain of hashes holds them.
SEALED = {"shop.Event"}
# Never copied into the history: secrets and bulk.
LEFT_OUT = {"password", "last_login", "logo", "pin", "badge", "token", "totp_seed", "totp_step"}


def guard(label: str, *, may_change: bool, derived: Iterable[str] = (), sealed: bool = False) -> None:
    """Name a table that the history guards; called by each room's models module.

    derived: its columns that follow from others. sealed: whether the history keeps the new rows of an insert-only table
    too, so that its chain of hashes holds them.
    """
    GUARDED[label] = may_change
    DERIVED[label] = set(derived)
    if sealed:
        SEALED.add(label)


def insert_only_tables() -> list[str]:
    return [apps.get_model(label)._meta.db_table for label, may_change in GUARDED.items() if not may_change]


def _columns(model: type[models.Model]) -> list[str]:
    return [str(f.column) for f in model._meta.concrete_fields if f.column not in LEFT_OUT]


def trigger_names() -> Iterator[tuple[str, type[models.Model], str]]:
    """Yield (trigger, model, event) for every guarded table."""
    for label, may_change in sorted(GUARDED.items()):
        model = apps.get_model(label)
        events = ("INSERT", "UPDATE", "DELETE") if may_change or label in SEALED else ("UPDATE", "DELETE")
        for event in (*events, *BYPASSES[connection.vendor]):
            yield f"history_{model._meta.db_table}_{event.lower().replace(' ', '_')}", model, event


def install() -> None:
    """(Re)make every trigger, in one transaction. Safe to run again."""
    make = _postgres if connection.vendor == "postgresql" else _sqlite
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRES_FUNCTIONS)
        for name, model, event in trigger_names():
            for statement in make(name, model, event):
                cursor.execute(statement)


def remove() -> None:
    """Drop every trigger: for the tests' flush alone."""
    with connection.cursor() as cursor:
        for name, model, _ in trigger_names():
            on = f' ON "{model._meta.db_table}"' if connection.vendor == "postgresql" else ""
            cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')


def missing_triggers() -> list[str]:
    """The names of triggers that should be there and are not."""
    source = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(source)
        there = {row[0] for row in cursor.fetchall()}
    return [name for name, _, _ in trigger_names() if name not in there]


WORDS = {"INSERT": "added", "UPDATE": "changed", "DELETE": "gone"}


def _refuses(model: type[models.Model], event: str) -> bool:
    return not GUARDED[model._meta.label] and event != "INSERT"


def _sqlite(name: str, model: type[models.Model], event: str) -> list[str]:
    table = model._meta.db_table
    drop = f'DROP TRIGGER IF EXISTS "{name}"'
    if event in BYPASSES["sqlite"]:
        return [drop, refuse_replacing(name, model, event)]
    if _refuses(model, event):
        return [
            drop,
            f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" '
            f"BEGIN SELECT RAISE(ABORT, '{table} is insert-only'); END",
        ]
    old = "NULL" if event == "INSERT" else _json("OLD", model)
    new = "NULL" if event == "DELETE" else _json("NEW", model)
    row = "OLD" if event == "DELETE" else "NEW"
    key = model._meta.pk.column
    when = f" WHEN {old} <> {new}" if event == "UPDATE" else ""
    running = 'NEW."id"' if model._meta.label == "shop.Event" else "(SELECT event_id FROM shop_currentevent LIMIT 1)"
    return [
        drop,
        f'''CREATE TRIGGER "{name}" AFTER {event} ON "{table}"{when} BEGIN
        INSERT INTO shop_history ("table", "row", what, at, event_id, old, new) VALUES ('{table}', {row}."{key}",
        '{WORDS[event]}', strftime('%Y-%m-%d %H:%M:%f', 'now'), {running}, {old}, {new}); END''',
    ]


def _json(side: str, model: type[models.Model]) -> str:
    return "json_object(" + ", ".join(f"""'{c}', {side}."{c}\"""" for c in _columns(model)) + ")"


def _postgres(name: str, model: type[models.Model], event: str) -> list[str]:
    table = model._meta.db_table
    drop = f'DROP TRIGGER IF EXISTS "{name}" ON "{table}"'
    if event in BYPASSES["postgresql"]:
        return [drop, refuse_truncate(name, model)]
    if _refuses(model, event):
        return [
            drop,
            f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" FOR EACH ROW EXECUTE FUNCTION regrind_refuse()',
        ]
    when = " WHEN (OLD.* IS DISTINCT FROM NEW.*)" if event == "UPDATE" else ""
    left_out = ", ".join(f"'{c}'" for c in sorted(LEFT_OUT))
    return [
        drop,
        f'CREATE TRIGGER "{name}" AFTER {event} ON "{table}" FOR EACH ROW{when} '
        f"EXECUTE FUNCTION regrind_history('{model._meta.pk.column}', {left_out})",
    ]


POSTGRES_FUNCTIONS = """
CREATE OR REPLACE FUNCTION regrind_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION '% is insert-only', TG_TABLE_NAME; END $$;
CREATE OR REPLACE FUNCTION regrind_history() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE before jsonb; after jsonb; running bigint;
BEGIN
  IF TG_OP <> 'INSERT' THEN before := to_jsonb(OLD); END IF;
  IF TG_OP <> 'DELETE' THEN after := to_jsonb(NEW); END IF;
  FOR i IN 1 .. TG_NARGS - 1 LOOP before := before - TG_ARGV[i]; after := after - TG_ARGV[i]; END LOOP;
  IF before IS NOT DISTINCT FROM after THEN RETURN NULL; END IF;
  running := CASE TG_TABLE_NAME WHEN 'shop_event' THEN (after ->> 'id')::bigint
             ELSE nullif(current_setting('regrind.event', true), '')::bigint END;
  INSERT INTO shop_history ("table", "row", what, at, event_id, old, new) VALUES (
    TG_TABLE_NAME, (coalesce(after, before) ->> TG_ARGV[0])::bigint,
    CASE TG_OP WHEN 'INSERT' THEN 'added' WHEN 'UPDATE' THEN 'changed' ELSE 'gone' END,
    clock_timestamp(), running, before::text, after::text);
  RETURN NULL;
END $$;
"""
