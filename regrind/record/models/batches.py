from django.db import models
from django.utils import timezone

from regrind.shop.fields.lengths import LengthField
from regrind.shop.models import EventRow, Person

from ..dimension_words import name_tools
from ..holes import LONGEST, MOST_HOLES, read_hole_text, read_hole_texts
from .customers import Customer
from .families import Family


class Batch(models.Model):
    """One customer's box."""

    number = models.PositiveIntegerField(unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="batches")
    order_number = models.CharField("their order number", max_length=60, blank=True, db_index=True)
    their_count = models.PositiveIntegerField("their count", null=True, blank=True)
    difference = models.CharField("who agreed the difference", max_length=200, blank=True)
    due = models.DateField("due date", null=True, blank=True)
    rush = models.BooleanField(default=False)
    note = models.TextField(max_length=5000, blank=True)
    received_at = models.DateTimeField(default=timezone.now)
    received_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    cancelled = models.CharField("why it was cancelled", max_length=200, blank=True)
    closed = models.BooleanField(
        default=False
    )  # every piece has left, been recycled or is named missing; or it was cancelled

    class Meta:
        verbose_name_plural = "batches"
        ordering = ["-number"]
        indexes = [
            models.Index(fields=["due"], condition=models.Q(closed=False), name="open_batches"),
            models.Index(fields=["customer", "received_at"]),
            models.Index(fields=["customer", "number"]),
        ]

    def __str__(self) -> str:
        return f"{self.number}"


class Line(models.Model):
    """Like tools in one batch: the unit of work."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="lines")
    number = models.PositiveSmallIntegerField()
    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="lines")
    wording = models.CharField("as it was worded", max_length=200, blank=True)
    customer_tool_number = models.CharField("their tool number", max_length=60, blank=True, db_index=True)
    matched = models.BooleanField("keep matched", default=False)
    match_tolerance_nm = LengthField("matched within", null=True, blank=True)
    check_every = models.PositiveSmallIntegerField("check every nth", default=5)
    tolerance_nm = LengthField("tolerance on the diameter, ±", default=12_700)  # .0005 in
    smallest_nm = LengthField("smallest diameter, this line", null=True, blank=True)
    shortest_nm = LengthField("shortest usable length, this line", null=True, blank=True)
    runout_limit_nm = LengthField("largest runout, this line", null=True, blank=True)
    chamfer_nm = LengthField("corners may be clipped, this line, up to", null=True, blank=True)
    other_radius_nm = LengthField("another corner radius that will do", null=True, blank=True)
    hole_depth_nm = LengthField("deepest hole that is drilled", null=True, blank=True)
    oversize_nm = LengthField("hole larger than the drill, at most", null=True, blank=True)
    hole = models.CharField("hole that is reamed", max_length=LONGEST, blank=True)
    smaller_holes = models.CharField("smaller holes that will do", max_length=MOST_HOLES * LONGEST, blank=True)
    narrowest_nm = LengthField("least width, this line", null=True, blank=True)
    gullet_limit_nm = LengthField("least depth of the gullets, this line", null=True, blank=True)
    reach_limit_nm = LengthField("least reach below the neck, this line", null=True, blank=True)
    thickness_limit_nm = LengthField("least thickness of a tooth, this line", null=True, blank=True)
    unit_price_minor = models.PositiveIntegerField("price a piece", null=True, blank=True)
    price_since = models.DateField(null=True, blank=True)
    price_why = models.CharField("why this price", max_length=200, blank=True)
    # Who set it by hand; none where it is the price list's.
    price_by = models.ForeignKey(Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    note = models.TextField(max_length=2000, blank=True)
    # JSON by the names of Family's columns, see record.line_dimensions; `stated` is "" where the family says it all.
    stated = models.TextField("stated on this line", blank=True)
    confirmed = models.TextField("confirmed for this line", blank=True)

    class Meta:
        ordering = ["batch", "number"]
        constraints = [models.UniqueConstraint(fields=["batch", "number"], name="one_line_number_a_batch")]

    def __str__(self) -> str:
        return f"{self.batch.number}-{self.number}"

    @property
    def words(self) -> str:
        return str(self)

    @property
    def tools(self) -> str:
        """What its tools are, what is only assumed named as such; metric sizes in mm, others in inches."""
        return name_tools(self, "in")

    def smallest_diameter_nm(self) -> int | None:
        """The line's own smallest diameter, else what the customer's terms make of its nominal size; nm or None."""
        smallest: int | None = self.smallest_nm
        if smallest is not None:
            return smallest
        return self.batch.customer.smallest_diameter_nm(self.family.nominal_nm)

    def shortest_usable_nm(self) -> int | None:
        shortest: int | None = self.shortest_nm if self.shortest_nm is not None else self.batch.customer.shortest_nm
        return shortest

    def widest_chamfer_nm(self) -> int | None:
        """How wide a 45° clip of the corner the customer takes: the line's own, else of the terms; nm or None."""
        widest: int | None = self.chamfer_nm if self.chamfer_nm is not None else self.batch.customer.chamfer_nm
        return widest

    def holds_smallest(self) -> bool:
        """Whether its smallest diameter says anything: not of a thread, nor where a hole decides and the line has none
        of its own."""
        limited = "smallest" in self.family.kind_data.limits
        return limited and (self.smallest_nm is not None or not self.hole_words())

    def hole_words(self) -> str:
        """The hole as it is written: the line's own, else of the terms where its tools ream; '' for none."""
        return self.hole or (self.batch.customer.hole if self.family.kind_data.reams else "")

    def hole_to_ream(self) -> dict[str, str] | None:
        """The hole as the plan's case has it: the line's own, else of the terms. Raises Refused where it is none."""
        text = self.hole or self.batch.customer.hole
        return read_hole_text(text, self.family.nominal_nm, self.batch.customer.unit) if text else None

    def smaller_holes_to_ream(self) -> list[dict[str, str]]:
        """The holes that the customer would take instead. Raises Refused where one is none."""
        return read_hole_texts(self.smaller_holes, self.family.nominal_nm, self.batch.customer.unit)

    def most_runout_nm(self) -> int | None:
        """The largest runout that the customer takes: the line's own, else of the terms; nm or None."""
        limit: int | None = self.runout_limit_nm
        return limit if limit is not None else self.batch.customer.runout_limit_nm


class LineChange(EventRow):
    """A line split, merged, recounted or changed in kind; insert-only, in words and numbers."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="changes")
    kind = models.CharField(max_length=12)  # split, merged, recounted, kind, matched, moved, customer
    description = models.CharField(max_length=300)


class LineMove(EventRow):
    """The number that a line had in another batch before it was moved; insert-only. Old tags still find it."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="moves")
    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="+")
    number = models.PositiveSmallIntegerField()

    class Meta:
        indexes = [models.Index(fields=["batch", "number"])]


class OwnerChange(EventRow):
    """A line's tools turned out to be another customer's; insert-only. was: whose they were taken to be until then."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="owner_changes")
    was = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")


class ForeignItem(EventRow):
    """Something in the box that is not theirs, or not a tool; insert-only."""

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="foreign_items")
    description = models.CharField(max_length=200)
