"""What the bench measured, planned, ground and checked. Every row is insert-only: a correction is a new revision."""

from functools import cached_property
from typing import cast

from django.db import models

from regrind.record.kinds import name_part
from regrind.record.models import Line, Piece
from regrind.shop.fields.lengths import LengthField
from regrind.shop.files import photos
from regrind.shop.files.file_references import register_files
from regrind.shop.history.triggers import guard
from regrind.shop.models import EventRow, Gauge, Wheel, WorkHolding

from .coater_models import CoaterPiece as CoaterPiece  # these three for every importer of the bench's models
from .coater_models import CoaterSlip as CoaterSlip
from .kinds.measures import BY_TOOTH
from .photographs.models import Photo as Photo

METHODS = [("micrometer", "micrometer"), ("v-anvil", "V-anvil"), ("swept", "swept")]
DIAMETER_PLACES = [("unworn", "where the edge is unworn"), ("worn", "over the worn edge")]
WEAR_LAND_WAYS = [("square", "square to the edge"), ("cutting", "in the cutting direction")]
CENTRE_CUTTING = [("yes", "yes"), ("no", "no")]
UNMEASURABLE = [("broken_off", "broken off"), ("worn_through", "worn through"), ("cracked", "cracked")]
BY_EYE = ("by_eye", "judged by eye")  # nothing was measured: it was asked about or sent back at once
EACH_TOOTH = ("tooth", "end_tooth")  # read tooth by tooth: round the sides, and at the end
WHEEL_TURNS = [
    ("onto_rest", "presses the edge onto the stylus"),
    ("into_edge", "reversed, into the edge"),
    ("", "not recorded"),
]


class PieceRevision(EventRow):
    """What every row about a piece carries. (piece, revision) is unique: two tablets clash instead of overwriting."""

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="+")
    revision = models.PositiveSmallIntegerField()
    # "As first piece": nothing was read on this piece; the row of the piece that was is named here.
    copied_from = models.ForeignKey("self", null=True, blank=True, on_delete=models.PROTECT, related_name="others")
    copied_from_id: int | None

    class Meta:
        abstract = True
        ordering = ["piece", "revision"]
        constraints = [models.UniqueConstraint(fields=["piece", "revision"], name="one_%(class)s_a_revision")]


class MeasuredRow(PieceRevision):
    """A row whose measurements are its readings and nowhere else; `fetch_readings` fetches those of many rows."""

    reading_key = ""  # the reading's foreign key to rows of this kind

    class Meta(PieceRevision.Meta):
        abstract = True

    @cached_property
    def readings(self) -> "dict[str, Reading]":
        """Its readings by the form's field, in the order in which they were typed."""
        return {row.field: row for row in Reading.every.filter(**{self.reading_key: self.pk}).order_by("pk")}

    def with_original(self) -> "list[MeasuredRow]":
        """The row, and the one that it follows."""
        return [self] if self.copied_from is None else [self, cast(MeasuredRow, self.copied_from)]


class LengthReading:
    """A length that was read on a row, in nm; None where nobody read it. `field`: what it is called in the form."""

    def __init__(self, field: str) -> None:
        self.field = field

    def __get__(self, row: MeasuredRow, owner: type) -> int | None:
        reading = row.readings.get(self.field)
        return None if reading is None else reading.nm


class Inspection(MeasuredRow):
    """How a piece was found before grinding. Its measurements are its readings.

    Where the damage is unmeasurable there need be no reading at all; the reason says why.
    """

    diameter_source = models.CharField(max_length=10, choices=[("measured", "measured"), ("marked", "as marked")])
    diameter_place = models.CharField(max_length=8, choices=DIAMETER_PLACES, blank=True)
    method = models.CharField(max_length=10, choices=METHODS, blank=True)
    damage = models.CharField(
        max_length=12,
        choices=[
            ("depth", "a depth"),
            ("corners", "corners only"),
            ("nothing", "no damage"),
            ("unmeasurable", "cannot be measured"),
        ],
    )
    unmeasurable_reason = models.CharField(max_length=12, choices=[*UNMEASURABLE, BY_EYE], blank=True)
    wear_land_way = models.CharField("wear lands are read", max_length=8, choices=WEAR_LAND_WAYS, blank=True)
    teeth = models.PositiveSmallIntegerField("flutes or teeth", null=True)
    relief_cdeg = models.IntegerField("primary relief, from the drop", null=True)
    drop_way = models.CharField(max_length=10, blank=True)  # tangent, land, arc, traversed
    end_relief_cdeg = models.IntegerField("end relief, from the drop", null=True)
    centre_cutting = models.CharField("cuts to the centre", max_length=3, blank=True, choices=CENTRE_CUTTING)
    observations = models.TextField(default="{}")  # JSON: the thing inspected -> what was observed
    note = models.CharField(max_length=500, blank=True)

    reading_key = "inspection"
    diameter_nm, damage_nm, reach_nm = LengthReading("diameter"), LengthReading("damage_depth"), LengthReading("reach")


def _say_ground(row: "Plan | Grind") -> str:
    """`sides and end`, `periphery and left side`."""
    return " and ".join(name_part(part) for part in row.grinds.split())


class Plan(PieceRevision):
    """What was worked out and decided for a piece: inputs, answer and the edition of the limits, as they were.

    case and answer are the canonical JSON of the headless plan (empty where the kind is not computed, or where the
    plan is another piece's: see `copied_from`). chosen: the index of the option taken.
    """

    inspection = models.ForeignKey(Inspection, null=True, on_delete=models.PROTECT, related_name="plans")
    case = models.TextField(blank=True)
    answer = models.TextField(blank=True)
    edition = models.CharField("edition of the limits", max_length=20, blank=True)
    verdict = models.CharField(max_length=10, blank=True)
    chosen = models.PositiveSmallIntegerField(null=True)
    decision = models.CharField(
        max_length=10, choices=[("grind", "grind"), ("ask", "ask the customer"), ("not_ground", "not ground")]
    )
    result = models.CharField(max_length=20, blank=True)  # returned_unground or scrap, where it is not ground
    reason = models.CharField(max_length=300, blank=True)
    diameter_nm = LengthField("diameter to grind to", null=True)
    cut_back_nm = LengthField("cut-back", null=True)
    usable_nm = LengthField("usable length after", null=True)
    regrinds_left = models.PositiveSmallIntegerField(null=True)
    grinds = models.CharField("what is ground", max_length=60, blank=True)  # "sides end", "face", "point"
    ground_words = property(_say_ground)


class Grind(PieceRevision):
    """What was ground on a piece, how and by whom."""

    plan = models.ForeignKey(Plan, null=True, on_delete=models.PROTECT, related_name="ground")
    setup = models.CharField(max_length=24, db_index=True)  # pieces ground in one setup share this
    grinds = models.CharField("what was ground", max_length=60)
    ground_words = property(_say_ground)
    wheel = models.ForeignKey(Wheel, null=True, on_delete=models.PROTECT, related_name="+")
    holding = models.ForeignKey(WorkHolding, null=True, on_delete=models.PROTECT, related_name="+")
    roughing = models.CharField("wheel when roughing", max_length=10, choices=WHEEL_TURNS, blank=True)
    finishing = models.CharField("wheel when finishing", max_length=10, choices=WHEEL_TURNS, blank=True)
    infeed_radial_nm = LengthField("infeed taken, radial", null=True)
    end_taken_nm = LengthField("taken off the end", null=True)
    end_first = models.BooleanField("end finished before the sides", default=False)
    gashed = models.BooleanField("end gashed again", null=True)
    # This piece's share of the setup's minutes, in hundredths, so that the shares add up to the setup's.
    minutes_hundredths = models.PositiveIntegerField(default=0)
    note = models.CharField(max_length=500, blank=True)


class FinalCheck(MeasuredRow):
    """What a piece measured when it was done, and whether it was released."""

    grind = models.ForeignKey(Grind, null=True, on_delete=models.PROTECT, related_name="checks")
    in_full = models.BooleanField(default=True)  # False: the diameter alone
    method = models.CharField(max_length=10, choices=METHODS, blank=True)
    relief_cdeg = models.IntegerField("primary relief, from the drop", null=True)
    drop_way = models.CharField(max_length=10, blank=True)  # tangent, land, arc, traversed
    corner = models.CharField(
        max_length=12,
        blank=True,
        choices=[
            ("sharp", "sharp"),
            ("broken", "broken"),
            ("re-formed", "radius re-formed"),
            ("clipped", "clipped at 45°"),
            ("now square", "now square"),
            ("as it was", "as it was"),
        ],
    )
    coating = models.CharField("coating as it is now", max_length=60, blank=True)
    witness = models.CharField("witness marks left", max_length=200, blank=True)
    findings = models.TextField(default="[]")  # what was compared with plan, tolerance and terms, as JSON
    passed = models.BooleanField()
    sent_back = models.CharField("why sent back", max_length=300, blank=True)
    released_because = models.CharField("why released outside a limit", max_length=300, blank=True)
    note = models.CharField(max_length=500, blank=True)

    reading_key = "final_check"
    diameter_nm, back_diameter_nm = LengthReading("diameter"), LengthReading("back_diameter")
    drop_nm, drop_over_nm = LengthReading("drop"), LengthReading("drop_over")
    runout_sides_nm, runout_end_nm = LengthReading("runout_sides"), LengthReading("runout_end")
    overall_nm, usable_nm, corner_nm = LengthReading("overall"), LengthReading("usable"), LengthReading("corner_size")

    lip_height_nm, width_nm = LengthReading("lip_height"), LengthReading("width")
    chamfer_length_nm = LengthReading("chamfer_length")

    @property
    def point_angle_cdeg(self) -> int | None:
        reading = self.readings.get("point_angle")
        return None if reading is None else reading.cdeg


class Reading(EventRow):
    """One reading: its value, the text as typed, and its gauge with resolution and calibration as they were.

    The one place where a measurement is stored; insert-only. tooth, mark: where on the tool, 0 where it is of the whole
    tool or nobody knows. The deepest damage and its reach name their tooth where it is known. A mark is a few readings
    of one number: from where, to where, how deep; each names its tooth and the kind of damage.
    """

    inspection = models.ForeignKey(Inspection, null=True, on_delete=models.PROTECT, related_name="+", db_index=False)
    final_check = models.ForeignKey(FinalCheck, null=True, on_delete=models.PROTECT, related_name="+", db_index=False)
    quantity = models.CharField(max_length=40)
    tooth = models.PositiveSmallIntegerField(default=0)
    mark = models.PositiveSmallIntegerField(default=0)
    description = models.CharField("kind of damage", max_length=40, blank=True)
    nm = LengthField(null=True)
    cdeg = models.IntegerField(null=True)
    text = models.CharField("as typed", max_length=64)
    unit = models.CharField(max_length=8)
    gauge = models.ForeignKey(Gauge, null=True, on_delete=models.PROTECT, related_name="+")
    gauge_name = models.CharField(max_length=60, blank=True)
    resolution_nm = LengthField(null=True)
    uncertainty_nm = LengthField(null=True)
    calibration = models.CharField(max_length=60, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(inspection__isnull=True) ^ models.Q(final_check__isnull=True), name="reading_of_one"
            ),
            models.CheckConstraint(
                condition=models.Q(nm__isnull=True) ^ models.Q(cdeg__isnull=True), name="length_or_angle"
            ),
            models.UniqueConstraint(
                fields=["inspection", "quantity", "mark", "tooth"],
                name="read_once_at_inspection",
                condition=models.Q(inspection__isnull=False),
            ),
            models.UniqueConstraint(
                fields=["final_check", "quantity", "mark", "tooth"],
                name="read_once_at_check",
                condition=models.Q(final_check__isnull=False),
            ),
        ]

    @property
    def field(self) -> str:
        """The field of the form that it is typed in."""
        return field_of(self.quantity, self.tooth, self.mark)


def field_of(quantity: str, tooth: int = 0, mark: int = 0) -> str:
    """`diameter`; of a tooth its runout `tooth_3`, its lag at the end `end_tooth_3`, its mark `rim_depth_3`; of a mark
    `mark_2_depth`; else the quantity alone."""
    if mark:
        return f"mark_{mark}_{quantity}"
    of_tooth = quantity in EACH_TOOTH or (tooth and quantity in BY_TOOTH)
    return f"{quantity}_{tooth}" if of_tooth else quantity


class CommonSize(EventRow):
    """The size or two sizes that a line's pieces leave at, as the bench took them; insert-only, newest counts."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="+")
    revision = models.PositiveSmallIntegerField()
    sizes = models.TextField()  # JSON: sizes in nm with their pieces, those left out and why

    class Meta:
        constraints = [models.UniqueConstraint(fields=["line", "revision"], name="one_common_size_a_revision")]


for _model in (Inspection, Plan, Grind, FinalCheck, CommonSize, Photo):
    guard(_model._meta.label, may_change=False)
guard("bench.Reading", may_change=False, sealed=True)
register_files("bench.Photo", photos.path_of)
