"""What the office pages show, each in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.forms.boundfield import BoundWidget

from regrind.bench.models import Plan
from regrind.bench.revisions import newest
from regrind.record.models import Batch, Line, Piece
from regrind.record.moves import ON_HAND
from regrind.shop.models import Event

from .forms import ParcelForm
from .models import IssuedPaper, Parcel


def waiting_and_ready() -> dict[str, Any]:
    """Lines that wait for an answer, and open batches with what is released, still open or at the coater."""
    waiting = (
        Line.objects.filter(pieces__status="waiting")
        .annotate(n=Count("pieces"))
        .select_related("batch__customer", "family")
        .order_by("-batch__rush", "batch__due", "batch__number")
    )
    released, at_coater = Q(pieces__status="released"), Q(pieces__status="at_coater")
    busy = Q(pieces__status__in=[where for where in ON_HAND if where != "released"])
    batches = (
        Batch.objects.filter(closed=False)
        .select_related("customer")
        .annotate(
            released=Count("pieces", filter=released),
            busy=Count("pieces", filter=busy),
            at_coater=Count("pieces", filter=at_coater),
        )
        .order_by("-rush", "due", "number")
    )
    return {"waiting": waiting, "batches": batches}


def lines_with_counts(batch: Batch) -> QuerySet[Line]:
    """Each line with n (pieces), released, left, ground and not_ground counts."""

    def where(*names: str) -> Count:
        return Count("pieces", filter=Q(pieces__status__in=names))

    return (
        batch.lines.select_related("family")
        .order_by("number")
        .annotate(
            n=Count("pieces"),
            released=where("released"),
            left=where("left", "recycled"),
            waiting=where("waiting"),
            at_coater=where("at_coater"),
            done=where("released", "left"),
            planned=Exists(Plan.objects.filter(piece__line=OuterRef("pk"), decision="grind")),
            ground=Count("pieces", filter=Q(pieces__result="ground")),
            not_ground=Count("pieces", filter=Q(pieces__result__in=("returned_unground", "scrap"))),
        )
    )


@dataclass
class Sent:
    parcel: Parcel
    pieces: int

    @property
    def undone(self) -> Event | None:
        return getattr(self.parcel.event, "undone_by", None)

    @property
    def slip(self) -> str:
        """The parcel's number as it stands in an address: 417_2."""
        return str(self.parcel).replace("/", "_")

    @property
    def words(self) -> str:
        return str(self.parcel.number)


def parcels(batch: Batch) -> list[Sent]:
    found = Parcel.every.filter(batch=batch).select_related("event__by", "event__undone_by__by")
    return [Sent(parcel, parcel.n) for parcel in found.annotate(n=Count("pieces")).order_by("number")]


@dataclass
class Issued:
    """One paper of a batch, its newest revision first."""

    kind: str
    number: str
    revisions: list[IssuedPaper] = field(default_factory=list)


def issued(batch: Batch) -> list[Issued]:
    """Every paper issued of a batch, gathered by kind and number; the one issued last comes first."""
    papers: dict[tuple[str, str], Issued] = {}
    rows = IssuedPaper.objects.filter(batch=batch).select_related("by").defer("snapshot").order_by("-at", "-revision")
    for row in rows:
        papers.setdefault((row.kind, row.number), Issued(row.get_kind_display(), row.number)).revisions.append(row)
    return list(papers.values())


def asked(pieces: Sequence[Piece]) -> list[tuple[Plan, list[Piece]]]:
    """What was asked: the newest plan of each waiting piece, like pieces together."""
    groups: dict[tuple[str, int | None], tuple[Plan, list[Piece]]] = {}
    plans = newest(Plan, pieces)
    for piece in pieces:
        plan = plans.get(piece.pk)
        if plan is not None:
            groups.setdefault((plan.reason, plan.diameter_nm), (plan, []))[1].append(piece)
    return list(groups.values())


def last_paid(batch: Batch, lines: Sequence[Line]) -> dict[int, Line]:
    """By family: the newest earlier line of this customer that has a price."""
    before = (
        Line.objects.filter(
            batch__customer=batch.customer_id,
            unit_price_minor__isnull=False,
            family__in={line.family_id for line in lines},
        )
        .exclude(batch=batch)
        .select_related("batch")
        .order_by("batch__number", "number")
    )
    return {line.family_id: line for line in before}


@dataclass
class LineBoxes:
    """The tick boxes of one line on the parcel page."""

    line: Line
    send: list[tuple[Piece, BoundWidget]] = field(default_factory=list)
    recycle: list[tuple[Piece, BoundWidget]] = field(default_factory=list)
    why: dict[str, str] = field(default_factory=dict)


def by_line(released: Sequence[Piece], form: ParcelForm) -> list[LineBoxes]:
    lines: dict[int, LineBoxes] = {}
    send = {box.data["value"]: box for box in form["send"]}
    recycle = {box.data["value"]: box for box in form["recycle"]}
    for piece in released:
        row = lines.setdefault(piece.line_id, LineBoxes(piece.line))
        row.send.append((piece, send[str(piece.pk)]))
        if str(piece.pk) in recycle:
            row.recycle.append((piece, recycle[str(piece.pk)]))
    return sorted(lines.values(), key=lambda row: row.line.number)


def left_behind(batch: Batch) -> list[tuple[str, list[Piece]]]:
    """What would stay behind: every piece of the batch that is neither released nor gone, by status."""
    groups: dict[str, list[Piece]] = defaultdict(list)
    stay = batch.pieces.exclude(status__in=("released", "left", "recycled")).select_related("batch")
    for piece in stay:
        groups[piece.get_status_display()].append(piece)
    return list(groups.items())
