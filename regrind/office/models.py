"""Parcels that left the shop, and the papers that were issued. Every row is insert-only."""

from pathlib import Path

from django.conf import settings
from django.db import models
from django.utils import timezone

from regrind.record.models import Batch, Line, Piece
from regrind.shop.fields.weights import show_weight
from regrind.shop.files.file_references import register_files
from regrind.shop.history.triggers import guard
from regrind.shop.models import EventRow, Person
from regrind.shop.owner.settings import shop_settings

from .bill_models import Bill, BillExport, BillLine, BillParcel, BillPayment, BillSeries, BillTerms
from .charge_models import FixedPrice, FixedTerms, LineExtra
from .mail_models import Mail
from .quote_models import Quote, QuoteAnswer, QuoteItem, QuoteLink, QuoteLinkEnd, QuotePhoto, QuotePiece
from .tool_code_models import ToolCode

__all__ = [
    "Bill",
    "BillExport",
    "BillLine",
    "BillParcel",
    "BillPayment",
    "BillSeries",
    "BillTerms",
    "FixedPrice",
    "FixedTerms",
    "IssuedPaper",
    "LineExtra",
    "Mail",
    "Parcel",
    "ParcelPiece",
    "Quote",
    "QuoteAnswer",
    "QuoteItem",
    "QuoteLink",
    "QuoteLinkEnd",
    "QuotePhoto",
    "QuotePiece",
    "ToolCode",
    "file_of",
]


class Parcel(EventRow):
    """Pieces that were sent in one parcel."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveSmallIntegerField()
    note = models.CharField(max_length=300, blank=True)
    carrier = models.CharField(max_length=60, blank=True)
    tracking = models.CharField("tracking number", max_length=60, blank=True)
    weight_g = models.PositiveIntegerField("weight in grams", null=True, blank=True)
    # Where it went, below the customer's name, as it was when it left; a line each.
    address = models.TextField(max_length=600, blank=True)

    class Meta:
        ordering = ["batch", "number"]
        constraints = [models.UniqueConstraint(fields=["batch", "number"], name="one_parcel_a_number")]

    def __str__(self) -> str:
        return f"{self.batch.number}/{self.number}"

    @property
    def weight(self) -> str:
        """`2.50 lb` or `1.134 kg`, by the shop's unit; '' where nobody weighed it."""
        return "" if self.weight_g is None else show_weight(self.weight_g, shop_settings().unit)

    @property
    def carried(self) -> str:
        """`Carrier Norddal, tracking number 00340434, weight 2.50 lb`; '' where nothing is recorded."""
        parts = (("carrier", self.carrier), ("tracking number", self.tracking), ("weight", self.weight))
        words = ", ".join(f"{name} {value}" for name, value in parts if value)
        return words[:1].upper() + words[1:]


class ParcelPiece(EventRow):
    parcel = models.ForeignKey(Parcel, on_delete=models.PROTECT, related_name="pieces")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["parcel", "piece"], name="once_in_a_parcel")]


class IssuedPaper(models.Model):
    """A paper as it was issued: its snapshot, and the hash of the PDF kept in the papers folder."""

    kind = models.CharField(
        max_length=12,
        choices=[
            ("job_sheet", "job sheet"),
            ("label", "label"),
            ("tag", "arrival tag"),
            ("report", "returned-tool report"),
            ("slip", "packing slip"),
            ("address", "address label"),
            ("coater", "order to a coater"),
            ("setup_card", "setup card"),
            ("bill", "bill"),
            ("credit", "credit note"),
            ("quote", "quote"),
        ],
    )
    number = models.CharField(max_length=40)  # "417", "417-3", "417-3-7", "417/2", "B-12"
    revision = models.PositiveSmallIntegerField()
    batch = models.ForeignKey(Batch, null=True, on_delete=models.PROTECT, related_name="+")  # none of a bill
    line = models.ForeignKey(Line, null=True, on_delete=models.PROTECT, related_name="+")
    piece = models.ForeignKey(Piece, null=True, on_delete=models.PROTECT, related_name="+")
    snapshot = models.TextField()
    sha256 = models.CharField(max_length=64)
    pages = models.PositiveSmallIntegerField()
    issued_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-issued_at"]
        constraints = [models.UniqueConstraint(fields=["kind", "number", "revision"], name="one_paper_a_revision")]


def file_of(sha256: str) -> Path:
    """The path of the PDF of an issued paper."""
    return Path(settings.PAPERS) / f"{sha256}.pdf"


for _model in (Parcel, ParcelPiece, IssuedPaper):
    guard(_model._meta.label, may_change=False)
register_files("office.IssuedPaper", file_of)
