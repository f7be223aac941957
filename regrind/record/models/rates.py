from django.db import models
from django.db.models import Q

from regrind.shop.fields.lengths import LengthField
from regrind.shop.models import EventRow

from ..kinds import CHOICES
from .customers import Customer
from .families import Family

# What the price list holds, beside the prices of regrinds: each is charged by the piece, rush and least by the box.
EXTRAS = [
    ("corner", "corner or ball re-formed"),
    ("gash", "end gashed again"),
    ("coating", "coating sent out"),
    ("inspection", "inspection, where not ground"),
    ("rush", "rush, a box"),
    ("least", "least charge of a box"),
    ("discount", "discount"),
]
WHATS = [
    ("price", "price of a regrind"),
    *EXTRAS,
    ("hourly", "hourly rate"),
    ("wheel", "wheel cost of a regrind"),
    ("new", "price of a new tool"),
    ("life", "regrinds that a new tool takes"),
]

LIMITS = ("customer", "over_nm", "up_to_nm", "teeth_from", "teeth_to")


class Rate(EventRow):
    """What something costs or brings from a day on; insert-only, so that old visits keep theirs.

    It holds for a family, else for a kind, else for the whole shop; within a kind or the shop for a band of diameters
    and of teeth, and for one customer where it is that customer's own. `operation` is what is ground ("sides end"),
    empty for whatever it is. `amount` is in minor units, for `life` a count, for `discount` hundredths of a per cent;
    None takes back what was said, so that the wider one holds from that day. Of two for one day the later entered
    counts.
    """

    what = models.CharField(max_length=12, choices=WHATS)
    family = models.ForeignKey(Family, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=12, choices=CHOICES, blank=True)
    customer = models.ForeignKey(Customer, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    over_nm = LengthField("diameter over", null=True, blank=True)
    up_to_nm = LengthField("diameter up to", null=True, blank=True)
    teeth_from = models.PositiveSmallIntegerField(null=True, blank=True)
    teeth_to = models.PositiveSmallIntegerField(null=True, blank=True)
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
            models.CheckConstraint(  # the sums of the past are priced with these: by family, kind or shop alone
                condition=~Q(what__in=("wheel", "new")) | Q(**dict.fromkeys(LIMITS, None)), name="cost_without_a_band"
            ),
        ]
        indexes = [models.Index(fields=["kind", "family"])]
