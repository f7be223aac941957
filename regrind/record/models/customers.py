from django.db import models

from regrind.geometry.units import Unit
from regrind.shop.fields.lengths import LengthField
from regrind.shop.models import UNITS


class Customer(models.Model):
    """Who sends tools, and on what terms they want them back."""

    name = models.CharField(max_length=120, unique=True)
    unit: "models.CharField[Unit, Unit]" = models.CharField("preferred unit", max_length=2, choices=UNITS, default="in")
    decimal_mark = models.CharField(
        "numbers on their papers",
        max_length=1,
        default=".",
        choices=[(".", "decimal point: 6.350 mm, 1,234.50"), (",", "decimal comma: 6,350 mm, 1 234,50")],
    )
    note = models.TextField(max_length=2000, blank=True)
    active = models.BooleanField(default=True)

    # Terms. A length left empty is no term.
    smallest_nm = LengthField("smallest diameter", null=True, blank=True)
    under_nm = LengthField("no more than this under nominal", null=True, blank=True)
    under_basis_points = models.PositiveIntegerField("no more than this share under nominal", null=True, blank=True)
    step_nm = LengthField("keep on steps of", null=True, blank=True)
    shortest_nm = LengthField("shortest usable length", null=True, blank=True)
    runout_limit_nm = LengthField("largest runout", null=True, blank=True)
    chamfer_nm = LengthField("corners may be clipped, up to", null=True, blank=True)
    hole = models.CharField("holes are reamed to", max_length=8, blank=True)
    keep = models.CharField(
        max_length=10,
        blank=True,
        choices=[("", "whatever loses least"), ("diameter", "keep the diameter"), ("length", "keep the length")],
    )
    always_ask = models.BooleanField("always ask before grinding", default=False)
    never_scrap_unasked = models.BooleanField("never scrap without asking", default=False)
    scrap = models.CharField(
        "scrap is", max_length=10, default="return", choices=[("return", "returned"), ("recycle", "recycled here")]
    )
    prices_on_slip = models.BooleanField("prices on the packing slip", default=False)
    regrinds_left_on_report = models.BooleanField("regrinds left on the report", default=False)
    batch_minimum_minor = models.PositiveIntegerField("batch minimum", default=0)
    rush_charge_minor = models.PositiveIntegerField("rush charge", default=0)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def smallest_diameter_nm(self, nominal_nm: int | None) -> int | None:
        """The smallest diameter these terms allow for a tool of this nominal diameter, in nm; None without a term."""
        floors = [self.smallest_nm]
        if nominal_nm is not None and self.under_nm is not None:
            floors.append(nominal_nm - self.under_nm)
        if nominal_nm is not None and self.under_basis_points is not None:
            floors.append(nominal_nm - nominal_nm * self.under_basis_points // 10_000)
        return max((f for f in floors if f is not None), default=None)
