"""What the counter's pages show, each in a fixed number of queries, its lists paged by key."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import Count, OuterRef, Prefetch, Q, QuerySet, Subquery
from django.db.models.functions import Lower
from django.utils import timezone

from regrind.record.contacts import first_contacts
from regrind.record.dimension_words import name_tools
from regrind.record.models import ALL_YEARS, Batch, Contact, Customer, Family, FamilyYear, Line, Piece
from regrind.shop.fields.whole_numbers import read_whole

PAGE = 50
MOST_OPEN = 200
HERE = ~Q(status__in=("left", "recycled", "missing"))


@dataclass
class BatchRow:
    batch: Batch
    pieces: int = 0
    here: int = 0


def batches(before: str, customer: str) -> dict[str, Any]:
    """Open boxes first, rush and due date leading; then closed ones, newest number first, a page at a time."""
    every = Batch.objects.select_related("customer")
    asked = read_whole(customer, 9)
    owner = Customer.objects.filter(pk=asked).first() if asked else None
    if owner:
        every = every.filter(customer=owner)
    of_customer = f"?customer={owner.pk}" if owner else ""
    older = read_whole(before, 9)
    closed = every.filter(closed=True, **({"number__lt": older} if older else {})).order_by("-number")
    shown = list(closed[: PAGE + 1])
    more = shown[PAGE - 1].number if len(shown) > PAGE else None
    waiting = [] if older else list(every.filter(closed=False).order_by("-rush", "due", "number")[:MOST_OPEN])
    rows = _counted(waiting + shown[:PAGE])
    return {
        "open": rows[: len(waiting)],
        "closed": rows[len(waiting) :],
        "more": more,
        "customer": owner,
        "of_customer": of_customer,
        "older": older,
        "older_address": f"?before={more}{of_customer.replace('?', '&')}",
        "cut": len(waiting) == MOST_OPEN,
        "empty_words": _no_batch(owner, older),
    }


def _no_batch(owner: Customer | None, older: int | None) -> str:
    if older:
        return "No older batch."
    of_owner = f" of {owner}" if owner else ""
    return f"No batch yet{of_owner}. Receive a box: choose its customer, then list the tools in it."


def _counted(shown: list[Batch]) -> list[BatchRow]:
    rows = {batch.pk: BatchRow(batch) for batch in shown}
    counts = Piece.objects.filter(batch__in=rows).values("batch").annotate(n=Count("id"), here=Count("id", filter=HERE))
    for count in counts.order_by():
        rows[count["batch"]].pieces, rows[count["batch"]].here = count["n"], count["here"]
    return list(rows.values())


@dataclass
class LineRow:
    """A line of a box with its pieces, named in the customer's unit."""

    line: Line
    family: str
    pieces: list[Piece]

    @property
    def count_words(self) -> str:
        """`12 pieces`; `12 pieces logged, 1 missing`."""
        logged = f"{len(self.pieces)} piece{'' if len(self.pieces) == 1 else 's'}"
        missing = sum(piece.status == "missing" for piece in self.pieces)
        return f"{logged} logged, {missing} missing" if missing else logged


def lines(batch: Batch) -> tuple[list[LineRow], list[Line]]:
    """The lines that hold pieces, and those that hold none (set aside or merged): three queries however many."""
    stored = (
        batch.lines.select_related("family")
        .order_by("number")
        .prefetch_related(Prefetch("pieces", Piece.objects.select_related("tool")))
    )
    rows, empty = [], []
    for line in stored:
        line.batch = batch
        pieces = list(line.pieces.all())
        for piece in pieces:
            piece.batch, piece.line = batch, line
        if pieces:
            rows.append(LineRow(line, name_tools(line, batch.customer.unit), pieces))
        else:
            empty.append(line)
    return rows, empty


def missing(rows: list[LineRow]) -> list[str]:
    """The missing pieces of a batch, like reasons together: `1-3, 1-4: not in the box`."""
    by_reason: dict[str, list[str]] = {}
    for row in rows:
        for piece in row.pieces:
            if piece.status == "missing":
                by_reason.setdefault(piece.reason, []).append(piece.short)
    return [", ".join(shorts) + (f": {reason}" if reason else "") for reason, shorts in by_reason.items()]


def piece_summary(piece: Piece) -> str:
    """A piece's state in a few words: `received, complaint, reground before: 2 here, 1 elsewhere`."""
    words = [piece.get_status_display(), *(["complaint"] if piece.complaint else [])]
    if piece.before_here or piece.before_elsewhere:
        here = "?" if piece.before_here is None else piece.before_here
        words.append(f"reground before: {here} here")
        words += [f"{piece.before_elsewhere} elsewhere"] if piece.before_elsewhere else []
    return ", ".join(words)


def pieces_of(line: Line) -> list[Piece]:
    """A line's pieces, each knowing its line, its batch and its tool: one query."""
    pieces = list(line.pieces.select_related("tool", "complaint_of__batch"))
    for piece in pieces:
        piece.line, piece.batch = line, line.batch
    return pieces


@dataclass
class CustomerRow:
    customer: Customer
    contact: Contact | None = None
    batches: int = 0  # received in the last twelve months: all that ever came would have to be counted
    last: Any = None


def customers(after: str, search: str) -> dict[str, Any]:
    """Customers by name, a page at a time from the name `after`, those whose name or contact holds `search`."""
    every = Customer.objects.annotate(key=Lower("name")).order_by("key", "pk")
    search = search.strip()[:60]
    if search:
        people = Contact.current().filter(Q(name__icontains=search) | Q(phone__icontains=search))
        every = every.filter(Q(name__icontains=search) | Q(pk__in=people.order_by().values("customer")))
    if after:
        every = every.filter(key__gt=after[:120].lower())
    shown = list(every[: PAGE + 1])
    reached = first_contacts(shown[:PAGE])
    rows = {customer.pk: CustomerRow(customer, reached.get(customer.pk)) for customer in shown[:PAGE]}
    _add_batches(rows)
    more = shown[PAGE - 1].name if len(shown) > PAGE else ""
    return {"rows": list(rows.values()), "more": more, "search": search, "after": after}


def _add_batches(rows: dict[int, CustomerRow]) -> None:
    """How many came in a year, and when the last one did: two queries along the index of customers and dates."""
    year = Batch.objects.filter(customer__in=rows, received_at__gte=timezone.now() - timedelta(days=365))
    for customer, n in year.order_by().values_list("customer").annotate(Count("id")):
        rows[customer].batches = n
    newest = Batch.objects.filter(customer=OuterRef("pk")).order_by("-received_at").values("received_at")[:1]
    for customer, last in Customer.objects.filter(pk__in=rows).values_list("pk", Subquery(newest)):
        rows[customer].last = last


def newest_batches(customer: Customer) -> QuerySet[Batch]:
    return customer.batches.order_by("-number")[:8]


@dataclass
class FamilyRow:
    family: Family
    pieces: int = 0
    name: str = ""


def families(after: str, kind: str) -> dict[str, Any]:
    """Families, the newest made first, a page at a time; `kind` alone, where one is named."""
    every = Family.objects.filter(merged_into=None, **({"kind": kind} if kind else {})).order_by("-pk")
    before = read_whole(after, 9)
    shown = list(every.filter(pk__lt=before)[: PAGE + 1] if before else every[: PAGE + 1])
    rows = {family.pk: FamilyRow(family) for family in shown[:PAGE]}
    received = FamilyYear.objects.filter(family__in=rows, year=ALL_YEARS).values_list("family", "received")
    for family, count in received:
        rows[family].pieces = count
    return {"rows": list(rows.values()), "more": shown[PAGE - 1].pk if len(shown) > PAGE else None}
