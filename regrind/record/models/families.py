from django.db import models

from regrind.geometry.units import Unit
from regrind.shop.fields.lengths import LengthField
from regrind.shop.models import EventRow

from ..kinds import CHOICES, KINDS, Kind
from ..names import size_name

HANDS = [("right", "right"), ("left", "left")]
TAP_FLUTES = [
    ("straight flutes", "straight flutes"),
    ("spiral point", "spiral point"),
    ("spiral flutes", "spiral flutes"),
]


class Family(models.Model):
    """Like tools, whoever owns them. A property that nobody gave stays unknown and never makes a second family."""

    kind = models.CharField(max_length=12, choices=CHOICES)
    nominal_nm = LengthField("nominal diameter", null=True, blank=True)
    teeth = models.PositiveSmallIntegerField(null=True, blank=True)
    material = models.CharField(
        max_length=12,
        blank=True,
        choices=[
            ("carbide", "carbide"),
            ("HSS", "HSS"),
            ("HSS-Co", "HSS-Co"),
            ("tipped", "carbide tipped"),
            ("indexable", "indexable inserts"),
        ],
    )
    coating = models.CharField(max_length=20, blank=True)
    thread = models.CharField(max_length=24, blank=True)
    tap_flutes = models.CharField("flutes of a tap", max_length=16, blank=True, choices=TAP_FLUTES)
    helix_cdeg = models.IntegerField("helix", null=True, blank=True)  # hundredths of a degree
    corner_radius_nm = LengthField("corner radius", null=True, blank=True)
    maker = models.CharField("maker's mark", max_length=60, blank=True)
    catalogue = models.CharField("catalogue number", max_length=60, blank=True)
    shank_nm = LengthField("shank diameter", null=True, blank=True)
    flute_length_nm = LengthField("flute length", null=True, blank=True)
    overall_nm = LengthField("overall length", null=True, blank=True)
    hand_of_cut = models.CharField(max_length=5, choices=HANDS, default="right")
    hand_of_helix = models.CharField(max_length=5, choices=HANDS, default="right")
    unequal_index = models.BooleanField(default=False)

    # The geometry it had when new, where known.
    core_nm = LengthField("core diameter", null=True, blank=True)
    rake_cdeg = models.IntegerField("radial rake", null=True, blank=True)
    primary_relief_cdeg = models.IntegerField("primary relief", null=True, blank=True)
    secondary_relief_cdeg = models.IntegerField("secondary relief", null=True, blank=True)
    primary_land_nm = LengthField("primary land", null=True, blank=True)
    face_arc_nm = LengthField("radius of the flute face", null=True, blank=True)
    point_angle_cdeg = models.IntegerField("point angle", null=True, blank=True)

    merged_into = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="merged")

    class Meta:
        verbose_name_plural = "families"
        ordering = ["kind", "nominal_nm", "teeth"]
        indexes = [models.Index(fields=["kind", "nominal_nm", "teeth"])]

    def __str__(self) -> str:
        return self.name("in")

    @property
    def kind_data(self) -> Kind:
        return KINDS[self.kind]

    def name(self, unit: Unit) -> str:
        """In one line: `1/4 in, 3 flutes, end mill, square, carbide, AlTiN`; what is unknown or usual is left out.

        unit: the reader's.
        """
        parts = [self.thread or size_name(self.nominal_nm, unit)]
        if self.teeth:
            parts.append(self.kind_data.count_teeth(self.teeth))
        parts += [text for text in (self.kind_data.name, self.tap_flutes, self._angle()) if text]
        if self.corner_radius_nm and self.kind_data.corner == "radius":
            parts.append(f"R {size_name(self.corner_radius_nm, unit)}")
        parts += [text for text in (self.material, self.coating) if text]
        if self.helix_cdeg is not None:
            parts.append(f"{self.helix_cdeg / 100:g}°")
        parts += [words for words, is_so in self._oddities() if is_so]
        parts += [text for text in (self.maker, self.catalogue) if text]
        return ", ".join(parts)

    def _angle(self) -> str:
        """`included angle 90°` of a kind whose point has one."""
        angle = self.kind_data.angle
        return f"{angle} {self.point_angle_cdeg / 100:g}°" if angle and self.point_angle_cdeg else ""

    def _oddities(self) -> tuple[tuple[str, bool], ...]:
        """What a setup for the usual tool would get wrong: hands and index."""
        return (
            ("left-hand cut", self.hand_of_cut == "left"),
            ("left-hand helix", self.hand_of_helix == "left"),
            ("unequal index", self.unequal_index),
        )


class FamilyMerge(EventRow):
    """Two families said to be one; insert-only. Keeps which lines and tools went over."""

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="merges")
    into = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="taken_in")
    lines = models.TextField(default="[]")  # JSON: primary keys of what moved
    tools = models.TextField(default="[]")


class FamilyDefault(EventRow):
    """What the owner accepted for a family from its own history; insert-only, the newest of each `what` counts."""

    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="defaults")
    what = models.CharField(
        max_length=16, choices=[("finish_radial", "finish allowance, radial"), ("finish_end", "finish allowance, end")]
    )
    value_nm = LengthField("taken from now on", null=True)  # None: taken back, the shop's own holds again
    cases = models.PositiveIntegerField("regrinds it rests on")
    off_nm = LengthField("mean of real minus predicted")

    class Meta:
        indexes = [models.Index(fields=["family", "what"])]
