"""Mistakes of the counter: a box logged for another customer, one that never was, a line in the wrong box."""

from collections.abc import Sequence

from regrind.record.line_hooks import BEFORE_MOVE
from regrind.record.models import Batch, Customer, Line, LineMove, OwnerChange, Piece
from regrind.record.moves import about
from regrind.record.rollups import cells_of, touch
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Event, Person

from .common import lock, names, pieces_word, record_change, settle
from .counts import strike, untouched
from .lines import next_number

GONE = ("left", "recycled")


def change_owner(*, by: Person, batch: Batch, customer: Customer, reason: str) -> None:
    """Say that a box is another customer's. Limits hold from now on as that customer's terms say; what was planned
    before stays, and its pages say under whose limits it was made. Prices that were set stay.

    Refusal without a reason, where pieces went back already, or where one is followed as the other's tool; Conflict
    where the customer was changed meanwhile.
    """
    if not reason:
        raise Refusal("Write the reason.")
    if customer.pk == batch.customer_id:
        raise Refusal(f"Batch {batch} is {customer}'s already.")
    with event(by, "owner changed", why=reason) as happened:
        lock(batch.pk)
        lines = list(batch.lines.order_by("number"))
        _refuse_bound(list(batch.pieces.all()), batch.customer)
        touch(cells=cells_of(line.pk for line in lines), lines=[line.pk for line in lines])
        if not Batch.objects.filter(pk=batch.pk, customer=batch.customer_id).update(customer=customer):
            raise Conflict(f"The customer of batch {batch} was changed meanwhile.")
        for line in lines:
            _record_owner(happened, line, batch.customer, customer, reason)


def _refuse_bound(pieces: Sequence[Piece], customer: Customer) -> None:
    """Pieces that went back, or that are known as this customer's, stay this customer's."""
    if gone := [piece for piece in pieces if piece.status in GONE]:
        raise Refusal(f"{names(gone)} went back to {customer} already.")
    if known := [piece for piece in pieces if piece.tool_id or piece.complaint_of_id]:
        raise Refusal(
            f"{names(known)}: followed as {customer}'s tool, or a complaint. Take that back on the line's page first."
        )


def _record_owner(happened: Event, line: Line, was: Customer, now: Customer, reason: str) -> None:
    OwnerChange.objects.create(event=happened, line=line, was=was)
    record_change(happened, line, "customer", f"{was} → {now}. {reason}")


def cancel_batch(*, by: Person, batch: Batch, reason: str) -> None:
    """Cancel a box that is empty or was logged by mistake; its number stays, with the reason, and is not used again.

    Refusal without a reason, or where something has happened to a piece of it.
    """
    if not reason:
        raise Refusal("Write the reason.")
    with event(by, "box cancelled", why=reason) as happened:
        if lock(batch.pk).cancelled:
            raise Refusal(f"Batch {batch} is cancelled already.")
        for line in batch.lines.order_by("number"):
            if count := line.pieces.count():
                if len(untouched(line)) < count:
                    raise Refusal(f"Work was recorded on line {line}: a box that was worked on is not cancelled.")
                strike(line, count)
                record_change(happened, line, "set aside", f"{pieces_word(count)}: the box was cancelled. {reason}")
        Batch.objects.filter(pk=batch.pk).update(cancelled=reason)
        settle(batch)


def move_line(*, by: Person, line: Line, into: Batch, reason: str) -> None:
    """Move a line with its pieces to another box: it gets the next number there, and its old number still finds it.

    Refusal without a reason, into the same or a cancelled box, for an empty line, where pieces went back, where some
    were born in another line or now lie in one, or where one is followed as a tool of another customer.
    """
    if not reason:
        raise Refusal("Write the reason.")
    old = line.batch
    if into.pk == old.pk:
        raise Refusal("Choose another batch.")
    with event(by, "line moved", why=reason) as happened:
        for pk in sorted((old.pk, into.pk)):
            lock(pk)
        pieces = list(line.pieces.select_related("batch"))
        _refuse_unmovable(line, pieces, into)
        for hook in BEFORE_MOVE:
            hook(line)
        was, number = str(line), next_number(into)
        touch(cells=cells_of([line.pk]), lines=[line.pk])
        if not Line.objects.filter(pk=line.pk, batch=old, number=line.number).update(batch=into, number=number):
            raise Conflict(f"Line {was} was moved meanwhile.")
        Piece.objects.filter(line=line).update(batch=into, original_line=number)
        LineMove.objects.create(event=happened, line=line, batch=old, number=line.number)
        record_change(happened, line, "moved", f"{was} → {into.number}-{number}. {reason}")
        if into.customer_id != old.customer_id:
            _record_owner(happened, line, old.customer, into.customer, reason)
        about(happened, [piece.pk for piece in pieces])
        settle(old)
        settle(into)
    line.batch, line.number = into, number


def _refuse_unmovable(line: Line, pieces: Sequence[Piece], into: Batch) -> None:
    if not pieces:
        raise Refusal("This line is empty: there is nothing to move.")
    if into.customer_id == line.batch.customer_id:
        if gone := [piece for piece in pieces if piece.status in GONE]:
            raise Refusal(f"{names(gone)} went back already.")
    else:
        _refuse_bound(pieces, line.batch.customer)
    apart = Piece.objects.filter(batch=line.batch, original_line=line.number).exclude(line=line)
    if mixed := [*(piece for piece in pieces if piece.original_line != line.number), *apart.select_related("batch")]:
        raise Refusal(f"{names(mixed)}: split off or merged from another line. Put them back together first.")
