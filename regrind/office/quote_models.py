"""Quotes to customers: what was shown, its link and what was answered. Every row is insert-only."""

import json
from typing import Any

from django.db import models

from regrind.bench.models import Photo, Plan
from regrind.record.models import Answer, Batch, Line, Piece
from regrind.shop.history.triggers import guard
from regrind.shop.models import EventRow


class Quote(EventRow):
    """What was worked out for a box, with prices, as the customer is asked about it. content: JSON, see
    `quotes.content`: what is settled already, what is not inspected yet, and what is charged beside."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveSmallIntegerField()
    valid_until = models.DateField()
    note = models.CharField(max_length=500, blank=True)
    currency = models.CharField(max_length=3)
    content = models.TextField()

    class Meta:
        ordering = ["batch", "number"]
        constraints = [models.UniqueConstraint(fields=["batch", "number"], name="one_quote_a_number")]

    def __str__(self) -> str:
        return f"{self.batch.number}/{self.number}"

    @property
    def shown(self) -> dict[str, Any]:
        values: dict[str, Any] = json.loads(self.content)
        return values


class QuoteItem(EventRow):
    """Like tools of one line with their options. content: JSON, as they are shown."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="items")
    position = models.PositiveSmallIntegerField()
    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="+")
    content = models.TextField()

    class Meta:
        ordering = ["quote", "position"]
        constraints = [models.UniqueConstraint(fields=["quote", "position"], name="one_quote_item_a_position")]

    @property
    def shown(self) -> dict[str, Any]:
        values: dict[str, Any] = json.loads(self.content)
        return values


class QuotePiece(EventRow):
    """A piece that is asked about, with the plan that the quote shows; another plan since makes the quote void."""

    item = models.ForeignKey(QuoteItem, on_delete=models.PROTECT, related_name="pieces")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="+")
    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["item", "piece"]
        constraints = [models.UniqueConstraint(fields=["item", "piece"], name="once_in_a_quote_item")]


class QuotePhoto(EventRow):
    """A photo that a quote shows with one of its items."""

    item = models.ForeignKey(QuoteItem, on_delete=models.PROTECT, related_name="photos")
    photo = models.ForeignKey(Photo, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["item", "photo"]
        constraints = [models.UniqueConstraint(fields=["item", "photo"], name="one_photo_a_quote_item")]


class QuoteLink(EventRow):
    """A link to the customer's page. digest: SHA-256 of its 128 random bits, which are stored nowhere."""

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="links")
    digest = models.CharField(max_length=64, unique=True)
    ends_at = models.DateTimeField()


class QuoteLinkEnd(EventRow):
    """A link that was revoked before its end."""

    link = models.OneToOneField(QuoteLink, on_delete=models.PROTECT, related_name="revoked")
    why = models.CharField(max_length=120)


class QuoteAnswer(EventRow):
    """What was answered for one piece of a quote. link: none where somebody of the shop wrote it down. minor: what the
    regrind costs as agreed, without what is charged beside it; none where it is not ground, or had no price."""

    quote_piece = models.ForeignKey(QuotePiece, on_delete=models.PROTECT, related_name="answers")
    answer = models.ForeignKey(Answer, on_delete=models.PROTECT, related_name="+")
    link = models.ForeignKey(QuoteLink, null=True, on_delete=models.PROTECT, related_name="+")
    minor = models.PositiveIntegerField(null=True)


for _model in (Quote, QuoteItem, QuotePiece, QuotePhoto, QuoteLink, QuoteLinkEnd, QuoteAnswer):
    guard(_model._meta.label, may_change=False)
