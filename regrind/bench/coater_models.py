"""Pieces at a coater: slips and what is on them. Every row is insert-only."""

from django.db import models

from regrind.record.models import Batch, Piece
from regrind.shop.history.triggers import guard
from regrind.shop.models import EventRow


class CoaterSlip(EventRow):
    """Pieces sent out to a coater; insert-only. Their coming back is a step of each piece."""

    number = models.CharField("slip number", max_length=40)
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="+")
    coater = models.CharField(max_length=120)
    coating = models.CharField(max_length=40)
    expected = models.DateField(null=True)
    place = models.PositiveSmallIntegerField("number within the box")  # undone ones are counted too
    address = models.TextField(max_length=400, blank=True)  # the coater's, as on the order
    note = models.CharField("masking and edges", max_length=300, blank=True)
    price_minor = models.PositiveIntegerField("price agreed for all of it", null=True)

    @property
    def order(self) -> str:
        """The number of its order paper, `417/K2`."""
        return f"{self.batch.number}/K{self.place}"


class CoaterPiece(EventRow):
    """One piece on a coater's slip; insert-only."""

    slip = models.ForeignKey(CoaterSlip, on_delete=models.PROTECT, related_name="pieces")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["slip", "piece"], name="once_on_a_slip")]


for _model in (CoaterSlip, CoaterPiece):
    guard(_model._meta.label, may_change=False)
