"""Two people with one page open: a form that shows an older version of its record overwrites nothing."""

import hashlib

from django import forms
from django.db import models

from ..events import Conflict
from ..fields.forms import ShopForm
from .row_summary import describe


class VersionedForm(ShopForm):
    """A form that changes an existing record and carries the version of it that its page showed."""

    version = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput)
    record: models.Model | None = None

    def set_version(self, record: models.Model | None) -> None:
        """Write the record's version into the page; a form that was sent brings its own."""
        self.record = record
        if record is not None:
            self.initial["version"] = version_of(record)

    def check_stale(self) -> None:
        """Lock the record until the transaction ends. Conflict where the page showed an older version."""
        version = self.data.get(self.add_prefix("version"))
        if self.record is None or not version:
            return
        now = type(self.record)._default_manager.select_for_update(no_key=True).get(pk=self.record.pk)
        if version_of(now) != version:
            raise Conflict("Someone else changed this while your page was open.", theirs=describe(now))


def version_of(record: models.Model) -> str:
    columns = repr([(field.attname, getattr(record, field.attname)) for field in record._meta.concrete_fields])
    return hashlib.sha256(columns.encode()).hexdigest()[:32]
