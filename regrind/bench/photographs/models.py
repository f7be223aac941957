"""Photos as the record holds them."""

from django.db import models

from regrind.record.models import Line, Piece
from regrind.shop.models import EventRow


class Photo(EventRow):
    """A photo of a piece, or of a line's pieces together; insert-only. Its file lies under its hash.

    inspection, plan: the rows that stood for the piece when it was taken. mark: which damage mark of the inspection it
    shows, counted from 1. Where a piece of the line is not named, it shows them all. measured: what was measured on it,
    as canonical JSON: what gave the scale, all taps, the length and its uncertainty.
    """

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="photos")
    piece = models.ForeignKey(Piece, null=True, on_delete=models.PROTECT, related_name="photos")
    about = models.CharField(
        "what it shows",
        max_length=12,
        choices=[
            ("received", "as received"),
            ("damage", "the damage"),
            ("not_ground", "why it is not ground"),
            ("as_it_left", "as it leaves"),
        ],
    )
    inspection = models.ForeignKey("bench.Inspection", null=True, on_delete=models.PROTECT, related_name="photos")
    plan = models.ForeignKey("bench.Plan", null=True, on_delete=models.PROTECT, related_name="photos")
    mark = models.PositiveSmallIntegerField("damage mark", null=True)
    caption = models.CharField(max_length=120, blank=True)
    measured = models.TextField(blank=True)
    sha256 = models.CharField(max_length=64)
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]

    @property
    def subject(self) -> str:
        """Which pieces it shows."""
        return self.piece.short if self.piece else "All of the line"

    @property
    def description(self) -> str:
        """What it shows: `the damage, mark 2: into the core`."""
        mark = f", mark {self.mark}" if self.mark else ""
        return f"{self.get_about_display()}{mark}{f': {self.caption}' if self.caption else ''}"
