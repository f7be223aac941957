"""The insert-only rows about a piece: the newest of each, and adding the next without overwriting anyone's."""

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple, TypeVar

from django.db import IntegrityError, transaction
from django.db.models import Exists, Max, OuterRef, Q, QuerySet
from django.utils import timezone
from django.utils.dateformat import format as date_format

from regrind.record.kinds import RADIAL
from regrind.record.models import Piece
from regrind.record.moves import about
from regrind.shop.events import Conflict
from regrind.shop.posts.row_summary import describe

from .models import FinalCheck, Grind, Inspection, MeasuredRow, PieceRevision, Plan
from .readings import BY_MICROMETER, fetch_readings

Row = TypeVar("Row", bound=PieceRevision)
Measured = TypeVar("Measured", bound=MeasuredRow)
# Columns whose field in the form is called otherwise, and columns that are nobody's entry.
FIELDS = {
    "end_taken_nm": "end_taken",
    "infeed_radial_nm": "infeed",
    "minutes_hundredths": "minutes",
    "drop_way": "drop_way",
}
NOT_SHOWN = {
    "piece",
    "revision",
    "event",
    "copied_from",
    "observations",
    "case",
    "answer",
    "findings",
    "plan",
    "inspection",
    "grind",
    "setup",
    "edition",
    "chosen",
}


def canonical(value: Any) -> str:
    """JSON text that is the same for the same value."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def newest(model: type[Row], pieces: Iterable[Piece | int]) -> dict[int, Row]:
    """The newest standing row of `model` for each piece, by piece id; one query, pieces without one are left out."""
    rows = model._default_manager.filter(piece_id__in=_ids(pieces))
    return _last_of_each(rows)  # type: ignore[arg-type]  # the manager is known of the abstract class alone


def newest_with_readings(model: type[Measured], pieces: Iterable[Piece | int]) -> dict[int, Measured]:
    """The newest row for each piece with what was read, on it and on the row it follows; two queries."""
    rows = newest(model, pieces)
    fetch_readings(rows.values())
    return rows


def revisions(model: type[Row], pieces: Iterable[Piece | int]) -> dict[int, int]:
    """The last revision number given to each piece, undone rows included; one query, pieces without one left out."""
    rows = model.every.filter(piece_id__in=_ids(pieces)).order_by().values_list("piece")
    return dict(rows.annotate(last=Max("revision")))


def first_inspections(pieces: Iterable[Piece | int]) -> dict[int, Inspection]:
    """How each piece was received: its inspection before grinding, by piece id. One that was inspected again after
    grinding, to be planned anew, does not count. One query, pieces without one are left out."""
    return _last_of_each(before_grinding(Inspection.objects.filter(piece_id__in=_ids(pieces))))


def before_grinding(inspections: QuerySet[Inspection]) -> QuerySet[Inspection]:
    """Those inspections that were recorded before their piece was first ground at this visit."""
    return inspections.exclude(Exists(Grind.objects.filter(piece=OuterRef("piece"), event__lt=OuterRef("event"))))


def _ids(pieces: Iterable[Piece | int]) -> list[int]:
    return [piece if isinstance(piece, int) else piece.pk for piece in pieces]


def _last_of_each(rows: QuerySet[Row]) -> dict[int, Row]:
    return {row.piece_id: row for row in _in_order(rows)}


def _in_order(rows: QuerySet[Row]) -> list[Row]:
    """By revision, each with its event's person and, where it follows another piece's row, that one.

    Sorted here, and those rows not joined: half of so wide a query is the time that Django makes it in. The row
    followed is nearly always among these; where one is not, a second query.
    """
    fetched = sorted(rows.order_by().select_related("event__by", "piece"), key=lambda row: (row.revision, row.pk))
    by_pk = {row.pk: row for row in fetched}
    followed = {row.copied_from_id for row in fetched if row.copied_from_id}
    if followed - by_pk.keys():
        by_pk |= rows.model.every.select_related("event__by", "piece").in_bulk(followed - by_pk.keys())
    for row in fetched:
        row.copied_from = by_pk.get(row.copied_from_id)
    return fetched


def newest_of_any(pieces: Sequence[int]) -> dict[int, PieceRevision]:
    """By piece id, the row stored last of any kind; four queries."""
    rows: dict[int, PieceRevision] = {}
    for model in (Inspection, Plan, Grind, FinalCheck):
        for pk, row in newest(model, pieces).items():
            if pk not in rows or row.event_id >= rows[pk].event_id:
                rows[pk] = row
    return rows


class GrindSummary(NamedTuple):
    """By piece id, its newest standing grind, and all that was ground on it at this visit, in however many setups."""

    newest: dict[int, Grind]
    parts: dict[int, tuple[str, ...]]


def summarize_grinds(pieces: Iterable[Piece | int]) -> GrindSummary:
    """One query; pieces that were not ground are left out."""
    grinds: dict[int, list[Grind]] = {}
    for row in _in_order(Grind.objects.filter(piece_id__in=_ids(pieces))):
        grinds.setdefault(row.piece_id, []).append(row)
    return GrindSummary(
        {pk: own_grinds[-1] for pk, own_grinds in grinds.items()},
        {
            pk: tuple(dict.fromkeys(part for row in own_grinds for part in row.grinds.split()))
            for pk, own_grinds in grinds.items()
        },
    )


def grind_of_sides() -> QuerySet[Any]:
    """Of a final check (an outer query's row): the grind that took the sides, or what else sets the diameter, under the
    plan which the check's own grind followed, be it that one or an earlier setup; of several the last."""
    radial = Q(*(("grinds__contains", part) for part in RADIAL), _connector=Q.OR)
    of_this_plan = Grind.objects.filter(radial, piece=OuterRef("piece"), plan=OuterRef("grind__plan"))
    return of_this_plan.order_by("-revision")


def add_revisions(rows: Sequence[Row]) -> list[Row]:
    """Insert an event's rows whose (piece, revision) the page foresaw; some may follow others of them (`copied_from`).

    Raises Conflict where someone saved one first.
    """
    if not rows:
        return []
    try:
        new = {id(row) for row in rows}
        with transaction.atomic():
            for follow in (False, True):
                some = [row for row in rows if (id(row.copied_from) in new) == follow]
                type(rows[0]).every.bulk_create(some)
    except IntegrityError as clash:
        numbers = ", ".join(str(row.piece) for row in rows[:5])
        raise conflict_with(
            f"Someone saved a newer {rows[0]._meta.verbose_name} of {numbers} while this page was open.",
            newest(type(rows[0]), [row.piece_id for row in rows]),
        ) from clash
    about(rows[0].event, [row.piece_id for row in rows])
    return list(rows)


def conflict_with(message: str, theirs: Mapping[int, PieceRevision]) -> Conflict:
    """The conflict with rows stored meanwhile, by piece id: the newest of them is shown beside what was typed."""
    if not theirs:
        return Conflict(message)
    row = max(theirs.values(), key=lambda row: row.event_id)
    shown, unit = row.copied_from or row, row.piece.line.batch.customer.unit
    values = {name: value for name, value in describe(shown, unit, FIELDS).items() if name not in NOT_SHOWN}
    if isinstance(shown, MeasuredRow):
        values |= _read_on(shown)
    when = date_format(timezone.localtime(row.recorded_at), "H:i")
    return Conflict(message, theirs=values, whose=f"{row.who}, {when}, {row.piece}")


def _read_on(row: MeasuredRow) -> dict[str, str]:
    """What was read, as it was typed, and the names of the gauges, by the form's fields; one query."""
    named = {
        "gauge" if reading.quantity in BY_MICROMETER else "indicator": reading.gauge_name
        for reading in row.readings.values()
        if reading.gauge_name
    }
    return {field: reading.text for field, reading in row.readings.items()} | named
