"""The review's sums, counted anew for the cells that an event touches, in that event's own transaction.

A cell is a set of lines: those of one family in one customer's boxes of one month. Whoever writes calls `touch`; at
the end of the outermost event the touched cells are locked in family order and counted from the record, so that two
tablets wait for each other and never in a circle. Their years get the differences. What the bench wrote is counted by
the bench: a room above names its counter with `count_with`, as it names its tables to the history.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import UTC, date, datetime
from typing import Any, Literal, NamedTuple

from django.db import transaction
from django.db.models import Q

from regrind.shop.events import before_commit
from regrind.shop.fields.dates import next_month

from .figures import Figures
from .models import ComplaintEnd, Line, Piece
from .rollup_levels import CELLS, ROWS_AT_ONCE, YEARS, Cell, Level, Sums, in_parts
from .rollup_prices import price_changed

LINES_AT_ONCE = 2_000
Touched = tuple[Literal["piece", "line", "cell"], Any]  # Any: a primary key, or the cell itself
Lines = Mapping[int, Sums]  # line -> the sums of its cell
Counter = Callable[[Lines], None]
COUNTERS: list[Counter] = []
_waiting: ContextVar[set[Touched] | None] = ContextVar("waiting", default=None)


def count_with(counter: Counter) -> None:
    """Name a function that adds what its room wrote about these lines; called once, when the room is loaded."""
    if counter not in COUNTERS:
        COUNTERS.append(counter)


def month_of(moment: datetime) -> date:
    """The first of the month in UTC: the shop's zone is a setting, and a change of it must not move old months."""
    return moment.astimezone(UTC).date().replace(day=1)


def touch(*, pieces: Iterable[int] = (), lines: Iterable[int] = (), cells: Iterable[Cell] = ()) -> None:
    """Have the cells of these pieces and lines (primary keys), and these cells, counted at the end of the event.

    Pieces and lines belong to the cell where they are by then; a cell that they leave is named itself, before.
    """
    before_commit(
        _recount,
        [*(("piece", pk) for pk in pieces), *(("line", pk) for pk in lines), *(("cell", cell) for cell in cells)],
    )


def cells_of(lines: Iterable[int]) -> set[Cell]:
    """The cells that these lines are in now."""
    return {
        cell for some in in_parts(sorted(set(lines)), ROWS_AT_ONCE) for cell in cells_where(Q(pk__in=some)).values()
    }


def cells_where(which: Q) -> dict[int, Cell]:
    """The cell of every line that `which` names, by the line's primary key."""
    rows = (
        Line.objects.filter(which)
        .order_by()
        .values_list("pk", "family", "batch__customer", "batch__received_at")
        .distinct()
    )
    return {pk: Cell(family, customer, month_of(came)) for pk, family, customer, came in rows}


@contextmanager
def counted_once() -> Iterator[None]:
    """Count what is touched within at its end, each cell once, not after each event: for a past that is written at one
    go. Runs in a transaction; where it fails, nothing is counted and the caller rolls back."""
    touched: set[Touched] = set()
    token = _waiting.set(touched)
    try:
        yield
    finally:
        _waiting.reset(token)
    _recount(touched)


def _recount(touched: set[Touched]) -> None:
    waiting = _waiting.get()
    if waiting is not None:
        waiting |= touched
        return
    pieces = sorted(pk for kind, pk in touched if kind == "piece")
    cells = {cell for kind, cell in touched if kind == "cell"} | cells_of(pk for kind, pk in touched if kind == "line")
    for some in in_parts(pieces, ROWS_AT_ONCE):
        cells |= set(cells_where(Q(pieces__in=some)).values())
    recount_cells(cells)


def recount_cells(cells: Iterable[Cell]) -> None:
    """Lock these cells in family order, count them from the record and write what differs; then add the differences
    to their years. Runs in a transaction."""
    ordered, changes = sorted(set(cells)), dict[Cell, Sums]()
    with transaction.atomic(savepoint=False):
        CELLS.make_missing(ordered)
        for some in in_parts(ordered, ROWS_AT_ONCE):
            held, counted = CELLS.hold(some), count(some)
            price_changed(counted, held)
            differ = {cell: change for cell, sums in counted.items() if (change := sums.less(held[cell].sums))}
            CELLS.write(held, differ)
            changes |= differ
        for level in YEARS:
            _add_up(level, level.gather(changes))


def _add_up(level: Level, changes: Mapping[Any, Sums]) -> None:
    ordered = sorted(key for key, change in changes.items() if change)
    level.make_missing(ordered)
    for some in in_parts(ordered, ROWS_AT_ONCE):
        level.write(level.hold(some), {key: changes[key] for key in some})


def count(cells: Iterable[Cell]) -> dict[Cell, Sums]:
    """Count these cells from the record as it stands: a fixed number of queries for each two thousand lines."""
    sums = {cell: Sums() for cell in cells}
    lines = {pk: sums[cell] for pk, cell in _lines_of(list(sums)).items() if cell in sums}
    for some in in_parts(sorted(lines), LINES_AT_ONCE):
        count_lines({pk: lines[pk] for pk in some})
    return sums


def _lines_of(cells: list[Cell]) -> dict[int, Cell]:
    """Line -> cell for all lines in these cells, found by the boxes of the customers and months."""
    lines: dict[int, Cell] = {}
    families = {cell.family for cell in cells}
    for some in in_parts(sorted({(cell.customer, cell.month) for cell in cells}), 100):
        came = Q(
            *(
                Q(
                    batch__customer=customer,
                    batch__received_at__gte=_start(month),
                    batch__received_at__lt=_start(next_month(month)),
                )
                for customer, month in some
            ),
            _connector=Q.OR,
        )
        lines |= cells_where(came & Q(family__in=families))
    return lines


def _start(month: date) -> datetime:
    return datetime(month.year, month.month, 1, tzinfo=UTC)


def count_lines(lines: Lines) -> None:
    """Add what every room wrote about these lines to the sums of their cells."""
    _count_pieces(lines)
    for counter in COUNTERS:
        counter(lines)


class PieceFacts(NamedTuple):
    """What the record says of one piece."""

    pk: int
    line: int
    result: str
    complaint_of: int | None  # the visit that it is a complaint about
    reason: str
    price: int | None
    here: int | None
    elsewhere: int | None


def _count_pieces(lines: Lines) -> None:
    """What the record itself says: results, complaints, prices, regrinds before."""
    wrong = _complaints(lines)
    rows = (
        Piece.objects.filter(line__in=list(lines))
        .order_by()
        .values_list(
            "pk",
            "line",
            "result",
            "complaint_of",
            "reason",
            "line__unit_price_minor",
            "before_here",
            "before_elsewhere",
        )
    )
    complaints = {}
    for row in rows:
        piece = PieceFacts(*row)
        sums = lines[piece.line]
        _add_piece(sums, piece)
        if piece.result == "ground":
            _add_ground(sums.figures, piece, good=piece.pk not in wrong)
        for complaint in wrong.get(piece.pk, ()):
            sums.tally("complaint", complaint)
        if piece.complaint_of is not None:
            complaints[piece.pk] = sums
    _add_ends(complaints)


def _add_piece(sums: Sums, piece: PieceFacts) -> None:
    add = sums.figures
    add.received += 1
    add.ground += piece.result == "ground"
    add.returned_unground += piece.result == "returned_unground"
    add.scrap += piece.result == "scrap"
    add.missing += piece.result == "missing"
    add.complaints += piece.complaint_of is not None
    if piece.here is not None and piece.elsewhere is not None:
        add.before_n += 1
        add.before_sum += piece.here + piece.elsewhere
    if piece.result in ("returned_unground", "scrap") and piece.reason:
        sums.tally("why", piece.reason)


def _add_ground(add: Figures, piece: PieceFacts, *, good: bool) -> None:
    add.good += good
    add.complained += not good
    add.replaced_n += good and (piece.complaint_of is not None or piece.price is not None)
    if piece.complaint_of is None and piece.price is not None:
        add.charged_n += 1
        add.charged_minor += piece.price


def _complaints(lines: Lines) -> dict[int, list[str]]:
    """Of each piece that came back as a complaint, what was wrong."""
    wrong: dict[int, list[str]] = defaultdict(list)
    complaints = Piece.objects.filter(complaint_of__line__in=list(lines)).order_by("pk")
    for pk, complaint in complaints.values_list("complaint_of", "complaint"):
        wrong[pk or 0].append(complaint)
    return wrong


def _add_ends(complaints: dict[int, Sums]) -> None:
    """How each complaint (its piece's key, with the sums of its cell) ended; of several ends the newest counts."""
    for some in in_parts(list(complaints), ROWS_AT_ONCE):
        rows = ComplaintEnd.objects.filter(piece__in=some).order_by("pk")
        ends = {piece: f"{outcome} {cause}" for piece, outcome, cause in rows.values_list("piece", "outcome", "cause")}
        for piece, end in ends.items():
            complaints[piece].tally("ended", end)
