from django.db import models

from regrind.shop.models import EventRow

from .pieces import Piece

OUTCOMES = [("ground", "ground again free"), ("credited", "credited"), ("refused", "refused")]
# What it came from: common practice, coarse enough to be counted.
CAUSES = [
    ("size", "size or length not as agreed"),
    ("edge", "edge, relief or finish"),
    ("runout", "runout"),
    ("overlooked", "damage that was overlooked"),
    ("parcel", "damaged in the parcel"),
    ("mixed", "mixed up: wrong tool or label"),
    ("use", "how it was used"),
    ("nothing", "nothing wrong with it"),
]


class ComplaintEnd(EventRow):
    """How a complaint ended, and what it came from; insert-only, of several the newest counts."""

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="complaint_ends")
    outcome = models.CharField(max_length=10, choices=OUTCOMES)
    cause = models.CharField(max_length=12, choices=CAUSES)
    note = models.CharField(max_length=300, blank=True)
