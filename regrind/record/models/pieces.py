from django.db import models
from django.db.models import Q

from regrind.shop.fields.lengths import LengthField
from regrind.shop.models import Event, EventRow

from .batches import Batch, Line
from .customers import Customer
from .families import Family

STATUSES = [
    ("arrived", "received"),
    ("inspected", "inspected"),
    ("waiting", "waiting for the customer"),
    ("ready_to_grind", "ready to grind"),
    ("at_coater", "at the coater"),
    ("ground", "ground"),
    ("released", "released"),
    ("left", "returned"),
    ("recycled", "recycled here"),
    ("missing", "missing"),
]
RESULTS = [
    ("", "open"),
    ("ground", "ground"),
    ("returned_unground", "returned unground"),
    ("scrap", "scrap"),
    ("missing", "missing"),
]


class Tool(models.Model):
    """One cutter that somebody wants followed over many visits, known by its life tag."""

    tag = models.CharField("life tag", max_length=6, unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="tools")
    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="tools")
    customer_number = models.CharField("customer's part number", max_length=60, blank=True, db_index=True)
    regrinds_elsewhere = models.PositiveSmallIntegerField(default=0)
    last_diameter_nm = LengthField(null=True, blank=True)

    def __str__(self) -> str:
        return self.tag


class Piece(models.Model):
    """One cutter on one visit. Its printed number never changes, even when its line is split or merged.

    The number is batch-line-piece as it arrived: `417-3-7`.
    """

    batch = models.ForeignKey(Batch, on_delete=models.PROTECT, related_name="pieces")
    original_line = models.PositiveSmallIntegerField()
    number = models.PositiveSmallIntegerField()
    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="pieces")
    tool = models.ForeignKey(Tool, null=True, blank=True, on_delete=models.PROTECT, related_name="visits")
    before_here = models.PositiveSmallIntegerField("regrinds here before", null=True, blank=True)
    before_elsewhere = models.PositiveSmallIntegerField("regrinds elsewhere before", null=True, blank=True)
    complaint_of = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="complaints")
    complaint = models.CharField("what is wrong", max_length=300, blank=True)
    status = models.CharField(max_length=16, choices=STATUSES, default="arrived")
    result = models.CharField(max_length=20, choices=RESULTS, blank=True)
    reason = models.CharField("why not ground, or why missing", max_length=300, blank=True)
    # Counts every step and every undo: a page that saw another number is not of this piece any more.
    steps_taken = models.PositiveSmallIntegerField(default=0)
    last_event = models.ForeignKey(Event, null=True, blank=True, on_delete=models.PROTECT, related_name="last_of")

    class Meta:
        ordering = ["batch", "original_line", "number"]
        constraints = [
            models.UniqueConstraint(fields=["batch", "original_line", "number"], name="one_number_a_piece"),
            models.CheckConstraint(
                condition=Q(
                    status__in=[
                        "arrived",
                        "inspected",
                        "waiting",
                        "ready_to_grind",
                        "at_coater",
                        "ground",
                        "released",
                        "left",
                        "recycled",
                        "missing",
                    ]
                ),
                name="status_known",
            ),
            models.CheckConstraint(
                condition=Q(result__in=["", "ground", "returned_unground", "scrap", "missing"]), name="result_known"
            ),
        ]
        indexes = [models.Index(fields=["line", "status"]), models.Index(fields=["status", "batch"])]

    def __str__(self) -> str:
        return f"{self.batch.number}-{self.original_line}-{self.number}"

    @property
    def short(self) -> str:
        """The number within its batch: `3-7`."""
        return f"{self.original_line}-{self.number}"

    @property
    def state_in_words(self) -> str:
        """Its status, and what is out of the ordinary: `released, returned unground`, `received, complaint`."""
        odd = [self.get_result_display()] if self.result in ("scrap", "returned_unground") else []
        return ", ".join([self.get_status_display(), *map(str, odd), *(["complaint"] if self.complaint else [])])

    @property
    def look(self) -> str:
        """The shape and colour of its state: an exception first to be seen, then what is done, in work, untouched."""
        if self.status == "missing" or self.result in ("scrap", "returned_unground"):
            return "outside"
        if self.status == "waiting" or self.complaint:
            return "close"
        if self.status in ("released", "left", "recycled"):
            return "inside"
        return "plain" if self.status == "arrived" else "neutral"


class AllowedStep(models.Model):
    """A pair of status that a piece may go between; the database refuses any other."""

    pair = models.CharField(max_length=32, primary_key=True)  # "ground>released"


class Step(EventRow):
    """A piece went from one place in the shop to another; insert-only."""

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="steps")
    number = models.PositiveSmallIntegerField()
    pair = models.ForeignKey(AllowedStep, on_delete=models.PROTECT, related_name="+")
    result = models.CharField(max_length=20, blank=True)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["piece", "number"]
        constraints = [models.UniqueConstraint(fields=["piece", "number"], name="one_step_a_number")]

    @property
    def was(self) -> str:
        return self.pair_id.split(">")[0]

    @property
    def now(self) -> str:
        return self.pair_id.split(">")[1]
