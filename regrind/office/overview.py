"""The rows of the office pages, each in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.forms.boundfield import BoundWidget
from django.urls import reverse

from regrind.bench.models import CoaterSlip, Inspection, Plan
from regrind.bench.revisions import newest, newest_with_readings
from regrind.record.models import Batch, Line, Piece
from regrind.record.moves import ON_HAND
from regrind.shop.models import Event

from .forms import ParcelForm
from .models import IssuedPaper, Parcel
from .questions import Question, list_questions

# A plan to grind, or one that asked the customer, whose answer sent the piece on to grinding.
TO_BE_GROUND = Q(decision="grind") | Q(decision="ask", piece__status="ready_to_grind")
OF_A_PARCEL = ("slip", "address")
FOR_THE_CUSTOMER = (
    "report",
    "slip",
    "address",
    "quote",
    "bill",
    "credit",
)  # the bench prints for itself; these papers leave the shop


def waiting_and_ready() -> dict[str, Any]:
    """Lines that wait for the customer with their questions, and open batches with a count of where their pieces are:
    released, in work, waiting for the customer, or at the coater."""
    waiting = (
        Line.objects.filter(pieces__status="waiting")
        .distinct()
        .select_related("batch__customer", "family")
        .order_by("-batch__rush", "batch__due", "batch__number")
    )
    released, at_coater = Q(pieces__status="released"), Q(pieces__status="at_coater")
    busy = Q(pieces__status__in=[status for status in ON_HAND if status not in ("released", "waiting")])
    batches = (
        Batch.objects.filter(closed=False)
        .select_related("customer")
        .annotate(
            released=Count("pieces", filter=released),
            busy=Count("pieces", filter=busy),
            waiting=Count("pieces", filter=Q(pieces__status="waiting")),
            at_coater=Count("pieces", filter=at_coater),
        )
        .order_by("-rush", "due", "number")
    )
    return {"waiting": _with_questions(waiting), "batches": batches}


@dataclass(frozen=True)
class Waiting:
    """A line that waits for the customer: how many pieces, and what was asked about them."""

    line: Line
    count: int
    questions: list[Question]


def _with_questions(lines: Iterable[Line]) -> list[Waiting]:
    pieces = list(
        Piece.objects.filter(status="waiting").select_related("batch", "line__family", "line__batch__customer")
    )
    plans, inspections, by_line = newest(Plan, pieces), newest_with_readings(Inspection, pieces), defaultdict(list)
    for piece in pieces:
        by_line[piece.line_id].append(piece)
    return [
        Waiting(line, len(by_line[line.pk]), list_questions(by_line[line.pk], plans, inspections)) for line in lines
    ]


def lines_with_counts(batch: Batch) -> QuerySet[Line]:
    """Each line with its counts: n (pieces), released, returned, waiting, at_coater, done, ground and not_ground."""

    def in_status(*statuses: str) -> Count:
        return Count("pieces", filter=Q(pieces__status__in=statuses))

    return (
        batch.lines.select_related("family")
        .order_by("number")
        .annotate(
            n=Count("pieces"),
            released=in_status("released"),
            returned=in_status("left", "recycled"),
            waiting=in_status("waiting"),
            at_coater=in_status("at_coater"),
            done=in_status("released", "left"),
            planned=Exists(Plan.objects.filter(TO_BE_GROUND, piece__line=OuterRef("pk"))),
            ground=Count("pieces", filter=Q(pieces__result="ground")),
            not_ground=Count("pieces", filter=Q(pieces__result__in=("returned_unground", "scrap"))),
        )
    )


@dataclass
class Sent:
    """A parcel with its count of pieces."""

    parcel: Parcel
    pieces: int

    @property
    def undone(self) -> Event | None:
        return getattr(self.parcel.event, "undone_by", None)

    @property
    def slip(self) -> str:
        """The parcel's number in an address: 417_2."""
        return str(self.parcel).replace("/", "_")


def parcels(batch: Batch) -> list[Sent]:
    """Every parcel of a batch in order, also the undone ones."""
    rows = Parcel.every.filter(batch=batch).select_related("event__by", "event__undone_by__by")
    return [Sent(parcel, parcel.n) for parcel in rows.annotate(n=Count("pieces")).order_by("number")]


@dataclass(frozen=True)
class PrintButton:
    """A button that prints one paper: its kind, its number in the address, and the words on it."""

    kind: str
    number: str
    words: str


def batch_buttons(batch: Batch, sent: Sequence[Sent], *, for_customer: bool = True) -> list[PrintButton]:
    """The papers of a whole batch; for_customer: also the report and the packing slips."""
    number = str(batch.number)
    buttons = [PrintButton("job_sheet", number, "Print the job sheet")]
    if for_customer:
        slips = [PrintButton("slip", row.slip, f"Print slip {row.parcel.number}") for row in sent if not row.undone]
        buttons += [PrintButton("report", number, "Print the report"), *slips]
    return buttons


def label_buttons(batch: Batch, lines: Sequence[Line]) -> list[PrintButton]:
    """All tags of a batch in one file, in its order, and all labels of what is released."""
    buttons = [PrintButton("tag", str(batch.number), "All tags in one file")] if lines else []
    if any(getattr(line, "done", 0) for line in lines):
        buttons.append(PrintButton("label", str(batch.number), "All return labels in one file"))
    return buttons


def piece_buttons(piece: Piece) -> list[PrintButton]:
    """The tag of a piece, and its label once it is released."""
    buttons = [PrintButton("tag", str(piece), f"Tag of {piece.short}")]
    if piece.status in ("released", "left"):
        buttons.append(PrintButton("label", str(piece), f"Label of {piece.short}"))
    return buttons


@dataclass
class IssuedRow:
    """An issued revision in the list: kind and number stand on the newest revision only. address: of its file, empty
    where this person may not open it. void: what the paper is of and was undone."""

    paper: IssuedPaper
    kind: str
    number: str
    address: str
    replaced: bool
    void: str


def issued(batch: Batch, *, for_customer: bool = True) -> list[IssuedRow]:
    """Every issued paper of a batch, by kind and number, the newest revision first; the paper issued last comes first.

    for_customer: may the person also open papers for the customer.
    """
    papers: dict[tuple[str, str], list[IssuedPaper]] = {}
    rows = IssuedPaper.objects.filter(batch=batch).select_related("by").defer("snapshot")
    for paper in rows.order_by("-issued_at", "-revision"):
        papers.setdefault((paper.kind, paper.number), []).append(paper)
    undone = _undone(batch, {kind for kind, _ in papers})
    return [
        _issued_row(paper, index > 0, for_customer, undone.get(paper.kind, {}).get(paper.number, ""))
        for revisions in papers.values()
        for index, paper in enumerate(revisions)
    ]


def _undone(batch: Batch, kinds: set[str]) -> dict[str, dict[str, str]]:
    """By kind and number of a paper, what it is of and was undone: `the parcel`."""
    voided: dict[str, dict[str, str]] = {}
    if kinds & set(OF_A_PARCEL):
        parcels = Parcel.every.filter(batch=batch, event__undone_by__isnull=False).select_related("batch")
        numbers = {str(parcel): "the parcel" for parcel in parcels}
        voided |= dict.fromkeys(OF_A_PARCEL, numbers)
    if "coater" in kinds:
        slips = CoaterSlip.every.filter(batch=batch, event__undone_by__isnull=False).select_related("batch")
        voided["coater"] = {slip.order: "the sending" for slip in slips}
    return voided


def _issued_row(paper: IssuedPaper, replaced: bool, for_customer: bool, void: str) -> IssuedRow:
    kind, number = ("", "") if replaced else (paper.get_kind_display(), paper.number)
    may_open = for_customer or paper.kind not in FOR_THE_CUSTOMER
    address = reverse("office:paper_file", args=[paper.pk]) if may_open else ""
    return IssuedRow(paper, kind, number, address, replaced, void)


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


def by_line(released: Sequence[Piece], form: ParcelForm) -> list[LineBoxes]:
    """The tick boxes of the released pieces, line by line."""
    lines: dict[int, LineBoxes] = {}
    send = {box.data["value"]: box for box in form["send"]}
    recycle = {box.data["value"]: box for box in form["recycle"]}
    for piece in released:
        row = lines.setdefault(piece.line_id, LineBoxes(piece.line))
        row.send.append((piece, send[str(piece.pk)]))
        if str(piece.pk) in recycle:
            row.recycle.append((piece, recycle[str(piece.pk)]))
    return sorted(lines.values(), key=lambda row: row.line.number)


def left_behind(batch: Batch) -> list[tuple[str, str]]:
    """The pieces that would stay here, by status: neither released nor returned, each with its reason."""
    groups: dict[str, list[str]] = defaultdict(list)
    stay = batch.pieces.exclude(status__in=("released", "left", "recycled")).select_related("batch")
    for piece in stay:
        reason = f" ({piece.reason})" if piece.reason else ""
        groups[piece.get_status_display()].append(piece.short + reason)
    return [(status, ", ".join(names)) for status, names in groups.items()]
