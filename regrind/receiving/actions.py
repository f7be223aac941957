"""What happens at the counter: a box is logged, its lines counted, split, merged and mended. The only writers here."""
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Max, Min
from django.utils import timezone

from regrind.record.models import Batch, Customer, Family, Line, LineChange, Piece, Stray, Tool
from regrind.record.moves import close_if_done, move
from regrind.record.tags import new_tag
from regrind.shop.acting import Conflict, Refusal, acting
from regrind.shop.models import Person

MOST_PIECES = 500


def open_batch(*, by: Person, customer: Customer, order_number: str = "", their_count: int | None = None,
               due: date | None = None, rush: bool = False, note: str = "",
               received_at: datetime | None = None) -> Batch:
    """Log a box's arrival under the next number. Conflict where two were logged in the same instant."""
    with acting(by, "box received"):
        number = (Batch.objects.aggregate(m=Max("number"))["m"] or 0) + 1
        try:
            with transaction.atomic():
                return Batch.objects.create(number=number, customer=customer, order_number=order_number,
                                            their_count=their_count, due=due, rush=rush, note=note, received_by=by,
                                            received_at=received_at or timezone.now())
        except IntegrityError as clash:
            raise Conflict(f"Another box took number {number} just now: send the form again.") from clash


def change_batch(*, by: Person, batch: Batch, **changes: Any) -> None:
    """Change the head of a batch: order_number, their_count, difference, due, rush, note."""
    with acting(by, "batch changed"):
        Batch.objects.filter(pk=batch.pk).update(**changes)


def log_line(*, by: Person, batch: Batch, family: Family, count: int, said: str = "", customer_tool_number: str = "",
             matched: bool = False, match_tolerance_nm: int | None = None, note: str = "") -> Line:
    """Add a line of `count` like tools (1 to 500); its pieces number themselves."""
    if not 1 <= count <= MOST_PIECES:
        raise Refusal(f"A line holds 1 to {MOST_PIECES} pieces, not {count}.")
    with acting(by, said):
        number = (batch.lines.aggregate(m=Max("number"))["m"] or 0) + 1
        line = Line.objects.create(batch=batch, number=number, family=family, said=said, note=note, matched=matched,
                                   customer_tool_number=customer_tool_number, match_tolerance_nm=match_tolerance_nm)
        _add_pieces(line, count)
        close_if_done(batch)
    return line


def _add_pieces(line: Line, count: int) -> None:
    last = Piece.objects.filter(batch=line.batch_id, born_line=line.number).aggregate(m=Max("number"))["m"] or 0
    Piece.objects.bulk_create([Piece(batch_id=line.batch_id, born_line=line.number, number=last + k, line=line)
                               for k in range(1, count + 1)])


def recount(*, by: Person, line: Line, count: int, reason: str) -> None:
    """Set how many pieces a line holds: more are added; fewer are named missing, the untouched highest numbers first.

    No piece is ever deleted: one that was counted and is not there stands as missing, with the reason. Refusal where
    more would go than have not been touched yet.
    """
    there = line.pieces.exclude(whereabouts="missing")
    difference = count - there.count()
    if not 0 <= count <= MOST_PIECES:
        raise Refusal(f"A line holds 0 to {MOST_PIECES} pieces, not {count}.")
    untouched = list(there.filter(whereabouts="arrived").select_related("batch").order_by("-number"))
    if -difference > len(untouched):
        raise Refusal(f"Only {len(untouched)} pieces of this line are untouched: name the missing ones one by one.")
    with acting(by, reason):
        if difference > 0:
            _add_pieces(line, difference)
        elif difference < 0:
            move(pieces=untouched[:-difference], to="missing", by=by, result="missing", reason=reason)
        _note(line, "recounted", f"{count - difference} → {count}: {reason}", by)
        close_if_done(line.batch)


def name_missing(*, by: Person, pieces: Sequence[Piece], reason: str) -> None:
    """Say that pieces are not to be found, and why. Refusal without a reason or where one has left."""
    if not reason:
        raise Refusal("Say why they are missing.")
    with acting(by, reason):
        move(pieces=pieces, to="missing", by=by, result="missing", reason=reason)
        close_if_done(pieces[0].batch)


def name_found(*, by: Person, pieces: Sequence[Piece]) -> None:
    """Missing pieces turned up: each goes back to where it was before."""
    with acting(by, "found again"):
        for piece in pieces:
            gone = piece.steps.filter(pair__pair__endswith=">missing").order_by("-number").first()
            if gone is None or piece.whereabouts != "missing":
                raise Refusal(f"{piece} is not missing.")
            before = piece.steps.filter(number__lt=gone.number).order_by("-number").first()
            move(pieces=[piece], to=gone.was, by=by, result=before.result if before else "", reason="found again",
                 stands="")
        close_if_done(pieces[0].batch)


def split_line(*, by: Person, line: Line, pieces: Sequence[Piece], reason: str = "") -> Line:
    """Take some pieces into a line of their own; they keep their printed numbers. Returns the new line."""
    if not pieces or len(pieces) >= line.pieces.count():
        raise Refusal("Choose some of the pieces, not none and not all.")
    with acting(by, reason or "split"):
        number = (line.batch.lines.aggregate(m=Max("number"))["m"] or 0) + 1
        fresh = Line.objects.get(pk=line.pk)
        fresh.pk, fresh.number = None, number
        fresh._state.adding = True
        fresh.save(force_insert=True)
        Piece.objects.filter(pk__in=[p.pk for p in pieces], line=line).update(line=fresh)
        names = ", ".join(p.short for p in pieces[:20])
        _note(line, "split", f"{len(pieces)} pieces to line {number}: {names} {reason}".strip(), by)
        _note(fresh, "split", f"from line {line.number} {reason}".strip(), by)
    return fresh


def merge_lines(*, by: Person, line: Line, into: Line, reason: str = "") -> None:
    """Move every piece of a line into another of the same batch; the empty line stays, with a note."""
    if line.pk == into.pk or line.batch_id != into.batch_id:
        raise Refusal("Choose another line of the same batch.")
    with acting(by, reason or "merged"):
        count = line.pieces.update(line=into)
        _note(line, "merged", f"{count} pieces into line {into.number} {reason}".strip(), by)
        _note(into, "merged", f"{count} pieces from line {line.number} {reason}".strip(), by)


def change_family(*, by: Person, line: Line, family: Family, reason: str = "") -> None:
    """Say that a line's tools are of another kind or family. Refusal where pieces have been ground already."""
    if line.pieces.filter(whereabouts__in=("ground", "away")).exists():
        raise Refusal("Some of these are ground already: check them first.")
    with acting(by, reason or "kind changed"):
        _note(line, "kind", f"{line.family} → {family} {reason}".strip(), by)
        Line.objects.filter(pk=line.pk).update(family=family)


def change_line(*, by: Person, line: Line, **changes: Any) -> None:
    """Change what a line says of itself: their number, matched, tolerances, smallest, shortest, check every, note."""
    with acting(by, "line changed"):
        if "matched" in changes and changes["matched"] != line.matched:
            _note(line, "matched", "keep matched" if changes["matched"] else "no longer matched", by)
        Line.objects.filter(pk=line.pk).update(**changes)


def _note(line: Line, what: str, said: str, by: Person) -> None:
    LineChange.objects.create(line=line, what=what, said=said[:300], by=by)


def note_stray(*, by: Person, batch: Batch, what: str) -> Stray:
    """Write down something in the box that is not theirs."""
    with acting(by, what):
        return Stray.objects.create(batch=batch, what=what, by=by)


def follow(*, by: Person, piece: Piece, tool: Tool | None = None, customer_number: str = "", here: int | None = None,
           elsewhere: int | None = None) -> Tool:
    """Know a piece as a followed tool: one that was here before, or a new life tag.

    here, elsewhere: regrinds that the marks on the shank tell of. Refusal where the tool is another customer's, or is
    already in this batch.
    """
    batch = piece.batch
    if tool and (tool.customer_id != batch.customer_id or Piece.objects.filter(tool=tool, batch=batch).exists()):
        raise Refusal("That tool is another customer's, or is in this box already.")
    with acting(by, "tool followed"):
        if tool is None:
            tool = _new_tool(batch.customer, piece.line.family, customer_number, elsewhere or 0)
        visits = Piece.objects.filter(tool=tool, result="ground").count()
        Piece.objects.filter(pk=piece.pk).update(
            tool=tool, before_here=visits if here is None else here,
            before_elsewhere=tool.regrinds_elsewhere if elsewhere is None else elsewhere)
    return tool


def _new_tool(customer: Customer, family: Family, customer_number: str, elsewhere: int) -> Tool:
    for _ in range(20):
        tag = new_tag()
        if not Tool.objects.filter(tag=tag).exists():
            return Tool.objects.create(tag=tag, customer=customer, family=family, customer_number=customer_number,
                                       regrinds_elsewhere=elsewhere)
    raise Refusal("No free life tag was found: try again.")


def count_marks(*, by: Person, pieces: Sequence[Piece], here: int, elsewhere: int) -> None:
    """Write down what the marks on the shanks tell: regrinds here and elsewhere before (0 to 50 each)."""
    with acting(by, "marks on the shank"):
        Piece.objects.filter(pk__in=[p.pk for p in pieces]).update(before_here=here, before_elsewhere=elsewhere)


def complain(*, by: Person, piece: Piece, of: Piece, reason: str) -> None:
    """Link a piece to the visit it is a complaint about: no charge. Refusal where that is not an earlier visit here."""
    if of.batch.customer_id != piece.batch.customer_id or of.batch_id == piece.batch_id:
        raise Refusal("A complaint is about an earlier visit of this customer's tool.")
    with acting(by, reason):
        Piece.objects.filter(pk=piece.pk).update(complaint_of=of, complaint=reason)


def fitting_tools(line: Line, now_nm: int | None = None) -> list[Tool]:
    """This customer's followed tools that may be one of these: same family, last diameter no smaller than today's."""
    tools = Tool.objects.filter(customer=line.batch.customer_id, family=line.family_id).exclude(
        visits__batch=line.batch_id).annotate(since=Min("visits__batch__number")).order_by("tag")
    return [t for t in tools if now_nm is None or t.last_diameter_nm is None or t.last_diameter_nm >= now_nm]
