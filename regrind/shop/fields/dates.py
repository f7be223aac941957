"""Dates and times in forms: a thing may be entered later, with the time it was done."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.utils import timezone


class DoneAt(forms.DateTimeField):
    """When it was done, in the shop's time; left empty it is now. The future is refused beside the field."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "When, if not now")
        kwargs.setdefault("required", False)
        kwargs.setdefault("widget", forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"))
        super().__init__(input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"], **kwargs)
        self.error_messages["invalid"] = "Write the day and time as 2026-01-31 14:30."

    def clean(self, value: Any) -> datetime | None:
        when: datetime | None = super().clean(value)
        if when and when > timezone.now():
            raise forms.ValidationError("That lies in the future: from the box's arrival until now.")
        if when and when.year < 2000:
            raise forms.ValidationError("That is before the year 2000: from the box's arrival until now.")
        return when


def day(**kwargs: Any) -> forms.DateField:
    """A date field with the browser's own calendar."""
    kwargs.setdefault("required", False)
    field = forms.DateField(
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), input_formats=["%Y-%m-%d"], **kwargs
    )
    field.error_messages["invalid"] = "Write the day as 2026-01-31."
    return field


def next_month(when: date) -> date:
    """The first day of the month after; December 9999 is its own."""
    return date(when.year + when.month // 12, when.month % 12 + 1, 1) if (when.year, when.month) < (9999, 12) else when
