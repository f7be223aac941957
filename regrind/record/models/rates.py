from django.db import models
from django.db.models import Q

from regrind.shop.models import EventRow

from ..kinds import CHOICES
from .families import Family

WHATS = [
    ("price", "price of a regrind"),
    ("hourly", "hourly rate"),
    ("wheel", "wheel cost of a regrind"),
    ("new", "price of a new tool"),
    ("life", "regrinds that a new tool takes"),
]


class Rate(EventRow):
    """What something costs or brings from a day on; insert-only, so that old visits keep theirs.

    It holds for a family, else for a kind, else for the whole shop. `operation` is what is ground ("sides end"),
    empty for whatever it is. `amount` is in minor units, for `life` a count; None takes back what was said, so that
    the wider one holds from that day. Of two for one day the later entered counts.
    """

    what = models.CharField(max_length=8, choices=WHATS)
    family = models.ForeignKey(Family, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=CHOICES, blank=True)
    operation = models.CharField(max_length=60, blank=True)
    amount = models.PositiveIntegerField(null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True)
    from_day = models.DateField("valid from")

    class Meta:
        ordering = ["from_day", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(family__isnull=True) | Q(kind=""), name="rate_of_one_scope"),
            models.CheckConstraint(
                condition=~Q(what="hourly") | Q(family__isnull=True, kind=""), name="hourly_rate_of_the_shop"
            ),
            models.CheckConstraint(condition=Q(operation="") | Q(what="price"), name="operation_of_a_price"),
        ]
        indexes = [models.Index(fields=["kind", "family"])]
