"""The bench's pages: where a line's pieces are, the one thing to do next, and a piece's whole story."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from regrind.bench.models import Plan
from regrind.record.models import Batch, Piece
from regrind.record.moves import move

from .tray import send_undo

pytestmark = pytest.mark.django_db


def queries(at_bench, path) -> int:
    at_bench.get(path)  # the first request warms what is cached for the process
    with CaptureQueriesContext(connection) as seen:
        assert at_bench.get(path).status_code == 200
    return len(seen)


def test_the_bench_is_empty_until_a_box_is_logged(at_bench):
    assert "Nothing is on the bench" in at_bench.get("/bench/").content.decode()


def test_the_bench_lists_lines_by_what_they_wait_for_rush_first(at_bench, make_batch, inspected):
    make_batch(2)
    rush = make_batch(3)
    Batch.objects.filter(pk=rush.pk).update(rush=True)
    inspected(4)
    html = at_bench.get("/bench/").content.decode()
    assert html.index("To inspect") < html.index(">Line 2-1<") < html.index(">Line 1-1<") < html.index("To plan")
    assert html.index("To plan") < html.index(">Line 3-1<")


def test_a_line_offers_what_most_pieces_wait_for_last_and_in_dye(at_bench, make_batch, inspect_typed):
    line = make_batch(3).lines.get()
    ids = list(line.pieces.order_by("number").values_list("pk", flat=True))
    at_bench.post(f"/bench/{line}/inspect", pieces=ids[:1], **inspect_typed)
    html = at_bench.get(f"/bench/{line}/").content.decode()
    assert "Inspect 2 pieces" in html
    assert "Plan 1 piece" in html
    assert html.index("Plan 1 piece") < html.index('class="button next"') < html.index("Inspect 2 pieces")


def test_the_front_desk_sees_a_line_and_is_offered_no_bench_step(client, front_desk, make_batch):
    line = make_batch(1).lines.get()
    client.force_login(front_desk)
    html = client.get(f"/bench/{line}/").content.decode()
    assert "1-1" in html
    assert "Inspect 1 piece" not in html
    assert client.get(f"/bench/{line}/inspect").status_code == 403
    assert client.get(f"/bench/{line}/plan").status_code == 403


def test_a_piece_tells_its_story_with_who_and_when(at_bench, inspected):
    line, ids = inspected(2)
    at_bench.post(f"/bench/{line}/plan", do="returned_unground", pieces=ids, reason="shank bent")
    html = at_bench.get("/bench/piece/1-1-2").content.decode()
    assert "As 1-1-1; no reading was taken on this piece" in html
    assert "shank bent" in html
    assert "Bea" in html
    assert "inspected → released" in html


def test_a_step_is_undone_from_the_lines_page_and_stays_on_record(at_bench, inspected):
    line, ids = inspected(2)
    at_bench.post(f"/bench/{line}/plan", do="returned_unground", pieces=ids, reason="shank bent")
    once = at_bench.post(f"/bench/{line}/", pieces=ids)
    assert once.status_code == 405
    assert send_undo(at_bench, at_bench.get(f"/bench/{line}/")).status_code == 302
    assert set(Piece.objects.values_list("status", "result")) == {("inspected", "")}
    assert (Plan.objects.count(), Plan.every.count()) == (0, 2)
    assert "undone by Bea" in at_bench.get("/bench/piece/1-1-1").content.decode()


@pytest.mark.parametrize(
    "path",
    [
        "/bench/9-9/",
        "/bench/9-9/inspect",
        "/bench/9-9/plan",
        "/bench/piece/9-9-9",
        "/bench/piece/x/plan",
        "/bench/1e5-1/",
        "/bench/²-1/",
    ],
)
def test_a_number_that_is_not_there_answers_404(at_bench, path):
    assert at_bench.get(path).status_code == 404


@pytest.mark.parametrize("step", ["arrived", "inspected", "planned"])
def test_pages_ask_the_database_as_often_for_400_pieces_as_for_one(at_bench, make_batch, inspect_typed, step):
    counts = {}
    for n in (1, 10, 400):
        line = make_batch(n).lines.get()
        ids = list(line.pieces.values_list("pk", flat=True))
        if step != "arrived":
            assert at_bench.post(f"/bench/{line}/inspect", pieces=ids, **inspect_typed).status_code == 302
        if step == "planned":
            at_bench.post(f"/bench/{line}/plan", do="ask", pieces=ids, reason="all right?")
        counts[n] = [
            queries(at_bench, path)
            for path in (
                f"/bench/{line}/",
                f"/bench/{line}/inspect",
                f"/bench/{line}/plan",
                f"/bench/piece/{line}-1",
                "/bench/",
            )
        ]
    assert counts[1] == counts[10] == counts[400]


def test_a_line_inspected_piece_by_piece_asks_no_more_often(at_bench, make_batch, inspect_typed):
    counts = {}
    for n in (2, 12):
        line = make_batch(n).lines.get()
        for pk in line.pieces.values_list("pk", flat=True):
            at_bench.post(f"/bench/{line}/inspect", pieces=[pk], **inspect_typed)
        counts[n] = queries(at_bench, f"/bench/{line}/plan")
    assert counts[2] == counts[12]


def test_the_bench_is_told_who_records_the_answer_and_offered_no_page_that_refuses_it(at_bench, inspected, bench_hand):
    line, _ = inspected(1)
    [piece] = line.pieces.all()
    move(pieces=[piece], to="waiting", by=bench_hand, reason="smaller than agreed")
    for address in (f"/bench/{line}/", f"/bench/piece/{piece}"):
        assert "/answer" not in at_bench.get(address).content.decode()
    assert "The front desk records" in at_bench.get(f"/bench/{line}/").content.decode()
