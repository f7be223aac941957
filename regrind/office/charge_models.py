"""Prices that somebody set by hand beside the regrind, and prices that are fixed. Every row is insert-only."""

from django.db import models

from regrind.record.models import EXTRAS, Batch, Line
from regrind.shop.history.triggers import guard
from regrind.shop.models import EventRow

ITEMS = [("price", "regrind"), *EXTRAS]
FIXED_BY = [("parcel", "its last parcel left"), ("quote", "a quote was sent"), ("bill", "it was billed")]


class LineExtra(EventRow):
    """What a piece of a line costs for an item beside the regrind, set by hand; of several the newest counts."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="+")
    item = models.CharField(max_length=12, choices=EXTRAS)
    minor = models.PositiveIntegerField()
    why = models.CharField(max_length=200, blank=True)


class FixedTerms(EventRow):
    """The charges of a whole batch, fixed: later changes of the list or of the customer's terms do not reach it."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="+")
    because = models.CharField(max_length=8, choices=FIXED_BY)
    rush_minor = models.PositiveIntegerField(default=0)
    least_minor = models.PositiveIntegerField(default=0)
    currency = models.CharField(max_length=3)


class FixedPrice(EventRow):
    """What a piece of a line costs for the regrind or an item beside it, fixed."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="+")
    item = models.CharField(max_length=12, choices=ITEMS)
    minor = models.PositiveIntegerField()


for _model in (LineExtra, FixedTerms, FixedPrice):
    guard(_model._meta.label, may_change=False)
