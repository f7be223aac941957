"""Models that every room uses: settings, registers, forms, sign-in and history."""

from datetime import date

from django.db import models
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.geometry.units import Unit
from regrind.paper.values import Page

from .event_models import CurrentEvent, Event, EventRow, not_undone
from .fields.lengths import LengthField
from .people.person import Person
from .people.session_models import PersonSession
from .people.tablet import Tablet

__all__ = [
    "CurrentEvent",
    "Draft",
    "Event",
    "EventRow",
    "Gauge",
    "History",
    "HistorySeal",
    "Person",
    "PersonSession",
    "SentForm",
    "ShopSettings",
    "SignInTry",
    "Tablet",
    "UnitChoice",
    "Wheel",
    "WorkHolding",
    "not_undone",
]

UNITS = [("in", "inch"), ("mm", "millimetre")]


USUAL_REASONS = "broken off\nunder your smallest diameter\ncracked\nworn through\nnot worth it"
UNNAMED = "Regrinding shop"


class ShopSettings(models.Model):
    """The one row of settings: letterhead, units, allowances and rates."""

    name = models.CharField("shop name", max_length=80, default=UNNAMED)
    address = models.TextField("address", blank=True, max_length=400)
    country = models.CharField("country code", max_length=2, blank=True)  # ISO 3166-1
    phone = models.CharField(max_length=40, blank=True)
    mail = models.CharField(max_length=120, blank=True)
    logo = models.BinaryField(null=True, blank=True, editable=True)
    unit: "models.CharField[Unit, Unit]" = models.CharField(
        "the shop's unit", max_length=2, choices=UNITS, default="in"
    )
    paper: "models.CharField[Page, Page]" = models.CharField(
        "paper size", max_length=6, choices=[("letter", "Letter"), ("A4", "A4")], default="letter"
    )
    bench_paper: "models.CharField[Page | str, Page | str]" = models.CharField(
        "paper size at the bench", max_length=6, blank=True, choices=[("letter", "Letter"), ("A4", "A4")]
    )  # job sheets and setup cards; empty: as the other papers
    logo_in_colour = models.BooleanField("print the logo in colour", default=False)
    first_number = models.PositiveIntegerField("number of the first box", default=1)
    first_steps_hidden = models.BooleanField(default=False)
    currency = models.CharField(max_length=3, default="USD")
    size_step_nm = LengthField("size step", default=127_000)  # .005 in
    finish_radial_nm = LengthField("finish allowance, radial", default=12_700)  # .0005 in
    finish_end_nm = LengthField("finish allowance, end", default=50_800)  # .002 in
    stylus_distance_nm = LengthField("stylus distance", default=1_524_000)  # .060 in
    # What the machine's dials move by at least; a card gives its infeeds in whole steps.
    dial_step_in_nm = LengthField("dial step, inch tools", default=2_540)  # .0001 in
    dial_step_mm_nm = LengthField("dial step, millimetre tools", default=2_000)  # 0.002 mm
    runout_limit_nm = LengthField("largest runout", null=True, blank=True)
    tool_pages = models.BooleanField("labels carry a code of the tool's own page", default=False)
    gash_hundredths = models.PositiveIntegerField("minutes to gash a tooth again, in hundredths", default=150)
    rate_minor = models.PositiveIntegerField("hourly rate", default=9000)
    remind_days = models.PositiveSmallIntegerField(
        "days until a quote's reminder", null=True, blank=True
    )  # none: never
    # Why a tool is asked about or goes back unground, to be tapped: one a line.
    reasons = models.TextField("reasons", blank=True, max_length=600, default=USUAL_REASONS)

    def __str__(self) -> str:
        return self.name

    @property
    def named(self) -> bool:
        """Whether the owner has given the shop its name: no paper goes out without."""
        return self.name != UNNAMED


class Gauge(models.Model):
    """A measuring instrument: its resolution and until when its calibration holds."""

    name = models.CharField(max_length=60, unique=True)
    what = models.CharField(
        "kind",
        max_length=20,
        choices=[
            ("micrometer", "micrometer"),
            ("v-anvil", "V-anvil micrometer"),
            ("indicator", "indicator"),
            ("scope", "measuring scope"),
            ("caliper", "caliper"),
            ("other", "other"),
        ],
    )
    resolution_nm = LengthField("resolution")
    uncertainty_nm = LengthField("standard uncertainty", default=0)
    most_nm = LengthField("measures up to", null=True, blank=True)  # None where nobody recorded it
    anvil_cdeg = models.IntegerField("anvil angle", null=True, blank=True)  # of a V-anvil, hundredths of a degree
    calibrated_until = models.DateField(null=True, blank=True)
    # How it sends its readings by itself, where it can: read by static/js/instruments.js.
    sends = models.CharField(
        max_length=10,
        blank=True,
        choices=[("", "it sends nothing"), ("keyboard", "as a keyboard"), ("serial", "over a serial line")],
    )
    sent_unit = models.CharField(
        max_length=2, blank=True, choices=[("", "it says so itself"), ("in", "inches"), ("mm", "mm"), ("um", "µm")]
    )
    sent_mark = models.CharField(max_length=1, default=".", choices=[(".", "a point"), (",", "a comma")])
    sent_before = models.CharField(max_length=8, blank=True)  # what it sends before each figure
    baud = models.PositiveIntegerField(null=True, blank=True)  # of a serial line; 9600 where none is given
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def state(self, on: date) -> str:
        """'calibrated until …', 'calibration overdue since …' or 'not calibrated', as of the date `on`."""
        if self.calibrated_until is None:
            return "not calibrated"
        day = date_format(self.calibrated_until, "j M Y")
        return f"calibration overdue since {day}" if on > self.calibrated_until else f"calibrated until {day}"

    def overdue(self, on: date) -> bool:
        return self.calibrated_until is None or on > self.calibrated_until

    def spans(self, nm: int | None) -> bool:
        """Whether it can measure such a length; where nothing is recorded of either it may."""
        return nm is None or self.most_nm is None or nm <= self.most_nm


class Wheel(models.Model):
    """A grinding wheel. Its marked maximum is the maker's; nothing the program computes replaces it."""

    name = models.CharField(max_length=60, unique=True)
    abrasive = models.CharField(
        max_length=10,
        choices=[("diamond", "diamond"), ("CBN", "CBN"), ("Al2O3", "aluminium oxide"), ("SiC", "silicon carbide")],
    )
    shape = models.CharField(max_length=20, blank=True, help_text="FEPA shape code, 11V9 for example")
    grit = models.CharField(max_length=12, blank=True)
    bond = models.CharField(max_length=12, blank=True)
    diameter_nm = LengthField("diameter")
    width_nm = LengthField("width of the rim", null=True, blank=True)
    marked_maximum_rpm = models.PositiveIntegerField("marked maximum, rpm", null=True, blank=True)
    trued_runout_nm = LengthField("trued runout", null=True, blank=True)
    mark_1_nm = LengthField("reading at mark 1", null=True, blank=True)  # of four, a quarter turn apart
    mark_2_nm = LengthField("reading at mark 2", null=True, blank=True)
    mark_3_nm = LengthField("reading at mark 3", null=True, blank=True)
    mark_4_nm = LengthField("reading at mark 4", null=True, blank=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class WorkHolding(models.Model):
    """How tools are held and turned: a work head with its collet, an air-bearing fixture, centres."""

    name = models.CharField(max_length=60, unique=True)
    note = models.CharField(max_length=200, blank=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class UnitChoice(models.Model):
    """The unit that somebody chose for a bare whole number in one field of one line."""

    scope = models.CharField(max_length=40)
    field = models.CharField(max_length=40)
    unit = models.CharField(max_length=8)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["scope", "field"], name="one_choice_a_field")]


class SentForm(models.Model):
    """A once-only key that a committed action has spent, and the address that it redirected to."""

    key = models.CharField(max_length=40, primary_key=True)
    digest = models.CharField(max_length=64)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    redirect_to = models.CharField(max_length=300, blank=True)


class Draft(models.Model):
    """Values that someone has typed and not saved yet."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="+")
    form = models.CharField(max_length=80)
    sequence = models.BigIntegerField()
    once = models.CharField(max_length=40, blank=True)  # the once-only key of the form it was typed into
    content = models.TextField(max_length=20_000)
    at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["person", "form"], name="one_draft_a_form")]


class SignInTry(models.Model):
    """An attempt to sign in, stored so that the limit survives a restart and holds across workers."""

    name = models.CharField("name, PIN or badge", max_length=80)
    address = models.CharField(max_length=45)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["name", "at"]), models.Index(fields=["address", "at"])]


class History(models.Model):
    """One change of one row, written by a trigger of the database on every path, raw SQL included."""

    table = models.CharField(max_length=60)
    row = models.BigIntegerField()
    what = models.CharField(max_length=8)  # added, changed, gone
    at = models.DateTimeField()
    # Of the event that made it; none where somebody wrote to the database past the program. Kept by the database
    # alone, so no constraint: a row of the history is never refused.
    event = models.ForeignKey(Event, null=True, on_delete=models.DO_NOTHING, db_constraint=False, related_name="+")
    old = models.TextField(null=True)
    new = models.TextField(null=True)

    class Meta:
        indexes = [models.Index(fields=["table", "row", "id"])]
        verbose_name_plural = "history"

    @property
    def who(self) -> str:
        """The person's name, what the program did by itself, or "unknown"."""
        return self.event.who if self.event else "unknown"


class HistorySeal(models.Model):
    """The chained hash of a run of history rows: an altered row no longer gives it; insert-only."""

    first = models.BigIntegerField()
    last = models.BigIntegerField(unique=True)
    rows = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    at = models.DateTimeField(default=timezone.now)
