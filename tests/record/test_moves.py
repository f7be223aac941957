from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from regrind.record.models import Piece, Step
from regrind.record.moves import move, reconcile
from regrind.shop.events import Conflict, Refusal
from tests.events import make_event

pytestmark = pytest.mark.django_db


def test_a_piece_moves_and_the_step_says_who(make_batch, bench_hand):
    piece = make_batch(1).pieces.get()
    move(pieces=[piece], to="inspected", by=bench_hand)
    step = piece.steps.get()
    assert (step.was, step.now, step.by) == ("arrived", "inspected", bench_hand)
    assert Piece.objects.get().status == "inspected"


def test_a_move_that_is_not_allowed_is_refused_and_nothing_is_written(make_batch, bench_hand):
    piece = make_batch(1).pieces.get()
    with pytest.raises(Refusal, match="cannot become released"):
        move(pieces=[piece], to="released", by=bench_hand)
    assert not Step.objects.exists()


def test_the_database_itself_refuses_a_pair_that_is_not_in_the_table(make_batch, bench_hand):
    piece = make_batch(1).pieces.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        _write_step_and_check(piece, bench_hand)


def _write_step_and_check(piece, by):
    Step.objects.create(event=make_event(by), piece=piece, number=1, pair_id="arrived>left")
    connection.check_constraints()  # the foreign key is checked at commit: do it now


def test_a_page_that_saw_an_older_state_gets_a_conflict(make_batch, bench_hand):
    batch = make_batch(1)
    mine, theirs = batch.pieces.get(), batch.pieces.get()
    move(pieces=[theirs], to="inspected", by=bench_hand)
    with pytest.raises(Conflict, match="meanwhile it is inspected"):
        move(pieces=[mine], to="inspected", by=bench_hand)


def test_a_time_in_the_future_is_refused(make_batch, bench_hand):
    with pytest.raises(Refusal, match="future"):
        move(
            pieces=make_batch(1).pieces.all(),
            to="inspected",
            by=bench_hand,
            done_at=timezone.now() + timedelta(hours=1),
        )


def test_counts_reconcile_whatever_happened(make_batch, bench_hand):
    batch = make_batch(4)
    first, second, *_ = batch.pieces.all()
    move(pieces=[first], to="missing", by=bench_hand, result="missing", reason="not in the box")
    move(pieces=[second], to="inspected", by=bench_hand)
    counts = reconcile(batch)
    assert counts["received"] == 4 == counts["missing"] + counts["on_hand"]
    assert counts["missing"] == 1
