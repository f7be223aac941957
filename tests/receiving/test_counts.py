"""Counts always reconcile: counted again, missing, found again, set aside."""

from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from regrind.receiving import actions
from regrind.record.models import Line, LineChange, Piece, Step
from regrind.record.moves import move, reconcile
from regrind.shop.events import Refusal
from regrind.shop.models import History

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(12).lines.select_related("batch__customer", "family").get()


def held(line: Line) -> list[int]:
    return list(line.pieces.order_by("number").values_list("number", flat=True))


def test_more_pieces_are_numbered_on(front_desk, line):
    actions.recount(by=front_desk, line=line, count=14, reason="two under the foam")
    assert held(line) == list(range(1, 15))
    assert LineChange.objects.get().description == "12 → 14: two under the foam."


def test_fewer_pieces_strike_the_highest_untouched_and_the_history_keeps_them(front_desk, line):
    actions.recount(by=front_desk, line=line, count=10, reason="counted wrong")
    assert held(line) == list(range(1, 11))
    assert LineChange.objects.get().description == "12 → 10: counted wrong. Struck: 1-11, 1-12."
    gone = History.objects.filter(table="record_piece", what="gone")
    assert [(h.who, h.event.why) for h in gone] == [("Fay", "counted wrong")] * 2


def test_a_piece_that_something_happened_to_is_never_struck(front_desk, bench_hand, line):
    twelve, eleven = (
        line.pieces.get(number=12),
        line.pieces.select_related("batch__customer", "line__family").get(number=11),
    )
    move(pieces=[twelve], to="inspected", by=bench_hand)
    actions.give_tags(by=front_desk, pieces=[eleven])
    actions.recount(by=front_desk, line=line, count=11, reason="counted wrong")
    assert held(line) == [1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12]
    with pytest.raises(Refusal, match="Only 9 pieces"):
        actions.recount(by=front_desk, line=line, count=1, reason="counted wrong")
    assert len(held(line)) == 11


def test_a_struck_number_comes_back_with_the_piece(front_desk, line):
    actions.recount(by=front_desk, line=line, count=11, reason="counted wrong")
    actions.recount(by=front_desk, line=line, count=12, reason="it was there after all")
    assert held(line) == list(range(1, 13))


@pytest.mark.parametrize(
    ("count", "reason", "message"),
    [(501, "x", "0 to 500"), (-1, "x", "0 to 500"), (12, "x", "already"), (11, "", "the reason")],
)
def test_a_count_that_does_not_fit_is_refused(front_desk, line, count, reason, message):
    with pytest.raises(Refusal, match=message):
        actions.recount(by=front_desk, line=line, count=count, reason=reason)
    assert not LineChange.objects.exists()


def test_missing_pieces_stay_among_what_came_with_their_reason(front_desk, line):
    lost = list(line.pieces.select_related("batch").filter(number__in=(3, 4)))
    actions.name_missing(by=front_desk, pieces=lost, reason="not in the box")
    counts = reconcile(line.batch)
    assert (counts["received"], counts["missing"], counts["on_hand"]) == (12, 2, 10)
    assert set(Piece.objects.filter(status="missing").values_list("reason", flat=True)) == {"not in the box"}


def test_the_boxs_page_names_what_is_missing_and_why(counter, front_desk, line):
    lost = list(line.pieces.select_related("batch").filter(number__in=(3, 4)))
    actions.name_missing(by=front_desk, pieces=lost, reason="not in the box")
    assert "Missing: 1-3, 1-4: not in the box" in counter.get(f"/receiving/{line.batch.number}/").content.decode()


def test_a_recount_leaves_named_missing_pieces_alone(front_desk, line):
    lost = list(line.pieces.select_related("batch").filter(number=12))
    actions.name_missing(by=front_desk, pieces=lost, reason="lost")
    actions.recount(by=front_desk, line=line, count=10, reason="counted wrong")
    assert held(line) == [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12]


def test_a_piece_that_turned_up_goes_back_to_where_it_was(front_desk, bench_hand, line):
    piece = line.pieces.select_related("batch").get(number=1)
    move(pieces=[piece], to="inspected", by=bench_hand)
    actions.name_missing(by=bench_hand, pieces=[piece], reason="not on the tray")
    actions.name_found(by=bench_hand, pieces=[piece])
    piece.refresh_from_db()
    assert (piece.status, piece.result, piece.reason) == ("inspected", "", "")
    assert [s.pair_id for s in piece.steps.all()] == ["arrived>inspected", "inspected>missing", "missing>inspected"]


def test_a_piece_lost_and_found_twice_still_goes_back_to_where_it_was(front_desk, line):
    piece = line.pieces.select_related("batch").get(number=1)
    for _ in range(2):
        actions.name_missing(by=front_desk, pieces=[piece], reason="not on the tray")
        actions.name_found(by=front_desk, pieces=[piece])
    assert Piece.objects.get(pk=piece.pk).status == "arrived"


def test_a_piece_that_is_here_is_not_found_again(front_desk, line):
    with pytest.raises(Refusal, match="is not missing"):
        actions.name_found(by=front_desk, pieces=[line.pieces.select_related("batch").get(number=1)])


def test_nothing_missing_and_no_reason_are_refused(front_desk, line):
    with pytest.raises(Refusal, match="Tick"):
        actions.name_missing(by=front_desk, pieces=[], reason="x")
    with pytest.raises(Refusal, match="why"):
        actions.name_missing(by=front_desk, pieces=list(line.pieces.all()), reason="")
    assert not Step.objects.exists()


def test_a_box_of_which_all_is_missing_closes_and_opens_when_one_turns_up(front_desk, line):
    pieces = list(line.pieces.select_related("batch"))
    actions.name_missing(by=front_desk, pieces=pieces, reason="box stolen")
    line.batch.refresh_from_db()
    assert line.batch.closed
    actions.name_found(by=front_desk, pieces=pieces[:1])
    line.batch.refresh_from_db()
    assert not line.batch.closed


def test_a_line_logged_by_mistake_is_set_aside_and_the_box_stays_open(front_desk, make_batch, family):
    box = make_batch()
    line = actions.log_line(by=front_desk, batch=box, family=family, count=5, wording="5 x 1/4 3fl")
    actions.set_aside(by=front_desk, line=line)
    box.refresh_from_db()
    assert (line.pieces.count(), box.closed) == (0, False)
    assert [c.kind for c in line.changes.order_by("pk")] == ["logged", "set aside"]


def test_a_line_set_aside_can_be_counted_again(front_desk, make_batch, family):
    line = actions.log_line(by=front_desk, batch=make_batch(), family=family, count=5)
    actions.set_aside(by=front_desk, line=line)
    actions.recount(by=front_desk, line=line, count=4, reason="it was right after all")
    assert held(line) == [1, 2, 3, 4]


def test_after_ten_minutes_a_line_is_no_longer_set_aside(front_desk, make_batch, family):
    line = actions.log_line(by=front_desk, batch=make_batch(), family=family, count=5)
    with time_machine.travel(timezone.now() + timedelta(minutes=11)), pytest.raises(Refusal, match="ten minutes"):
        actions.set_aside(by=front_desk, line=line)
    assert line.pieces.count() == 5


def test_a_line_with_a_piece_on_the_bench_is_not_set_aside(front_desk, bench_hand, make_batch, family):
    line = actions.log_line(by=front_desk, batch=make_batch(), family=family, count=5)
    move(pieces=[line.pieces.select_related("batch").first()], to="inspected", by=bench_hand)
    with pytest.raises(Refusal, match="untouched"):
        actions.set_aside(by=front_desk, line=line)
    assert line.pieces.count() == 5


@pytest.mark.parametrize("count", [0, 501, -3])
def test_a_line_of_none_or_too_many_is_refused(front_desk, make_batch, family, count):
    with pytest.raises(Refusal, match="1 to 500"):
        actions.log_line(by=front_desk, batch=make_batch(), family=family, count=count)
    assert not Line.objects.exists()


def test_the_boxs_page_says_where_the_counts_differ_and_who_agreed_it(counter, make_batch):
    box = make_batch(12)
    type(box).objects.filter(pk=box.pk).update(their_count=13)
    page = counter.get(f"/receiving/{box.number}/").content.decode()
    assert "We logged 12, the customer counts 13. Write under" in " ".join(page.split())
    type(box).objects.filter(pk=box.pk).update(difference="Tess by phone")
    assert "Agreed: Tess by phone." in counter.get(f"/receiving/{box.number}/").content.decode()
