"""The only writer of gauges, wheels and work holdings."""

from typing import Any

from django.db.models import Model

from regrind.shop.events import Refusal, event
from regrind.shop.models import Person


def save_row(*, by: Person, model: type[Model], row: Model | None, values: dict[str, Any]) -> None:
    """Add a row to a register, or change one. Refusal where the name is taken."""
    others = model._default_manager.filter(name__iexact=values["name"])
    if row is not None:
        others = others.exclude(pk=row.pk)
    if others.exists():
        raise Refusal(f"There is a {values['name']} already: give this one another name, or edit that one.")
    with event(by, "register"):
        if row is None:
            model._default_manager.create(**values)
            return
        model._default_manager.filter(pk=row.pk).update(**values)
