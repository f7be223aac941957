"""A grind that is sent twice, met by another tablet, or undone."""

import pytest

from regrind.bench.grinding.actions import grind
from regrind.bench.models import Grind
from regrind.record.models import FamilyMonth

from .tray import pieces_of, ready_to_grind, send_undo

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(3, number=417).lines.get()


WHERE = "/bench/417-1/grind"


@pytest.mark.usefixtures("sums")
def test_a_setup_that_another_follows_is_undone_and_stays_on_record(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    hand.send(WHERE, minutes="30", grinds=["sides"], rest="follows")
    page = hand.open(WHERE)
    assert "Ground 3 pieces" in page.content.decode()
    assert send_undo(hand, page)["Location"] == WHERE
    page = hand.open(WHERE)
    assert "Undone: Ground 3 pieces" in page.content.decode()
    assert page.context["form"]["grinds"].value() == ["sides", "end"]
    assert (Grind.objects.count(), Grind.every.count()) == (0, 3)
    assert "undone by Bea" in hand.client.get("/bench/piece/417-1-1").content.decode()
    month = FamilyMonth.objects.get()
    assert (month.minutes_n, month.minutes_hundredths) == (0, 0)
    hand.send(WHERE, minutes="10")
    month.refresh_from_db()
    assert (month.minutes_n, month.minutes_hundredths) == (3, 1000)


def test_the_same_form_sent_twice_acts_once(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    sent = hand.fill(WHERE, minutes="42")
    first, second = hand.client.post(WHERE, sent), hand.client.post(WHERE, sent)
    assert (first.status_code, second.status_code) == (302, 302)
    assert first["Location"] == second["Location"]
    assert Grind.objects.count() == 3
    other = hand.client.post(WHERE, sent | {"minutes": "99"})
    assert other.status_code == 409
    assert "99" in other.content.decode()


def test_pieces_that_someone_else_ground_meanwhile_are_a_conflict(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    sent = hand.fill(WHERE, minutes="42")
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"])
    answer = hand.client.post(WHERE, sent)
    assert answer.status_code == 409
    assert "1-1 is ground" in answer.content.decode()
    assert Grind.objects.count() == 3


def test_a_newer_grind_row_is_a_conflict_and_nothing_is_overwritten(line, bench_hand, hand):
    pieces = ready_to_grind(line, bench_hand)
    sent = hand.fill(WHERE, minutes="42")
    grind(by=bench_hand, pieces=pieces, expected={}, grinds=["sides"], follows=True)
    assert hand.client.post(WHERE, sent).status_code == 409
    assert set(Grind.objects.values_list("minutes_hundredths", flat=True)) == {0}


def test_ground_pieces_can_be_taken_back_from_the_next_page(line, bench_hand, hand):
    ready_to_grind(line, bench_hand)
    hand.send(WHERE, minutes="5")
    page = hand.open("/bench/417-1/check")
    send_undo(hand, page)
    assert len(pieces_of(line, "ready_to_grind")) == 3
    hand.send(WHERE, minutes="6")
    assert Grind.objects.filter(revision=2).count() == 3
