"""Pieces going from one place in the shop to another: the only writer of steps and whereabouts."""
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import Count, F, QuerySet
from django.db.models.functions import Coalesce
from django.utils import timezone

from regrind.shop.acting import Conflict, Refusal, acting
from regrind.shop.models import Person

from .models import Batch, Piece, Step
from .rollups import touch

UNDO_FOR = timedelta(minutes=10)

FORWARD = {
    "arrived": ("looked_at", "missing"),
    "looked_at": ("waiting", "to_grind", "released", "missing"),
    "waiting": ("to_grind", "released", "looked_at", "missing"),
    "to_grind": ("ground", "released", "looked_at", "waiting", "missing"),
    "ground": ("away", "released", "to_grind", "looked_at", "waiting", "missing"),
    "away": ("ground", "missing"),
    "released": ("left", "recycled", "to_grind", "looked_at", "missing"),
    "missing": ("arrived", "looked_at", "waiting", "to_grind", "ground", "released", "away"),
    "left": (),
    "recycled": (),
}
ON_HAND = ("arrived", "looked_at", "waiting", "to_grind", "ground", "released")


def allowed_pairs() -> dict[str, bool]:
    """Every allowed pair `from>to`, and whether it is there for undo alone."""
    pairs = {f"{was}>{now}": False for was, after in FORWARD.items() for now in after}
    for pair in list(pairs):
        was, now = pair.split(">")
        pairs.setdefault(f"{now}>{was}", True)
    return pairs


def move(*, pieces: Iterable[Piece], to: str, by: Person, done_at: datetime | None = None, result: str | None = None,
         reason: str = "", stands: str | None = None, undoes: dict[int, Step] | None = None) -> list[Step]:
    """Move pieces to a whereabouts, one step row each, all or none.

    pieces: as the page saw them: their whereabouts and steps_taken are compared with the record. done_at: when it
    was done, if entered later. result: the new result, None to leave it. reason: why, kept with the step; it becomes
    the piece's own reason where it is not ground, unless `stands` says another. undoes: for an undo, the step each
    piece takes back, by piece id. Raises Conflict where a piece is no longer where the page saw it, Refusal where the
    pair is not allowed. Returns the steps.
    """
    now = timezone.now()
    when = done_at or now
    if when > now:
        raise Refusal("The time it was done lies in the future.")
    steps = []
    with acting(by, reason):
        for piece in pieces:
            pair = f"{piece.whereabouts}>{to}"
            if pair not in ALL_PAIRS or (ALL_PAIRS[pair] and not undoes):
                raise Refusal(f"{piece} is {piece.get_whereabouts_display()}: from there it cannot become "
                              f"{dict(Piece._meta.get_field('whereabouts').choices or []).get(to, to)}.")
            _place(piece, to, result, reason if stands is None else stands)
            steps.append(Step(piece=piece, number=piece.steps_taken, pair_id=pair, result=piece.result, reason=reason,
                              done_at=when, recorded_at=now, by=by, undoes=(undoes or {}).get(piece.pk)))
        Step.objects.bulk_create(steps)
        touch(pieces=[step.piece_id for step in steps])
    return steps


def _place(piece: Piece, to: str, result: str | None, reason: str) -> None:
    """Set the new whereabouts where the piece still stands as it was seen."""
    new_result = piece.result if result is None else result
    seen = Piece.objects.filter(pk=piece.pk, whereabouts=piece.whereabouts, steps_taken=piece.steps_taken)
    changes = {"whereabouts": to, "result": new_result, "steps_taken": F("steps_taken") + 1}
    if reason and new_result in ("as_it_came", "scrap", "missing"):
        changes["reason"] = reason
    elif new_result in ("", "ground"):
        changes["reason"] = ""
    if not seen.update(**changes):
        now = Piece.objects.get(pk=piece.pk)
        raise Conflict(f"{piece} was {piece.get_whereabouts_display()} on your page; "
                       f"meanwhile it is {now.get_whereabouts_display()}.")
    piece.whereabouts, piece.result, piece.steps_taken = to, new_result, piece.steps_taken + 1


def undo(*, pieces: Iterable[Piece], by: Person, within: timedelta = UNDO_FOR) -> list[Step]:
    """Take back each piece's last step, within ten minutes of its recording; history keeps both.

    Raises Refusal where the last step is older, is itself an undo, or there is none.
    """
    steps = []
    with acting(by, "undone"):
        for piece in pieces:
            last = piece.steps.order_by("-number").first()
            if last is None or last.undoes_id or last.recorded_at < timezone.now() - within:
                raise Refusal(f"{piece} has no step of the last ten minutes to take back.")
            before = piece.steps.filter(number__lt=last.number).order_by("-number").first()
            steps += move(pieces=[piece], to=last.was, by=by, result=before.result if before else "",
                          reason="undone", stands=_reason_of(before), undoes={piece.pk: last})
    return steps


def _reason_of(step: Step | None) -> str:
    """Why a piece was not ground, as it stood after this step."""
    if step is None:
        return ""
    told = Step.objects.filter(piece=step.piece, number__lte=step.number, result=step.result).exclude(reason="")
    newest = told.order_by("-number").first()
    return newest.reason if newest else ""


def forward_steps() -> QuerySet[Step]:
    """Steps that take nothing back.

    Not by `undoes=None`: SQLite takes the unique index of that column for the best way to its many empty values, and
    reads every step ever made.
    """
    return Step.objects.alias(taking_back=Coalesce("undoes_id", 0)).filter(taking_back=0)


def close_if_done(batch: Batch) -> None:
    """Mark the batch closed when nothing of it is on hand or away, open again when something is."""
    open_pieces = batch.pieces.filter(whereabouts__in=(*ON_HAND, "away")).exists()
    Batch.objects.filter(pk=batch.pk).exclude(closed=not open_pieces).update(closed=not open_pieces)


def reconcile(batch: Batch) -> dict[str, int]:
    """Count a batch's pieces: came, left_ground, left_as_it_came, left_scrap, recycled, away, on_hand, missing.

    `came` is the sum of the others by construction of the whereabouts; the caller shows both sides.
    """
    counts = dict.fromkeys(("came", "left_ground", "left_as_it_came", "left_scrap", "recycled", "away", "on_hand",
                            "missing"), 0)
    for where, result, n in batch.pieces.values_list("whereabouts", "result").annotate(n=Count("id")).order_by():
        counts["came"] += n
        if where == "left":
            counts[f"left_{result or 'as_it_came'}"] += n
        else:
            counts[where if where in counts else "on_hand"] += n
    return counts


ALL_PAIRS = allowed_pairs()
