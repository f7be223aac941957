"""Dates and times in forms: a thing may be entered later, with the time it was done."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.utils import timezone


class DoneAt(forms.DateTimeField):
    """A time in the shop's time zone, empty for now. The future is refused."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Time, if not now")
        kwargs.setdefault("required", False)
        kwargs.setdefault("widget", forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"))
        super().__init__(input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"], **kwargs)
        self.error_messages["invalid"] = "That is not a date and time. Write it as 2026-01-31 14:30."

    def clean(self, value: Any) -> datetime | None:
        moment: datetime | None = super().clean(value)
        if moment and moment > timezone.now():
            raise forms.ValidationError("That time is in the future. Write a time from the day of receipt until now.")
        if moment and moment.year < 2000:
            raise forms.ValidationError("That time is before 2000. Write a time from the day of receipt until now.")
        return moment


def day(**kwargs: Any) -> forms.DateField:
    """A date field with the browser's own calendar."""
    kwargs.setdefault("required", False)
    field = forms.DateField(
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), input_formats=["%Y-%m-%d"], **kwargs
    )
    field.error_messages["invalid"] = "That is not a date. Write it as 2026-01-31."
    return field


def next_month(day: date) -> date:
    """The first day of the next month; December 9999 returns itself."""
    return date(day.year + day.month // 12, day.month % 12 + 1, 1) if (day.year, day.month) < (9999, 12) else day
