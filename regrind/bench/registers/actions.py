"""The only writer of gauges, wheels and work holdings."""
import hashlib
from typing import Any

from django.db.models import Model

from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Person
from regrind.shop.standing import stands


def stand(row: Model | None) -> str:
    """A short fingerprint of a row's columns, '' for a row that is not there yet: what a page saw."""
    if row is None:
        return ""
    told = repr([(field.attname, getattr(row, field.attname)) for field in row._meta.concrete_fields])
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def keep_row(*, by: Person, model: type[Model], row: Model | None, values: dict[str, Any],
             seen: str | None = None) -> None:
    """Add a row to a register, or mend one. seen: the fingerprint that the page had, None to keep regardless.

    Refusal where the name is taken; Conflict where somebody mended the row meanwhile.
    """
    others = model._default_manager.filter(name__iexact=values["name"])
    if row is not None:
        others = others.exclude(pk=row.pk)
    if others.exists():
        raise Refusal(f"There is a {values['name']} already: give this one another name, or mend that one.")
    with event(by, "register"):
        if row is None:
            model._default_manager.create(**values)
            return
        now = model._default_manager.select_for_update().get(pk=row.pk)
        if seen is not None and seen != stand(now):
            raise Conflict(f"Somebody mended {now} while this page was open.", theirs=stands(now))
        model._default_manager.filter(pk=row.pk).update(**values)
