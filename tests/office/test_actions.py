from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from regrind.office import actions
from regrind.office.charges import bill
from regrind.office.models import Parcel
from regrind.record.models import Batch, Customer, Line, Piece
from regrind.record.moves import move, reconcile
from regrind.shop.events import Conflict, Refusal
from regrind.shop.undo import undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def ready(make_batch, bench_hand):
    """A batch of 3 and 2, all released: four ground, the last one scrap."""
    batch = make_batch(3, 2)
    pieces = list(batch.pieces.select_related("batch"))
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces, to=to, by=bench_hand)
    move(pieces=pieces[:4], to="released", by=bench_hand, result="ground")
    move(pieces=pieces[4:], to="released", by=bench_hand, result="scrap", reason="cracked")
    return batch


def pieces_of(batch):
    return list(batch.pieces.select_related("batch"))


def test_two_parcels_empty_the_batch_and_close_it(ready, front_desk):
    pieces = pieces_of(ready)
    first = actions.send_parcel(by=front_desk, batch=ready, pieces=pieces[:3])
    assert not Batch.objects.get().closed
    second = actions.send_parcel(by=front_desk, batch=ready, pieces=pieces[3:4], recycled=pieces[4:])
    assert (first.number, second.number) == (1, 2)
    assert Batch.objects.get().closed
    counts = reconcile(ready)
    assert (counts["left_ground"], counts["recycled"], counts["on_hand"]) == (4, 1, 0)


def test_a_parcel_is_taken_back_within_ten_minutes_once(ready, front_desk):
    parcel = actions.send_parcel(by=front_desk, batch=ready, pieces=pieces_of(ready))
    undo(by=front_desk, done=parcel.event)
    assert set(Piece.objects.values_list("status", flat=True)) == {"released"}
    assert list(Piece.objects.filter(result="scrap").values_list("reason", flat=True)) == ["cracked"]
    assert not Batch.objects.get().closed
    with pytest.raises(Conflict, match="already"):
        undo(by=front_desk, done=parcel.event)
    assert actions.send_parcel(by=front_desk, batch=ready, pieces=pieces_of(ready)).number == 2


def test_a_parcel_older_than_ten_minutes_stays(ready, front_desk):
    parcel = actions.send_parcel(by=front_desk, batch=ready, pieces=pieces_of(ready))
    with time_machine.travel(timezone.now() + timedelta(minutes=11)), pytest.raises(Refusal):
        undo(by=front_desk, done=parcel.event)
    assert Parcel.objects.exists()


def test_ground_tools_are_not_recycled(ready, front_desk):
    with pytest.raises(Refusal, match="Only scrap"):
        actions.send_parcel(by=front_desk, batch=ready, pieces=[], recycled=pieces_of(ready)[:1])


@pytest.mark.parametrize(
    ("decision", "status", "result"),
    [
        ("grind", "ready_to_grind", ""),
        ("returned_unground", "released", "returned_unground"),
        ("scrap", "released", "scrap"),
    ],
)
def test_an_answer_sends_the_pieces_on(make_batch, bench_hand, front_desk, decision, status, result):
    batch = make_batch(2)
    pieces = pieces_of(batch)
    for to in ("inspected", "waiting"):
        move(pieces=pieces, to=to, by=bench_hand)
    answer = actions.record_answer(
        by=front_desk,
        line=batch.lines.get(),
        pieces=pieces,
        who="Ms Lund",
        how="phone",
        agreed="as small as it takes",
        decision=decision,
    )
    assert answer.pieces.count() == 2
    assert {(p.status, p.result) for p in Piece.objects.all()} == {(status, result)}


def test_the_price_last_paid_is_found_and_a_complaint_is_free(ready, front_desk, make_batch, customer):
    line = ready.lines.first()
    actions.set_prices(by=front_desk, prices={line: 750, ready.lines.last(): 900})
    assert actions.last_paid(make_batch(1).lines.get())[0] == 900
    Piece.objects.filter(line=line, number=1).update(complaint_of=Piece.objects.last())
    assert bill(ready).total_minor == 2 * 750 + 1 * 900
    Customer.objects.update(batch_minimum_minor=5000, rush_charge_minor=1000)
    Batch.objects.filter(pk=ready.pk).update(rush=True)
    assert bill(Batch.objects.get(pk=ready.pk)).total_minor == 5000 + 1000


def test_a_line_with_ground_pieces_and_no_price_is_named(ready):
    assert [line.number for line in bill(ready).open_lines] == [1, 2]
    Line.objects.update(unit_price_minor=0)
    assert not bill(ready).open_lines
