"""Lines of like tools: logged, set aside again, split, merged, and told differently at any time."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import Max
from django.utils import timezone

from regrind.record.line_dimensions import assumed_dimensions, known, read_values, write_values
from regrind.record.line_hooks import AFTER_SPLIT, BEFORE_MERGE
from regrind.record.models import Batch, Family, Line, LineChange, LineMove, Piece, Tool
from regrind.record.rollups import cells_of, touch
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Event, Person
from regrind.shop.undo import UNDO_FOR, Change, before_undo, depends_on

from ..line_parser import MOST_PIECES
from .common import lock, names, pieces_word, record_change, settle
from .counts import add_pieces, strike

__all__ = ["MOST_PIECES", "change_family", "change_line", "log_line", "merge_lines", "set_aside", "split_line"]


def log_line(
    *,
    by: Person,
    batch: Batch,
    family: Family,
    count: int,
    wording: str = "",
    customer_tool_number: str = "",
    matched: bool = False,
    match_tolerance_nm: int | None = None,
    note: str = "",
    hole: str = "",
    stated: Mapping[str, Any] | None = None,
) -> Line:
    """Add a line of `count` like tools (1 to 500); its pieces number themselves. Returns the line.

    stated: what the line itself says of its tools, by the names of Family's columns: all else that the family knows
    is assumed; None where the family was chosen as a whole. match_tolerance_nm: within what diameter a matched line
    stays equal. hole: the one that is reamed, as it is written. Refusal where the count does not fit.
    """
    if not 1 <= count <= MOST_PIECES:
        raise Refusal(f"A line holds 1 to {MOST_PIECES} pieces, not {count}.")
    with event(by, "line logged", why=wording) as happened:
        line = Line.objects.create(
            batch=batch,
            number=next_number(batch),
            family=family,
            wording=wording,
            note=note,
            hole=hole,
            matched=matched,
            customer_tool_number=customer_tool_number,
            match_tolerance_nm=match_tolerance_nm,
            stated="" if stated is None else write_values(known(stated)),
        )
        add_pieces(line, count)
        record_change(happened, line, "logged", f"{pieces_word(count)}: {wording or family.name(batch.customer.unit)}")
        settle(batch)
    return line


def next_number(batch: Batch) -> int:
    """The next line's number; a number that was moved to another box is not used again. Refusal in a cancelled box."""
    if lock(batch.pk).cancelled:
        raise Refusal(f"Batch {batch} was cancelled. Undo that on its page, or choose another batch.")
    here = Line.objects.filter(batch=batch).aggregate(m=Max("number"))["m"] or 0
    moved = LineMove.every.filter(batch=batch).aggregate(m=Max("number"))["m"] or 0
    return max(here, moved) + 1


def set_aside(*, by: Person, line: Line) -> None:
    """Take back a line logged by mistake, within ten minutes and while none of its pieces was touched.

    The line stays, empty and marked; its pieces are struck as in a recount to none.
    """
    logged = line.changes.filter(kind="logged").select_related("event").order_by("pk").first()
    if logged is None or logged.recorded_at < timezone.now() - UNDO_FOR:
        raise Refusal("This line was logged more than ten minutes ago: count it again, or name the missing pieces.")
    with event(by, "line set aside") as happened:
        lock(line.batch_id)
        count = line.pieces.count()
        if not count:
            raise Refusal("This line is empty already.")
        strike(line, count)
        record_change(happened, line, "set aside", f"{pieces_word(count)} logged by mistake")
        settle(line.batch)


def split_line(*, by: Person, line: Line, pieces: Sequence[Piece], reason: str = "") -> Line:
    """Take some pieces into a line of their own; they keep their printed numbers. Returns the new line.

    Refusal for none or all of them, Conflict where one left the line meanwhile.
    """
    if not pieces or len(pieces) >= line.pieces.count():
        raise Refusal("Choose some of the pieces, not none and not all.")
    with event(by, "line split", why=reason) as happened:
        number = next_number(line.batch)
        fresh = Line.objects.get(pk=line.pk)
        fresh.pk, fresh.number = None, number
        fresh._state.adding = True
        fresh.save(force_insert=True)
        _move(pieces, line, fresh)
        for hook in AFTER_SPLIT:
            hook(happened, line, fresh)
        record_change(
            happened, line, "split", f"{pieces_word(len(pieces))} to line {number}: {names(pieces)}. {reason}".strip()
        )
        record_change(happened, fresh, "split", f"{pieces_word(len(pieces))} from line {line.number}. {reason}".strip())
    return fresh


def _move(pieces: Sequence[Piece], line: Line, into: Line) -> None:
    gone = len(pieces) - Piece.objects.filter(pk__in=[p.pk for p in pieces], line=line).update(line=into)
    if gone:
        raise Conflict(f"{pieces_word(gone)} left line {line} meanwhile.")
    touch(lines=[line.pk, into.pk])


def merge_lines(*, by: Person, line: Line, into: Line, reason: str = "") -> None:
    """Move every piece of a line into another of the same batch; the empty line stays, and says where they went.

    Where the families differ the pieces take the other's, and the note says what they were.
    """
    if line.pk == into.pk or line.batch_id != into.batch_id:
        raise Refusal("Choose another line of the same batch.")
    with event(by, "lines merged", why=reason) as happened:
        lock(line.batch_id)
        for hook in BEFORE_MERGE:
            hook(line, into)
        count = line.pieces.update(line=into)
        if not count:
            raise Refusal("This line is empty already.")
        touch(lines=[line.pk, into.pk])
        unit = line.batch.customer.unit
        were = "" if line.family_id == into.family_id else f", until now {line.family.name(unit)}"
        _retell_tools(into, into.family)
        record_change(happened, line, "merged", f"{pieces_word(count)} into line {into.number}. {reason}".strip())
        record_change(happened, into, "merged", f"{pieces_word(count)} from line {line.number}{were}. {reason}".strip())


def change_family(
    *, by: Person, line: Line, family: Family, reason: str = "", stated: Mapping[str, Any] | None = None
) -> None:
    """Say that a line's tools are of another kind or family, at any time; the line keeps what it was in words.

    stated: what the line itself says of its tools now, None where the family was chosen as a whole. Followed tools of
    the line go to the new family too. Refusal where pieces were inspected already and no reason is given.
    """
    touched = line.pieces.exclude(status__in=("arrived", "missing")).count()
    if touched and not reason:
        raise Refusal(f"{pieces_word(touched)} of this line were inspected already: write why the kind changes.")
    unit = line.batch.customer.unit
    with event(by, "kind changed", why=reason) as happened:
        touch(cells=cells_of([line.pk]), lines=[line.pk])
        if not Line.objects.filter(pk=line.pk, family=line.family_id).update(
            family=family, stated="" if stated is None else write_values(known(stated)), confirmed=""
        ):
            raise Conflict(f"Line {line} was changed to another kind meanwhile.")
        _retell_tools(line, family)
        record_change(happened, line, "kind", f"{line.family.name(unit)} → {family.name(unit)}. {reason}".strip())
    line.family = family


def _retell_tools(line: Line, family: Family) -> None:
    """The followed tools of a line are of its family."""
    there = line.pieces.filter(tool__isnull=False).values("tool")
    Tool.objects.filter(pk__in=there).exclude(family=family).update(family=family)


def confirm_dimensions(*, by: Person, line: Line, names: Sequence[str]) -> None:
    """Say that values which the family adds are right for this line. names: of Family's columns.

    Refusal where one of them is not assumed any more.
    """
    assumed = {dimension.name: dimension.value for dimension in assumed_dimensions(line)}
    if not names or not set(names) <= assumed.keys():
        raise Refusal("These values are not assumed any more: the page shows them as they are now.")
    confirmed = read_values(line.confirmed) | {name: assumed[name] for name in names}
    with event(by, "line changed"):
        unchanged = Line.objects.filter(pk=line.pk, family=line.family_id, confirmed=line.confirmed)
        if not unchanged.update(confirmed=write_values(confirmed)):
            raise Conflict(f"Line {line} was changed meanwhile.")
    line.confirmed = write_values(confirmed)


def change_line(*, by: Person, line: Line, **changes: Any) -> None:
    """Change what a line says of itself: customer_tool_number, matched, match_tolerance_nm, tolerance_nm,
    smallest_nm, shortest_nm, runout_limit_nm, chamfer_nm, other_radius_nm, hole_depth_nm,
    oversize_nm, hole, smaller_holes, narrowest_nm, gullet_limit_nm, reach_limit_nm, thickness_limit_nm, check_every,
    note."""
    with event(by, "line changed") as happened:
        if "matched" in changes and changes["matched"] != line.matched:
            record_change(happened, line, "matched", "keep matched" if changes["matched"] else "no longer matched")
        Line.objects.filter(pk=line.pk).update(**changes)


def _refuse_where_parted(done: Event, changes: Sequence[Change]) -> None:
    """A line that was split or merged since took its price and terms along: they are not put back on one half."""
    lines = [change.pk for change in changes if change.model is Line]
    later = LineChange.objects.filter(line__in=lines, kind__in=("split", "merged"), event__gt=done)
    if parted := later.select_related("event__by").order_by("-pk").first():
        raise depends_on(parted.event)


before_undo(_refuse_where_parted)
