"""Pieces going from one place in the shop to another: the only writer of steps and status."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from django.db.models import Count, F

from regrind.shop.events import Conflict, Refusal, before_commit, event
from regrind.shop.models import Event, Person
from regrind.shop.undo import Change, before_undo

from .models import Batch, Line, Piece, Step
from .models.pieces import STATUSES
from .rollups import cells_of, touch

FORWARD = {
    "arrived": ("inspected", "missing"),
    "inspected": ("waiting", "ready_to_grind", "released", "missing"),
    "waiting": ("ready_to_grind", "released", "inspected", "missing"),
    "ready_to_grind": ("ground", "released", "inspected", "waiting", "missing"),
    "ground": ("at_coater", "released", "ready_to_grind", "inspected", "waiting", "missing"),
    "at_coater": ("ground", "missing"),
    "released": ("left", "recycled", "ready_to_grind", "inspected", "missing"),
    "missing": ("arrived", "inspected", "waiting", "ready_to_grind", "ground", "released", "at_coater"),
    "left": (),
    "recycled": (),
}
ON_HAND = ("arrived", "inspected", "waiting", "ready_to_grind", "ground", "released")


def allowed_pairs() -> list[str]:
    """Every allowed pair `from>to`."""
    return sorted(f"{was}>{now}" for was, after in FORWARD.items() for now in after)


def move(
    *,
    pieces: Iterable[Piece],
    to: str,
    by: Person | None,
    result: str | None = None,
    reason: str = "",
    stands: str | None = None,
    kind: str = "moved",
    done_at: datetime | None = None,
) -> list[Step]:
    """Move pieces to a status, one step row each, all or none.

    pieces: as the page saw them: their status and steps_taken are compared with the record. result: the new
    result, None to leave it. reason: why, kept with the step; it becomes the piece's own reason where it is not
    ground, unless `stands` says another. kind, done_at: of the event, where this is not within one. Raises Conflict
    where a piece is no longer where the page saw it, Refusal where the pair is not allowed. Returns the steps.
    """
    pieces = list(pieces)
    with event(by, kind, why=reason, done_at=done_at) as moving:
        _refuse_wrong_pairs(pieces, to)
        steps = [
            Step(
                event=moving,
                piece=piece,
                number=piece.steps_taken + 1,
                pair_id=f"{piece.status}>{to}",
                result=piece.result if result is None else result,
                reason=reason,
            )
            for piece in pieces
        ]
        _place(pieces, to, result, reason if stands is None else stands, moving)
        Step.objects.bulk_create(steps)
        about(moving, [piece.pk for piece in pieces])
    return steps


def _refuse_wrong_pairs(pieces: Sequence[Piece], to: str) -> None:
    for piece in pieces:
        if f"{piece.status}>{to}" not in ALL_PAIRS:
            raise Refusal(
                f"{piece} is {piece.get_status_display()}: it cannot become {dict(STATUSES).get(to, to)} now."
            )


def _place(pieces: Sequence[Piece], to: str, result: str | None, reason: str, moving: Event) -> None:
    """Set the new status where the pieces still stand as they were seen, like ones in one query."""
    alike: dict[tuple[str, str, int], list[Piece]] = defaultdict(list)
    for piece in pieces:
        alike[piece.status, piece.result, piece.steps_taken].append(piece)
    for (was, had, taken), group in alike.items():
        new_result = had if result is None else result
        changes: dict[str, Any] = {
            "status": to,
            "result": new_result,
            "steps_taken": taken + 1,
            "last_event": moving,
        }
        if reason and new_result in ("returned_unground", "scrap", "missing"):
            changes["reason"] = reason
        elif new_result in ("", "ground"):
            changes["reason"] = ""
        as_shown = Piece.objects.filter(pk__in=[piece.pk for piece in group], status=was, steps_taken=taken)
        if as_shown.update(**changes) != len(group):
            raise _moved_meanwhile(group, moving)
        for piece in group:
            piece.status, piece.result, piece.steps_taken = to, new_result, taken + 1


def _moved_meanwhile(group: Sequence[Piece], moving: Event) -> Conflict:
    now = {piece.pk: piece for piece in Piece.objects.filter(pk__in=[piece.pk for piece in group])}
    piece = next(piece for piece in group if now[piece.pk].last_event_id != moving.pk)
    return Conflict(
        f"{piece} was {piece.get_status_display()} on your page; meanwhile it is {now[piece.pk].get_status_display()}."
    )


def about(happened: Event, pieces: Iterable[int]) -> None:
    """Say that an event is about these pieces (primary keys): the newest of each, and the review counts them anew."""
    ids = list(pieces)
    before_commit(_set_last_event, ((happened.pk, pk) for pk in ids))
    touch(pieces=ids)


def _set_last_event(pairs: set[tuple[int, int]]) -> None:
    for happened in sorted({event_pk for event_pk, _ in pairs}):
        ids = [pk for event_pk, pk in pairs if event_pk == happened]
        Piece.objects.filter(pk__in=ids).exclude(last_event=happened).update(last_event=happened)


def _count_undo(done: Event, changes: Sequence[Change]) -> None:
    """Pieces whose event is undone are not the pieces of any open page, and are counted anew; so are their boxes."""
    by_model: dict[type, list[int]] = defaultdict(list)
    for change in changes:
        by_model[change.model].append(change.pk)
    pieces = by_model[Piece]
    complained_of = {
        values.get("complaint_of_id")
        for change in changes
        if change.model is Piece
        for values in (change.old, change.new)
    }
    lines = [*by_model[Line], *Line.objects.filter(batch__in=by_model[Batch]).values_list("pk", flat=True)]
    Piece.objects.filter(pk__in=pieces).update(steps_taken=F("steps_taken") + 1)
    touch(pieces=[*pieces, *(pk for pk in complained_of if pk)], lines=lines, cells=cells_of(lines))
    before_commit(_close_all, Piece.objects.filter(pk__in=pieces).values_list("batch", flat=True).distinct())
    before_commit(_close_all, _batches_of(changes))


def _batches_of(changes: Sequence[Change]) -> set[int]:
    """The batches that an undo changes, and those that its lines and pieces are in or go back to."""
    keys = {change.pk for change in changes if change.model is Batch}
    parts = [change for change in changes if change.model in (Line, Piece)]
    return keys | {
        values["batch_id"]
        for change in parts
        for values in (change.old, change.new, change.gone)
        if "batch_id" in values
    }


def _close_all(batches: set[int]) -> None:
    for batch in Batch.objects.filter(pk__in=batches).order_by("pk"):
        close_if_done(batch)


def close_if_done(batch: Batch) -> None:
    """Mark the batch closed when nothing of it is on hand or at the coater any more, or when it was cancelled; else
    open. A batch without a piece is open: its lines are still to be logged."""
    open_pieces = batch.pieces.filter(status__in=(*ON_HAND, "at_coater")).exists()
    cancelled = Batch.objects.filter(pk=batch.pk).exclude(cancelled="").exists()
    closed = cancelled or (batch.pieces.exists() and not open_pieces)
    Batch.objects.filter(pk=batch.pk).exclude(closed=closed).update(closed=closed)


def reconcile(batch: Batch) -> dict[str, int]:
    """Count a batch's pieces by where they are, those that went back by their result.

    `received` is the sum of the others by construction of the status; the caller shows both sides.
    """
    counts = dict.fromkeys(
        (
            "received",
            "left_ground",
            "left_returned_unground",
            "left_scrap",
            "recycled",
            "at_coater",
            "on_hand",
            "missing",
        ),
        0,
    )
    for where, result, n in batch.pieces.values_list("status", "result").annotate(n=Count("id")).order_by():
        counts["received"] += n
        if where == "left":
            counts[f"left_{result or 'returned_unground'}"] += n
        else:
            counts[where if where in counts else "on_hand"] += n
    return counts


ALL_PAIRS = frozenset(allowed_pairs())
before_undo(_count_undo)
