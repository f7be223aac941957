"""Undo: one event never was; its rows stand no longer and what it changed is as it was before."""

from datetime import timedelta

import pytest
import time_machine
from django.utils import timezone

from regrind.bench.grinding.actions import grind
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import Inspection
from regrind.geometry.units import parse
from regrind.office.actions import record_answer, send_parcel, set_prices
from regrind.office.models import Parcel
from regrind.receiving.actions import change_batch, change_line, complain, note_foreign_item
from regrind.record.models import Answer, FamilyMonth, Piece, Step
from regrind.record.moves import move
from regrind.record.undo_bar import undo_bar
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Event, History
from regrind.shop.undo import undo
from tests.bench.tray import pieces_of, ready_to_grind
from tests.events import newest_event, undo_newest

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch):
    return make_batch(2, number=417).lines.get()


def look(pieces, by, expected=None):
    return inspect(
        by=by, pieces=pieces, expected=expected or {}, typed={"diameter": parse("0.2498 in")}, damage="nothing"
    )


def test_one_action_is_one_event_and_all_its_rows_carry_it(line, bench_hand):
    rows = look(pieces_of(line), bench_hand)
    [happened] = Event.objects.filter(kind="inspected")
    assert (happened.by, happened.undoes) == (bench_hand, None)
    assert {row.event_id for row in rows} == {happened.pk} == set(Step.objects.values_list("event", flat=True))
    assert set(Piece.objects.values_list("last_event", flat=True)) == {happened.pk}


def test_an_undone_row_stands_no_longer_and_is_kept(line, bench_hand):
    look(pieces_of(line), bench_hand)
    done = undo_newest(pieces_of(line), bench_hand)
    assert (done.kind, done.undoes.kind) == ("undone", "inspected")
    assert not Inspection.objects.exists()
    assert not line.pieces.first().steps.exists()
    assert (Inspection.every.count(), Step.every.count()) == (2, 2)
    assert {(piece.status, piece.last_event) for piece in pieces_of(line)} == {("arrived", None)}


def test_a_page_from_before_the_undo_is_not_of_these_pieces_any_more(line, bench_hand):
    before = pieces_of(line)
    look(pieces_of(line), bench_hand)
    undo_newest(before, bench_hand)
    with pytest.raises(Conflict):
        move(pieces=before, to="inspected", by=bench_hand)


def test_the_next_revision_counts_the_undone_one(line, bench_hand):
    look(pieces_of(line), bench_hand)
    undo_newest(pieces_of(line), bench_hand)
    with pytest.raises(Conflict):
        look(pieces_of(line), bench_hand)
    again = pieces_of(line)
    look(again, bench_hand, {piece.pk: 1 for piece in again})
    assert set(Inspection.objects.values_list("revision", flat=True)) == {2}


def test_what_a_later_event_stands_on_is_not_undone_and_that_event_is_named(line, bench_hand):
    look(pieces_of(line), bench_hand)
    inspected = newest_event(pieces_of(line))
    ready_to_grind_only = pieces_of(line)[:1]
    move(pieces=ready_to_grind_only, to="ready_to_grind", by=bench_hand, kind="planned")
    with pytest.raises(Refusal, match="Planned") as refused:
        undo(by=bench_hand, done=inspected)
    assert refused.value.event == newest_event(ready_to_grind_only)
    assert {piece.status for piece in pieces_of(line)} == {"inspected", "ready_to_grind"}
    undo_newest(ready_to_grind_only, bench_hand)
    undo(by=bench_hand, done=inspected)
    assert {piece.status for piece in pieces_of(line)} == {"arrived"}


def test_a_setup_that_moved_no_piece_is_undone_too(line, bench_hand):
    ready_to_grind(line, bench_hand)
    grind(by=bench_hand, pieces=pieces_of(line), expected={}, grinds=["sides"], follows=True, minutes_hundredths=600)
    assert FamilyMonth.objects.get().minutes_hundredths == 600
    planned = Event.objects.filter(kind="planned").latest("pk")
    with pytest.raises(Refusal, match="Ground"):
        undo(by=bench_hand, done=planned)
    undo_newest(pieces_of(line), bench_hand)
    assert FamilyMonth.objects.get().minutes_hundredths == 0
    assert {piece.last_event for piece in pieces_of(line)} == {planned}


def test_nothing_is_undone_twice_and_no_undo_is_undone(line, bench_hand):
    look(pieces_of(line), bench_hand)
    inspected = newest_event(pieces_of(line))
    undoing = undo(by=bench_hand, done=inspected)
    with pytest.raises(Conflict, match="Bea has undone this already"):
        undo(by=bench_hand, done=inspected)
    with pytest.raises(Refusal, match="cannot be undone"):
        undo(by=bench_hand, done=undoing)


def test_after_ten_minutes_the_bench_gives_a_reason_and_the_desk_is_refused(line, bench_hand, front_desk):
    move(pieces=pieces_of(line), to="missing", by=front_desk, result="missing", reason="not in the box", kind="missing")
    missing = newest_event(pieces_of(line))
    with time_machine.travel(timezone.now() + timedelta(minutes=11)):
        with pytest.raises(Refusal, match="The bench or the owner can undo it, with a reason"):
            undo(by=front_desk, done=missing)
        with pytest.raises(Refusal, match="Write a reason"):
            undo(by=bench_hand, done=missing)
        undoing = undo(by=bench_hand, done=missing, why="they lay under the paper")
    assert undoing.why == "they lay under the paper"
    assert {(piece.status, piece.result, piece.reason) for piece in pieces_of(line)} == {("arrived", "", "")}


def test_whoever_recorded_something_may_undo_it_and_another_at_the_desk_may_not(line, bench_hand, front_desk):
    look(pieces_of(line), bench_hand)
    move(pieces=pieces_of(line), to="waiting", by=bench_hand, kind="planned")
    record_answer(
        by=front_desk, line=line, pieces=pieces_of(line), who="Ann", how="phone", agreed="go on", decision="grind"
    )
    answered = newest_event(pieces_of(line))
    front_desk.__class__.objects.create_user("Gus", front_desk=True)
    with pytest.raises(Refusal, match="Only Fay, the bench or the owner"):
        undo(by=front_desk.__class__.objects.get(name="Gus"), done=answered)
    undo(by=front_desk, done=answered)
    assert not Answer.objects.exists()
    assert {piece.status for piece in pieces_of(line)} == {"waiting"}


def test_a_parcel_that_is_undone_opens_its_box_again(line, bench_hand, front_desk):
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces_of(line), to=to, by=bench_hand)
    move(pieces=pieces_of(line), to="released", by=bench_hand, result="ground")
    send_parcel(by=front_desk, batch=line.batch, pieces=pieces_of(line))
    line.batch.refresh_from_db()
    assert line.batch.closed
    undo_newest(pieces_of(line), front_desk)
    line.batch.refresh_from_db()
    assert not line.batch.closed
    assert (Parcel.objects.count(), Parcel.every.count()) == (0, 1)
    assert {(piece.status, piece.result) for piece in pieces_of(line)} == {("released", "ground")}


def test_prices_terms_notes_and_strays_go_back_as_well(line, front_desk, owner):
    set_prices(by=front_desk, prices={line: 1450})
    change_line(by=front_desk, line=line, note="by Friday")
    change_batch(by=front_desk, batch=line.batch, rush=True)
    note_foreign_item(by=front_desk, batch=line.batch, description="a spoon")
    for happened in Event.objects.exclude(kind="test").order_by("pk"):
        undo(by=front_desk, done=happened)
    line.refresh_from_db()
    line.batch.refresh_from_db()
    assert (line.unit_price_minor, line.price_since, line.note, line.batch.rush) == (None, None, "", False)
    assert not line.batch.foreign_items.exists()


def test_a_price_that_was_changed_since_is_not_put_back(line, front_desk):
    set_prices(by=front_desk, prices={line: 1450})
    first = Event.objects.get(kind="priced")
    line.refresh_from_db()
    set_prices(by=front_desk, prices={line: 1500})
    with pytest.raises(Refusal, match="Prices set"):
        undo(by=front_desk, done=first)


def test_a_change_past_the_program_is_a_conflict(line, front_desk):
    set_prices(by=front_desk, prices={line: 1450})
    type(line).objects.filter(pk=line.pk).update(unit_price_minor=1)
    with pytest.raises(Conflict, match="outside of the program"):
        undo(by=front_desk, done=Event.objects.get(kind="priced"))


def test_a_complaint_is_undone_with_the_tag_it_brought(make_batch, line, bench_hand, front_desk):
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces_of(line), to=to, by=bench_hand)
    move(pieces=pieces_of(line), to="released", by=bench_hand, result="ground")
    send_parcel(by=front_desk, batch=line.batch, pieces=pieces_of(line))
    [again] = pieces_of(make_batch(1).lines.get())
    change_batch(by=front_desk, batch=again.batch, received_at=timezone.now() - timedelta(days=400))
    complain(by=front_desk, piece=again, earlier=pieces_of(line)[0], reason="chatters")
    assert sum(FamilyMonth.objects.values_list("complained", flat=True)) == 1
    undo(by=front_desk, done=Event.objects.get(kind="complaint"))
    again.refresh_from_db()
    assert (again.complaint, again.complaint_of) == ("", None)
    assert sum(FamilyMonth.objects.values_list("complained", flat=True)) == 0


def test_the_bar_names_the_newest_event_that_this_person_may_undo(line, bench_hand, front_desk):
    assert undo_bar(bench_hand, pieces_of(line)) is None
    look(pieces_of(line), bench_hand)
    bar = undo_bar(bench_hand, pieces_of(line))
    assert bar.words == f"Inspected 2 pieces, {timezone.localtime(bar.event.done_at):%H:%M}"
    assert not bar.reason_needed
    assert undo_bar(front_desk, pieces_of(line)) is None
    with time_machine.travel(timezone.now() + timedelta(minutes=11)):
        assert undo_bar(bench_hand, pieces_of(line)).reason_needed


def test_a_tap_on_the_bar_undoes_and_leads_back(client, line, bench_hand):
    look(pieces_of(line), bench_hand)
    client.force_login(bench_hand)
    where = f"/event/{newest_event(pieces_of(line)).pk}/undo"
    assert b"Inspected 2 pieces" in client.get(f"/bench/{line}/").content
    sent = {"once": "k", "next": f"/bench/{line}/"}
    assert client.post(where, sent)["Location"] == f"/bench/{line}/"
    assert client.post(where, sent)["Location"] == f"/bench/{line}/"  # a second tap on the same button
    assert client.post(where, {"once": "other"}).status_code == 409
    assert b"Undone by Bea" in client.get(where).content
    assert {piece.status for piece in pieces_of(line)} == {"arrived"}


def test_the_bar_never_leads_away_from_the_program(client, line, bench_hand):
    look(pieces_of(line), bench_hand)
    client.force_login(bench_hand)
    where = f"/event/{newest_event(pieces_of(line)).pk}/undo"
    assert client.post(where, {"once": "k", "next": "//elsewhere.example/"})["Location"] == f"/bench/{line}/"


def test_a_refusal_links_what_stands_on_it(client, line, bench_hand):
    look(pieces_of(line), bench_hand)
    inspected = newest_event(pieces_of(line))
    move(pieces=pieces_of(line), to="ready_to_grind", by=bench_hand, kind="planned")
    client.force_login(bench_hand)
    page = client.post(f"/event/{inspected.pk}/undo", {"once": "k"})
    assert page.status_code == 422
    assert f"/event/{newest_event(pieces_of(line)).pk}/undo" in page.content.decode()


def test_an_event_that_added_rows_is_refused(line, front_desk, customer):
    with event(front_desk, "moved") as made:
        type(customer).objects.create(name="Another")
    with pytest.raises(Refusal, match="it added rows"):
        undo(by=front_desk, done=made)


def test_history_and_its_chain_hold_the_event(line, bench_hand):
    look(pieces_of(line), bench_hand)
    [happened] = Event.objects.filter(kind="inspected")
    assert set(History.objects.filter(event=happened).values_list("table", flat=True)) == {
        "shop_event",
        "record_piece",
        "bench_reading",
    }
