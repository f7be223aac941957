"""Two people with one page open: what the page saw is compared with what stands, so that nothing is overwritten."""

import hashlib

from django import forms
from django.db import models

from ..events import Conflict
from ..fields.forms import ShopForm
from .row_summary import stands


class SeenForm(ShopForm):
    """A form that changes an existing record, and knows how the record stood when the page was made."""

    seen = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    record: models.Model | None = None

    def saw(self, record: models.Model | None) -> None:
        """Remember how the record stands now; on a form that was sent, what was seen then stays."""
        self.record = record
        if record is not None:
            self.initial["seen"] = stamp(record)

    def check_stale(self) -> None:
        """Hold the record until the transaction ends. Raises Conflict where it is not what the page saw."""
        seen = self.data.get(self.add_prefix("seen"))
        if self.record is None or not seen:
            return
        now = type(self.record)._default_manager.select_for_update(no_key=True).get(pk=self.record.pk)
        if stamp(now) != seen:
            raise Conflict("This was changed while your page was open.", theirs=stands(now))


def stamp(record: models.Model) -> str:
    columns = repr([(field.attname, getattr(record, field.attname)) for field in record._meta.concrete_fields])
    return hashlib.sha256(columns.encode()).hexdigest()[:32]
