"""Gauges whose calibration is not in date, named where a reading is entered."""

from django import forms
from django.utils import timezone

from regrind.shop.models import Gauge

CHOICES = ("gauge", "indicator")


def overdue_gauges(form: forms.BaseForm) -> list[str]:
    """The gauges chosen in a form that are overdue, each once and in words; one query for each choice."""
    today = timezone.localdate()
    chosen_gauges: dict[int, Gauge] = {}
    for name in CHOICES:
        field = form.fields.get(name)
        if isinstance(field, forms.ModelChoiceField):
            chosen = str(form[name].value() or "")
            chosen_gauges |= {gauge.pk: gauge for gauge in field.queryset or () if str(gauge.pk) == chosen}
    return [f"{gauge}: {gauge.state(today)}" for gauge in chosen_gauges.values() if gauge.overdue(today)]
