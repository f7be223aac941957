"""Answers, prices and parcels by plain posts, with wrong input at every field."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
import time_machine
from django.conf import settings
from django.utils import timezone

from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces
from regrind.geometry.units import parse
from regrind.office.models import Parcel
from regrind.office.questions import asked
from regrind.record.models import Answer, Batch, Customer, Line, Piece
from regrind.record.moves import move

from .conftest import pieces_of

pytestmark = pytest.mark.django_db
TOMORROW = (timezone.now() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")


@pytest.fixture
def waiting(make_batch, look, bench_hand):
    line = make_batch(3, number=417).lines.get()
    look(pieces_of(line))
    move(pieces=pieces_of(line), to="waiting", by=bench_hand)
    return line


@pytest.fixture
def released(make_batch, finish):
    batch = make_batch(3, 2, number=417)
    finish(batch.lines.first())
    return batch


def ids(pieces):
    return [str(piece.pk) for piece in pieces]


def say(waiting, **changed):
    return {
        "pieces": ids(pieces_of(waiting)),
        "decision": "grind",
        "who": "Ms Lund",
        "how": "phone",
        "agreed": "as small as it takes",
        "answered_at": "",
    } | changed


def test_an_answer_sends_the_pieces_ready_to_grind_and_names_who(waiting, desk):
    response = desk.post("/office/417-1/answer", "/office/417-1/answer", **say(waiting))
    assert response["Location"] == "/office/417/"
    answer = Answer.objects.get()
    assert (answer.who, answer.how, answer.agreed, answer.by.name) == (
        "Ms Lund",
        "phone",
        "as small as it takes",
        "Fay",
    )
    assert set(Piece.objects.values_list("status", flat=True)) == {"ready_to_grind"}
    assert "Ms Lund" in desk.get("/office/417-1/answer").content.decode()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"pieces": []}, "Pieces is required"),
        ({"pieces": ["99999"]}, "no longer waiting"),
        ({"decision": ""}, "is required"),
        ({"decision": "melt"}, "Select a valid choice"),
        ({"who": ""}, "Who answered is required"),
        ({"who": "x" * 121}, "at most 120"),
        ({"how": "pigeon"}, "Select a valid choice"),
        ({"agreed": ""}, "is required"),
        ({"agreed": "x" * 501}, "at most 500"),
        ({"answered_at": "soon"}, "2026-01-31 14:30"),
        ({"answered_at": TOMORROW}, "is in the future"),
    ],
)
def test_a_wrong_answer_is_told_beside_its_field_and_nothing_is_kept(waiting, desk, changed, said):
    answer = desk.post("/office/417-1/answer", "/office/417-1/answer", **say(waiting, **changed))
    text = answer.content.decode()
    assert answer.status_code == 422
    assert said in text
    assert "as small as it takes" in text or "agreed" in changed
    assert not Answer.objects.exists()
    assert set(Piece.objects.values_list("status", flat=True)) == {"waiting"}


def test_a_line_that_does_not_wait_says_so(released, desk):
    assert "No piece of this line is waiting" in desk.get("/office/417-1/answer").content.decode()


def test_an_answer_for_a_piece_that_is_no_longer_waiting_is_a_conflict(waiting, desk, front_desk):
    sent = say(waiting)
    move(pieces=pieces_of(waiting)[:1], to="ready_to_grind", by=front_desk)
    answer = desk.post("/office/417-1/answer", "/office/417-1/answer", **sent)
    assert answer.status_code == 409
    assert "is ready to grind now" in answer.content.decode()
    assert not Answer.objects.exists()


def test_a_parcel_with_a_piece_that_has_left_is_a_conflict(released, desk, front_desk):
    pieces = pieces_of(released.lines.first())
    move(pieces=pieces[:1], to="left", by=front_desk)
    answer = desk.post("/office/417/parcel", "/office/417/parcel", send=ids(pieces), note="Two racks", sent_at="")
    assert answer.status_code == 409
    assert "Two racks" in answer.content.decode()
    assert not Parcel.objects.exists()


def test_prices_are_kept_dated_and_what_was_last_paid_can_be_taken(released, desk, make_batch):
    answer = desk.post("/office/417/prices", "/office/417/prices", line_1="7.50", line_2="")
    assert answer["Location"] == "/office/417/"
    line = Line.objects.get(number=1)
    assert (line.unit_price_minor, line.price_since) == (750, timezone.localdate())
    assert Line.objects.get(number=2).unit_price_minor is None
    make_batch(1, number=418)
    assert 'value="7.50"' not in desk.get("/office/418/prices").content.decode().replace('data-value="7.50"', "")
    assert 'value="7.50"' in desk.get("/office/418/prices", last="1").content.decode().replace('data-value="7.50"', "")


@pytest.mark.parametrize("wrong", ["free", "-1", "1.234", "1.2.3", "12345678", "7,5,0", "."])
def test_a_wrong_price_is_told_and_kept_and_no_price_is_written(released, desk, wrong):
    answer = desk.post("/office/417/prices", "/office/417/prices", line_1=wrong, line_2="4")
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "is not a price. Write a number" in text
    assert f'value="{wrong}"' in text
    assert not Line.objects.exclude(unit_price_minor=None).exists()


def test_a_parcel_is_packed_in_part_and_what_stays_is_named(released, desk):
    first = pieces_of(released.lines.first())
    page = desk.get("/office/417/parcel").content.decode()
    assert "Not in this parcel" in page
    assert "Received: 2-1, 2-2" in page
    answer = desk.post("/office/417/parcel", "/office/417/parcel", send=ids(first[:2]), note="Two racks", sent_at="")
    assert answer["Location"] == "/office/417/"
    assert Parcel.objects.get().pieces.count() == 2
    assert Piece.objects.filter(status="released").count() == 1
    assert "Print slip 1" in desk.get("/office/417/").content.decode()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"send": []}, "Tick at least one piece"),
        ({"send": ["99999"]}, "no longer released"),
        ({"recycle": ["99999"]}, "no longer released scrap"),
        ({"note": "x" * 301}, "at most 300"),
        ({"sent_at": "later"}, "2026-01-31 14:30"),
        ({"sent_at": TOMORROW}, "is in the future"),
    ],
)
def test_a_wrong_parcel_is_told_and_nothing_leaves(released, desk, changed, said):
    fields = {"send": ids(pieces_of(released.lines.first())), "note": "Two racks", "sent_at": ""} | changed
    answer = desk.post("/office/417/parcel", "/office/417/parcel", **fields)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert said in text
    assert "Two racks" in text or "note" in changed
    assert not Parcel.objects.exists()
    assert not Piece.objects.filter(status="left").exists()


def test_scrap_of_a_customer_who_does_not_want_it_is_ticked_for_recycling(make_batch, look, bench_hand, desk):
    Customer.objects.update(scrap="recycle")
    line = make_batch(2, number=417).lines.get()
    look(pieces_of(line))
    move(pieces=pieces_of(line), to="released", by=bench_hand, result="scrap", reason="cracked")
    first, second = pieces_of(line)
    both = desk.post("/office/417/parcel", "/office/417/parcel", send=[first.pk], recycle=[first.pk, second.pk])
    assert "either sent or recycled" in both.content.decode()
    desk.post("/office/417/parcel", "/office/417/parcel", send=[first.pk], recycle=[second.pk])
    assert list(Piece.objects.values_list("status", flat=True)) == ["left", "recycled"]


def test_a_parcel_is_taken_back_on_the_page_within_ten_minutes(released, desk):
    pieces = pieces_of(released.lines.first())
    desk.post("/office/417/parcel", "/office/417/parcel", send=ids(pieces))
    where = re.search(r'"(/event/\d+/undo\?next=/office/417/)"', desk.get("/office/417/").content.decode())[1]
    answer = desk.post(where, where)
    assert answer["Location"] == "/office/417/"
    assert (Parcel.objects.count(), Parcel.every.count()) == (0, 1)
    assert Piece.objects.filter(status="released").count() == 3
    text = desk.get("/office/417/").content.decode()
    assert "undone by" in text
    assert "Print slip 1" not in text


def test_a_parcel_of_yesterday_cannot_be_taken_back(released, desk):
    desk.post("/office/417/parcel", "/office/417/parcel", send=ids(pieces_of(released.lines.first())))
    with time_machine.travel(timezone.now() + timedelta(minutes=11)):
        desk.client.force_login(Parcel.objects.get().by)
        where = f"/event/{Parcel.objects.get().event_id}/undo"
        assert "more than ten minutes ago" in desk.get(where).content.decode()
        answer = desk.client.post(where, {"once": "k"})
    assert answer.status_code == 422
    assert "The bench or the owner can undo it, with a reason" in answer.content.decode()
    assert Parcel.objects.exists()


def test_the_same_parcel_sent_twice_leaves_once(released, desk):
    fields = {"once": "k", "send": ids(pieces_of(released.lines.first())), "note": "", "sent_at": ""}
    first, second = (desk.client.post("/office/417/parcel", fields) for _ in range(2))
    assert first.status_code == 302
    assert second["Location"] == first["Location"]
    assert Parcel.objects.count() == 1


def test_the_same_answer_sent_twice_is_kept_once(waiting, desk):
    first, second = (desk.client.post("/office/417-1/answer", {"once": "k", **say(waiting)}) for _ in range(2))
    assert second["Location"] == first["Location"]
    assert Answer.objects.count() == 1


def test_the_office_page_shows_the_question_and_counts_waiting_pieces_apart(make_batch, look, bench_hand, desk):
    line = make_batch(3, number=417).lines.get()
    pieces = pieces_of(line)
    look(pieces)
    decide(by=bench_hand, pieces=pieces[:2], expected={}, decision="ask", reason="worth grinding at 8.25 each?")
    page = desk.get("/office/")
    [item] = page.context["waiting"]
    assert (item.line, item.count, [q.pieces for q in item.questions]) == (line, 2, ["1-1, 1-2"])
    assert "worth grinding at 8.25 each?" in page.content.decode()
    [batch] = page.context["batches"]
    assert (batch.busy, batch.waiting, batch.released) == (1, 2, 0)


def test_the_office_page_shows_what_waits_and_what_is_ready(waiting, desk, make_batch, finish):
    finish(make_batch(2, number=418).lines.get())
    text = desk.get("/office/").content.decode()
    assert "Enter the answer" in text
    assert "/office/418/parcel" in text
    Batch.objects.update(closed=True)
    assert "No open batch" in desk.get("/office/").content.decode()


def test_a_question_says_the_size_now_after_each_option_and_the_limit(make_batch, look, bench_hand, desk):
    line = make_batch(2, number=430).lines.get()
    Line.objects.update(smallest_nm=parse("0.2300 in").nm)
    line.refresh_from_db()
    pieces = pieces_of(line)
    look(pieces, "0.2498 in", typed={"flute_length": parse("0.75 in"), "damage_depth": parse("0.002 in")})
    [group] = [one for one in group_pieces(line, pieces) if one.answer]
    decide(by=bench_hand, pieces=pieces, expected={}, decision="ask", chosen=0, reason="one edge is burnt")
    [question] = asked(pieces_of(line))
    assert question.now == "diameter .2498\u202fin"
    assert question.limit == "diameter .2300\u202fin or more"
    left = [option for option in group.answer["options"] if option["verdict"] != "scrap"]
    assert len(question.after) == len(left) > 0
    assert question.after[0].startswith(("sides", "end"))
    for address in ("/office/", "/office/430-1/answer"):
        page = desk.get(address).content.decode()
        assert "Size now: diameter .2498\u202fin" in page
        assert f"After {question.after[0]}" in page
        assert "Limit: diameter .2300\u202fin or more" in page


def test_pages_with_nothing_but_facts_at_their_head_share_it():
    head = '{% page_head heading %}\n    <div class="facts">\n'
    rows = "      {% for fact in facts %}<span>{{ fact }}</span>{% endfor %}\n    </div>\n  {% endpage_head %}"
    folder = Path(settings.BASE_DIR) / "templates" / "office"
    assert [path.name for path in folder.rglob("*.html") if head + rows in path.read_text()] == []
    assert len([path for path in folder.rglob("*.html") if 'include "office/_head.html"' in path.read_text()]) >= 7
