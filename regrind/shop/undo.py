"""Undo of one event: its rows no longer count, and the rows that it changed get their old values back."""

import json
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any, NamedTuple

from django.apps import apps
from django.db import models
from django.utils import timezone
from django.utils.dateformat import format as date_format

from .event_kinds import KINDS
from .events import Conflict, Refusal, event, one_event
from .history.triggers import DERIVED, GUARDED, insert_only_tables
from .models import Event, History, Person, not_undone

UNDO_FOR = timedelta(minutes=10)


@dataclass
class Change:
    """One row that an event changed: its columns by attribute name, as they were before it and as it left them.

    gone: every column of a row that the event took away, {} where it is still there.
    """

    model: type[models.Model]
    pk: int
    old: dict[str, Any] = field(default_factory=dict)
    new: dict[str, Any] = field(default_factory=dict)
    gone: dict[str, Any] = field(default_factory=dict)


Hook = Callable[[Event, Sequence[Change]], None]
HOOKS: list[Hook] = []


def before_undo(hook: Hook) -> None:
    """Register a function to call before an undo, with the event and its changes. It may refuse with `depends_on`.

    Called once, when its room is loaded."""
    if hook not in HOOKS:
        HOOKS.append(hook)


class Right(NamedTuple):
    """Whether somebody may undo an event. refusal: why not. reason_needed: a reason must be written."""

    refusal: str = ""
    reason_needed: bool = False


def words_of(done: Event) -> str:
    """`Ground, 09:14, by Bea`."""
    who = f", by {done.who}" if done.by else f", {done.who}"
    when = timezone.localtime(done.recorded_at)
    day = "" if when.date() == timezone.localdate() else f"{date_format(when, 'j M Y')}, "
    return f"{KINDS[done.kind].words}, {day}{date_format(when, 'H:i')}{who}"


def right_to_undo(person: Person, done: Event) -> Right:
    """Whether this person may undo an event: within ten minutes whoever recorded it, the bench and the owner; later
    the bench and the owner, with a reason. Whether a later event depends on it is checked by `undo`.
    """
    kind = KINDS[done.kind]
    if kind.undo == "never":
        return Right(f"{kind.words}: this cannot be undone.")
    if kind.undo == "always":
        return Right()
    may_undo_all, is_own = person.may("bench"), done.by_id == person.pk
    if not (may_undo_all or is_own):
        return Right(f"Only {done.by or 'the owner'}, the bench or the owner can undo this.")
    if done.recorded_at > timezone.now() - UNDO_FOR:
        return Right()
    if may_undo_all:
        return Right(reason_needed=True)
    return Right("This was recorded more than ten minutes ago. The bench or the owner can undo it, with a reason.")


def undo(*, by: Person, done: Event, why: str = "") -> Event:
    """Undo one event; returns the undoing event. Its rows stay stored, but no longer count.

    why: needed after ten minutes. Refusal, naming the event, where a later one depends on it, and where
    `right_to_undo` refuses; Conflict where it was undone meanwhile, or its rows were changed outside of the program.
    """
    with one_event():
        done = Event.objects.select_for_update(no_key=True, of=("self",)).select_related("by").get(pk=done.pk)
        _refuse(by, done, why)
        with event(by, "undone", why=why, undoes=done) as undoing:
            changes = read_changes(done)
            for hook in HOOKS:
                hook(done, changes)
            _put_back(done, changes)
    return undoing


def _refuse(by: Person, done: Event, why: str) -> None:
    earlier = Event.objects.filter(undoes=done).select_related("by").first()
    if earlier:
        raise Conflict(f"{words_of(done)}: {earlier.who} has undone this already.")
    right = right_to_undo(by, done)
    if right.refusal:
        raise Refusal(right.refusal)
    if right.reason_needed and not why.strip():
        raise Refusal("This was recorded more than ten minutes ago. Write a reason.")


def read_changes(done: Event) -> list[Change]:
    """The changes of an event, row by row, from the history; derived columns are left out."""
    by_table = {apps.get_model(label)._meta.db_table: apps.get_model(label) for label in GUARDED}
    changes: dict[tuple[str, int], Change] = {}
    # What an insert-only table got stays: the event beside it says that it was undone.
    for row in History.objects.filter(event=done).exclude(table__in=insert_only_tables()).order_by("pk"):
        if row.what not in ("changed", "gone"):
            raise Refusal(f"{words_of(done)}: it added rows that others may use by now. It cannot be undone.")
        change = changes.setdefault((row.table, row.row), Change(by_table[row.table], row.row))
        if row.what == "gone":
            change.gone = _values(change.model, row.old, derived=True) | change.old
        else:
            _fold(change, _values(change.model, row.old), _values(change.model, row.new))
    return list(changes.values())


def _fold(change: Change, old: dict[str, Any], new: dict[str, Any]) -> None:
    """Take a further change of the same row: the first old values and the last new ones count."""
    for name, value in new.items():
        if value != old[name] or name in change.new:
            change.old.setdefault(name, old[name])
            change.new[name] = value


def _values(model: type[models.Model], text: str | None, *, derived: bool = False) -> dict[str, Any]:
    left_out = set() if derived else DERIVED.get(model._meta.label, set())
    fields = {f.column: f for f in model._meta.concrete_fields if f.attname not in left_out}
    return {
        fields[column].attname: _as_python(fields[column], value)
        for column, value in json.loads(text or "{}").items()
        if column in fields
    }


def _as_python(column: "models.Field[Any, Any]", value: Any) -> Any:
    python = column.to_python(value)
    if isinstance(column, models.DateTimeField) and python is not None and timezone.is_naive(python):
        return timezone.make_aware(python, timezone.get_fixed_timezone(0))  # as SQLite writes it
    return python


def _put_back(done: Event, changes: Sequence[Change]) -> None:
    """Write the old values where the new ones are still there; rows with equal changes in one query."""
    equal: dict[tuple[Any, ...], list[Change]] = defaultdict(list)
    _bring_back([change for change in changes if change.gone])
    for change in changes:
        if change.new != change.old and not change.gone:
            equal[change.model, tuple(change.old.items()), tuple(change.new.items())].append(change)
    for (model, old, new), group in equal.items():
        rows = model._base_manager.filter(pk__in=[change.pk for change in group], **dict(new))
        if rows.update(**dict(old)) != len(group):
            raise _blocked(done, group)


def _bring_back(changes: Sequence[Change]) -> None:
    """Make the rows again that the event took away, each under its own key."""
    by_model: dict[type[models.Model], list[models.Model]] = defaultdict(list)
    for change in changes:
        by_model[change.model].append(change.model(**{"pk": change.pk} | change.gone))
    for model, rows in by_model.items():
        model._base_manager.bulk_create(rows)


def _blocked(done: Event, group: Sequence[Change]) -> Exception:
    """The error for an event that cannot be undone: the newest later event about the same rows, if there is one."""
    table, rows = group[0].model._meta.db_table, [change.pk for change in group]
    later = (
        History.objects.filter(not_undone(), table=table, row__in=rows, event__pk__gt=done.pk)
        .exclude(event__kind="undone")
        .select_related("event__by")
        .order_by("-pk")
        .first()
    )
    if later is None or later.event is None:
        return Conflict("The same rows were changed again, outside of the program's pages.")
    return depends_on(later.event)


def depends_on(later: Event) -> Refusal:
    """The refusal to undo an event that a later one depends on; it names that event."""
    return Refusal(f"A later step depends on this: {words_of(later)}. Undo that first.", event=later)
