"""Bills and credit notes: numbered without gap, never changed. Amounts are whole minor units, taken as they were."""

from django.db import models

from regrind.record.models import Batch, Customer, Line
from regrind.shop.history.triggers import guard
from regrind.shop.models import EventRow

# The codes of UNCL5305 that EN 16931 uses for value added tax (BT-118, BT-151).
TAXES = [
    ("S", "standard rate"),
    ("Z", "zero rate"),
    ("E", "exempt"),
    ("AE", "reverse charge"),
    ("K", "supply within the European Union"),
    ("G", "export, tax not charged"),
    ("O", "outside the scope of tax"),
]


class BillTerms(EventRow):
    """How bills are made: the shop's own row, and one of a customer where something differs; of several the newest.

    tax_milli: the rate in thousandths of a per cent. tax_number: the shop's, or the customer's. An empty category,
    or no days, of a customer is the shop's.
    """

    customer = models.ForeignKey(Customer, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    tax = models.CharField(max_length=2, choices=TAXES, blank=True)
    tax_milli = models.PositiveIntegerField(default=0)
    tax_reason = models.CharField("why no tax is charged", max_length=200, blank=True)
    tax_number = models.CharField(max_length=40, blank=True)
    due_days = models.PositiveSmallIntegerField(null=True, blank=True)
    pay_to = models.CharField(max_length=300, blank=True)


class BillSeries(models.Model):
    """The last number of a series. Its row is locked while a bill is made, so that no number is left out or twice."""

    series = models.CharField(max_length=2, unique=True)
    last = models.PositiveIntegerField(default=0)


class Bill(EventRow):
    """A bill, or a credit note for one. seller, buyer: name and address as they were, a line each."""

    series = models.CharField(max_length=2, choices=[("B", "bill"), ("C", "credit note")])
    number = models.PositiveIntegerField()
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="bills")
    credits_bill = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="credit_notes")
    day = models.DateField()
    due = models.DateField(null=True)
    currency = models.CharField(max_length=3)
    seller = models.TextField()
    seller_tax_number = models.CharField(max_length=40, blank=True)
    buyer = models.TextField()
    buyer_contact = models.CharField(max_length=120, blank=True)
    # The parts of the buyer's address that an e-invoice names apart.
    buyer_street = models.CharField(max_length=200, blank=True)
    buyer_postcode = models.CharField(max_length=20, blank=True)
    buyer_town = models.CharField(max_length=80, blank=True)
    buyer_country = models.CharField(max_length=2, blank=True)
    buyer_tax_number = models.CharField(max_length=40, blank=True)
    pay_to = models.CharField(max_length=300, blank=True)
    note = models.CharField(max_length=500, blank=True)
    net_minor = models.PositiveBigIntegerField()
    tax = models.CharField(max_length=2, choices=TAXES)
    tax_milli = models.PositiveIntegerField(default=0)
    tax_reason = models.CharField(max_length=200, blank=True)
    tax_minor = models.PositiveBigIntegerField()
    total_minor = models.PositiveBigIntegerField()

    class Meta:
        ordering = ["-pk"]
        constraints = [models.UniqueConstraint(fields=["series", "number"], name="one_bill_a_number")]
        indexes = [models.Index(fields=["customer", "day"])]

    def __str__(self) -> str:
        return f"{self.series}-{self.number}"


class BillLine(EventRow):
    """One line of a bill, or of a credit note: then `credits_line` is the line that it takes back from."""

    bill = models.ForeignKey(Bill, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="+")
    line = models.ForeignKey(Line, null=True, on_delete=models.PROTECT, related_name="+")
    credits_line = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="credits")
    item = models.CharField(max_length=12)  # price, an item beside the regrind, rush, least
    words = models.CharField(max_length=300)
    pieces = models.PositiveIntegerField()
    each_minor = models.PositiveIntegerField()
    minor = models.PositiveBigIntegerField()

    class Meta:
        ordering = ["bill", "position"]
        constraints = [models.UniqueConstraint(fields=["bill", "position"], name="one_bill_line_a_position")]

    @property
    def counted(self) -> bool:
        """Whether it is charged by the piece: rush and the batch minimum are of the whole box, and a credit of a part
        of its line is an amount."""
        partly = self.credits_line is not None and self.minor != self.credits_line.minor
        return self.item not in ("rush", "least") and not partly


class BillParcel(EventRow):
    """A parcel on its bill; no parcel is billed twice."""

    bill = models.ForeignKey(Bill, on_delete=models.PROTECT, related_name="parcels")
    parcel = models.OneToOneField("office.Parcel", on_delete=models.PROTECT, related_name="+")


class BillPayment(EventRow):
    """Money that came for a bill."""

    bill = models.ForeignKey(Bill, on_delete=models.PROTECT, related_name="payments")
    day = models.DateField()
    minor = models.PositiveBigIntegerField()
    how = models.CharField(max_length=120, blank=True)


class BillExport(EventRow):
    """Which columns the books of this shop take; of several the newest. columns: a line each, `Title = field`."""

    rows = models.CharField(
        max_length=4, choices=[("bill", "one row for each bill"), ("line", "one row for each line")]
    )
    columns = models.TextField(max_length=4000)


guard("office.BillSeries", may_change=True)
for _model in (BillTerms, Bill, BillLine, BillParcel, BillPayment, BillExport):
    guard(_model._meta.label, may_change=False, sealed=_model in (Bill, BillLine, BillPayment))
