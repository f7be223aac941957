"""Pieces at a coater, and counted back."""

from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from regrind.bench.grinding.actions import count_back, send_to_coater
from regrind.bench.models import CoaterPiece, CoaterSlip
from regrind.record.moves import reconcile
from regrind.shop.events import Refusal

from .tray import ground, pieces_of, send_undo

pytestmark = pytest.mark.django_db
WHERE = "/bench/417-1/at-coater"
SLIP = {"number": "C-118", "coater": "Brightcoat", "coating": "TiAlN"}


@pytest.fixture
def line(make_batch, bench_hand):
    line = make_batch(4, number=417).lines.get()
    ground(line, bench_hand)
    return line


def send(by, line, pieces, days=5):
    return send_to_coater(
        by=by, batch=line.batch, pieces=pieces, expected=timezone.localdate() + timedelta(days=days), **SLIP
    )


def test_ground_pieces_go_away_on_a_slip(line, hand, bench_hand):
    expected = timezone.localdate() + timedelta(days=6)
    answer = hand.send(WHERE, "send", **SLIP, expected=f"{expected}")
    assert answer.status_code == 302
    slip = CoaterSlip.objects.get()
    assert (slip.number, slip.coater, slip.coating, slip.expected, slip.by) == (
        "C-118",
        "Brightcoat",
        "TiAlN",
        expected,
        bench_hand,
    )
    assert len(pieces_of(line, "at_coater")) == 4
    assert reconcile(line.batch)["at_coater"] == 4


def test_they_are_counted_back_piece_by_piece(line, hand, bench_hand):
    pieces = pieces_of(line)
    send(bench_hand, line, pieces)
    answer = hand.send(WHERE, "back", do="back", pieces=[p.pk for p in pieces[:3]])
    assert answer["Location"] == "/bench/417-1/check"
    assert [p.number for p in pieces_of(line, "at_coater")] == [4]
    assert len(pieces_of(line, "ground")) == 3
    page = hand.open(WHERE).content.decode()
    assert "slip C-118" in page
    assert "1-4" in page


def test_what_is_overdue_is_said(line, hand, bench_hand):
    send(bench_hand, line, pieces_of(line)[:1], days=2)
    assert "overdue" not in hand.open("/bench/at-coater").content.decode()
    with time_machine.travel(timezone.now() + timedelta(days=5)):
        hand.client.force_login(bench_hand)
        for where in ("/bench/at-coater", WHERE):
            page = hand.open(where).content.decode()
            assert '<span class="mark rush">overdue by 3 days</span>' in page  # no ring with a bar: that reads as ⌀


def test_all_that_is_away_is_listed_most_overdue_first(make_batch, line, hand, bench_hand):
    other = make_batch(2, number=418).lines.get()
    ground(other, bench_hand)
    send(bench_hand, line, pieces_of(line)[:2], days=9)
    send(bench_hand, other, pieces_of(other), days=1)
    outs = hand.open("/bench/at-coater").context["slips"]
    assert [(str(out.line), len(out.pieces)) for out in outs] == [("418-1", 2), ("417-1", 2)]


def test_a_piece_sent_twice_stands_on_its_newest_slip(line, hand, bench_hand):
    [piece] = pieces_of(line)[:1]
    send(bench_hand, line, [piece])
    count_back(by=bench_hand, pieces=[piece])
    send_to_coater(by=bench_hand, batch=line.batch, pieces=[piece], number="C-200", coater="Other", coating="TiN")
    [out] = hand.open("/bench/at-coater").context["slips"]
    assert (out.slip.number, CoaterPiece.objects.count()) == ("C-200", 2)


def test_the_coater_and_coating_of_last_time_are_offered(line, hand, bench_hand):
    send(bench_hand, line, pieces_of(line)[:1])
    form = hand.open(WHERE).context["send"]
    assert (form["coater"].value(), form["coating"].value()) == ("Brightcoat", "AlTiN")


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("number", "", "Slip number is required"),
        ("coater", "", "Coater is required"),
        ("expected", "2001-01-01", "from"),
        ("expected", "soon", "2026-01-31"),
        ("done_at", "2999-01-01T00:00", "future"),
    ],
)
def test_wrong_input_is_said_beside_the_field_and_nothing_goes_away(line, hand, field, typed, said):
    answer = hand.send(WHERE, "send", **(SLIP | {field: typed}))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert answer.context["send"].errors.keys() == {field}
    assert answer.context["send"]["coating"].value() == "TiAlN"
    assert not CoaterSlip.objects.exists()
    assert not pieces_of(line, "at_coater")


def test_nothing_ticked_is_refused(line, hand, bench_hand):
    with pytest.raises(Refusal, match="Tick the pieces"):
        send(bench_hand, line, [])
    with pytest.raises(Refusal, match="Tick the pieces"):
        count_back(by=bench_hand, pieces=[])
    answer = hand.send(WHERE, "send", pieces=None, **SLIP)
    assert "Tick the pieces" in answer.content.decode()


def test_a_slip_sent_twice_goes_once_and_a_second_tablet_meets_a_conflict(line, hand):
    sent, other = hand.fill(WHERE, "send", **SLIP), hand.fill(WHERE, "send", **SLIP)
    assert hand.client.post(WHERE, sent)["Location"] == hand.client.post(WHERE, sent)["Location"]
    late = hand.client.post(WHERE, other)
    assert late.status_code == 409
    assert "1-1 is at the coater" in late.content.decode()
    assert CoaterSlip.objects.count() == 1


def test_sending_away_can_be_taken_back(line, hand):
    hand.send(WHERE, "send", **SLIP)
    send_undo(hand, hand.open(WHERE))
    assert len(pieces_of(line, "ground")) == 4
    assert hand.open("/bench/at-coater").context["slips"] == []


def test_empty_pages_say_what_to_do_first(make_batch, hand):
    make_batch(1, number=9)
    assert "Grind it first" in hand.open("/bench/9-1/at-coater").content.decode()
    assert "Nothing is at the coater" in hand.open("/bench/at-coater").content.decode()


@pytest.mark.parametrize("count", [1, 10, 400])
def test_queries_do_not_grow_with_the_pieces(count, make_batch, bench_hand, hand, django_assert_num_queries):
    line = make_batch(count, number=500).lines.get()
    send(bench_hand, line, ground(line, bench_hand))
    with django_assert_num_queries(4):
        hand.open("/bench/at-coater")
    with django_assert_num_queries(8):
        hand.open("/bench/500-1/at-coater")
