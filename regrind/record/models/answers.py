from django.db import models

from regrind.shop.models import EventRow

from .batches import Line
from .pieces import Piece

WAYS = [("phone", "phone"), ("mail", "mail"), ("here", "in person"), ("link", "on the quote's page")]


class Answer(EventRow):
    """What the customer said when asked; insert-only."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="answers")
    who = models.CharField("who answered", max_length=120)
    how = models.CharField(max_length=10, choices=WAYS)
    agreed = models.CharField("what was agreed", max_length=500)
    decision = models.CharField(
        max_length=20, choices=[("grind", "grind"), ("returned_unground", "return unground"), ("scrap", "scrap")]
    )


class AnswerPiece(EventRow):
    """A piece that an answer speaks of; insert-only."""

    answer = models.ForeignKey(Answer, on_delete=models.PROTECT, related_name="pieces")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="answers")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["answer", "piece"], name="answered_once")]
