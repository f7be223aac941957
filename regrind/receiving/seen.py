"""Two people with one page open: what the page saw is compared with what stands, so that nothing is overwritten."""
import hashlib
from typing import Any

from django import forms
from django.db import models

from regrind.geometry.units import both
from regrind.shop.acting import Conflict
from regrind.shop.forms import ShopForm


class SeenForm(ShopForm):
    """A form that changes an existing record, and knows how the record stood when the page was made."""

    seen = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    record: models.Model | None = None

    def saw(self, record: models.Model | None) -> None:
        """Remember how the record stands now; on a form that was sent, what was seen then stays."""
        self.record = record
        if record is not None:
            self.initial["seen"] = stamp(record)

    def check_unchanged(self) -> None:
        """Hold the record until the transaction ends. Raises Conflict where it is not what the page saw."""
        seen = self.cleaned_data.get("seen")
        if self.record is None or not seen:
            return
        now = type(self.record)._default_manager.select_for_update(no_key=True).get(pk=self.record.pk)
        if stamp(now) != seen:
            raise Conflict(f"This was changed while your page was open. Now it says: {_words(now)}.")


def stamp(record: models.Model) -> str:
    told = repr([(field.attname, getattr(record, field.attname)) for field in record._meta.concrete_fields])
    return hashlib.sha256(told.encode()).hexdigest()[:32]


def _words(record: models.Model) -> str:
    """What stands now, by the columns' names; what is empty is left out."""
    told = []
    for field in record._meta.concrete_fields:
        value = getattr(record, field.attname)
        if not field.primary_key and not field.is_relation and value not in (None, "", False):
            told.append(f"{field.verbose_name} {_figure(field.attname, value)}")
    return "; ".join(told)[:1000]


def _figure(name: str, value: Any) -> str:
    """A length in both units, an angle in degrees, money in whole units, all else as it stands."""
    if name.endswith("_nm"):
        return " = ".join(both(value, "in"))
    if name.endswith("_cdeg"):
        return f"{value / 100:g}°"
    if name.endswith("_minor"):
        return f"{value // 100}.{value % 100:02d}"
    return "yes" if value is True else str(value)
