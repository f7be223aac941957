"""What waits to be ground, tray by tray, and the grind of a whole tray in one entry."""

from datetime import timedelta

import pytest
from django.utils import timezone

from regrind.bench.grinding.actions import Part, grind, grind_setup
from regrind.bench.models import Grind
from regrind.bench.setups.waiting import find_waiting
from regrind.record.models import Batch, Family, Piece
from regrind.shop.events import Conflict
from regrind.shop.models import Wheel

from .tray import INCH, pieces_of, ready_to_grind, send_undo

pytestmark = pytest.mark.django_db
WHERE = "/bench/setups"


@pytest.fixture
def drill(db):
    return Family.objects.create(kind="drill", nominal_nm=INCH // 2, teeth=2, material="HSS")


@pytest.fixture
def queue(make_batch, drill, bench_hand, wheel, holding):
    """Boxes that came mixed: end mills, drills, end mills to another size."""
    came = [make_batch(3, number=1), make_batch(2, number=2, of=drill), make_batch(4, number=3)]
    for n, batch in enumerate(came):
        Batch.objects.filter(pk=batch.pk).update(received_at=timezone.now() - timedelta(days=9 - n))
        ready_to_grind(batch.lines.get(), bench_hand, diameter_nm=6_000_000 if n == 2 else None)
    return came


def trays(page):
    return [(stage.tray.pieces, changes) for stage, changes, _ in page.context["stages"]]


def test_like_pieces_of_several_boxes_lie_in_one_tray_and_it_is_said_what_that_saves(queue, hand):
    page = hand.open(WHERE)
    assert trays(page) == [(7, ""), (2, "the wheel, what is ground, the relief, the band of diameters")]
    waiting = page.context["waiting"]
    assert (waiting.as_received.changes, waiting.in_order.changes) == (2, 1)
    assert waiting.in_order.weight < waiting.as_received.weight
    assert "The weights are common practice" in page.content.decode()


def test_between_two_lines_of_a_tray_only_what_changes_is_said(queue, hand):
    _, _, rows = hand.open(WHERE).context["stages"][0]
    first, second = sorted(rows, key=lambda row: row.lot.line.batch.number != 3)
    assert [name for name, _ in first.changes][:2] == ["Travel stop, from the end before it is ground", "Grind to"]
    assert "Grind to" in dict(second.changes)
    assert "Travel stop, from the end before it is ground" not in dict(second.changes)


def test_a_rush_comes_first(queue, hand):
    Batch.objects.filter(number=2).update(rush=True)
    assert [pieces for pieces, _ in trays(hand.open(WHERE))] == [2, 7]


def test_the_order_starts_from_what_was_ground_last(queue, hand, bench_hand, wheel):
    drills = pieces_of(queue[1].lines.get())
    cbn = Wheel.objects.create(name="B64", abrasive="CBN", diameter_nm=100_000_000)
    grind(by=bench_hand, pieces=drills[:1], expected={}, grinds=["point"], wheel=cbn)
    assert trays(hand.open(WHERE))[0] == (1, "")


def test_one_entry_keeps_the_grind_of_a_tray_of_two_lines_and_the_minutes_add_up(queue, hand, wheel, holding):
    key = find_waiting().stages[0].key
    answer = hand.send(f"{WHERE}/{key}", minutes="45.5", wheel=wheel.pk, holding=holding.pk)
    assert (answer.status_code, answer["Location"]) == (302, WHERE)
    rows = list(Grind.objects.select_related("piece"))
    assert len(rows) == 7
    assert len({row.setup for row in rows}) == 1
    assert sum(row.minutes_hundredths for row in rows) == 4550
    assert {row.minutes_hundredths for row in rows} == {650}
    assert {row.piece.status for row in rows} == {"ground"}
    assert {row.grinds for row in rows} == {"sides end"}
    assert all(row.infeed_radial_nm and row.end_taken_nm for row in rows)
    assert len({row.infeed_radial_nm for row in rows}) == 2  # each line as it was planned


@pytest.mark.parametrize("minutes", [0, 1, 100, 4550, 9999])
@pytest.mark.parametrize("sizes", [(1, 1), (3, 4), (7, 1, 12)])
def test_the_shares_of_every_setup_add_up_to_its_minutes(make_batch, bench_hand, minutes, sizes):
    lines = [ready_to_grind(make_batch(size).lines.get(), bench_hand) for size in sizes]
    grind_setup(
        by=bench_hand,
        expected={},
        minutes_hundredths=minutes,
        parts=[Part(tuple(pieces), ("sides",), {}) for pieces in lines],
    )
    shares = list(Grind.objects.values_list("minutes_hundredths", flat=True))
    assert sum(shares) == minutes
    assert max(shares) - min(shares) <= 1


def test_what_is_unticked_stays_ready_to_grind(queue, hand):
    key = find_waiting().stages[0].key
    ticked = hand.fill(f"{WHERE}/{key}")["pieces"][:2]
    assert hand.send(f"{WHERE}/{key}", minutes="5", pieces=ticked).status_code == 302
    assert Piece.objects.filter(status="ground").count() == 2
    assert find_waiting().stages[0].tray.pieces == 5


def test_a_second_tap_leads_where_the_first_one_led(queue, hand):
    where = f"{WHERE}/{find_waiting().stages[0].key}"
    sent = hand.fill(where, minutes="5")
    assert hand.client.post(where, sent)["Location"] == WHERE
    assert hand.client.post(where, sent)["Location"] == WHERE
    assert Grind.objects.count() == 7


def test_pieces_that_were_ground_meanwhile_are_a_conflict_and_nothing_of_the_tray_is_kept(queue, hand, bench_hand):
    where = f"{WHERE}/{find_waiting().stages[0].key}"
    sent = hand.fill(where, minutes="5")
    grind(by=bench_hand, pieces=pieces_of(queue[0].lines.get())[:1], expected={}, grinds=["sides", "end"])
    assert hand.client.post(where, sent).status_code == 409
    assert Grind.objects.count() == 1


def test_a_clash_in_the_last_line_takes_the_first_back(queue, bench_hand):
    lots = [pieces_of(batch.lines.get()) for batch in (queue[0], queue[2])]
    grind(by=bench_hand, pieces=pieces_of(queue[2].lines.get()), expected={}, grinds=["sides"], follows=True)
    with pytest.raises(Conflict):
        grind_setup(by=bench_hand, expected={}, parts=[Part(tuple(mine), ("sides",), {}) for mine in lots])
    assert Grind.objects.count() == 4
    assert not Piece.objects.filter(status="ground").exists()


def test_a_wheel_for_another_material_is_asked_about(queue, hand):
    where = f"{WHERE}/{find_waiting().stages[0].key}"
    cbn = Wheel.objects.create(name="B64 cup", abrasive="CBN", diameter_nm=100_000_000)
    refused = hand.send(where, minutes="5", wheel=cbn.pk)
    assert refused.status_code == 422
    assert "B64 cup is not for carbide" in refused.content.decode()
    assert hand.send(where, minutes="5", wheel=cbn.pk, wheel_sure="on").status_code == 302


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"minutes": ""}, "Minutes in all is required"),
        ({"minutes": "1e3x"}, "Write the minutes as 42"),
        ({"minutes": "5", "pieces": []}, "Tick the pieces that were ground"),
        ({"minutes": "5", "done_at": "2001-01-01T10:00"}, "before the last of these boxes came"),
    ],
)
def test_wrong_entries_are_named_beside_their_field(queue, hand, typed, said):
    answer = hand.send(f"{WHERE}/{find_waiting().stages[0].key}", **typed)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Grind.objects.exists()


def test_a_whole_setup_can_be_undone(queue, hand):
    hand.send(f"{WHERE}/{find_waiting().stages[0].key}", minutes="5")
    page = hand.open(WHERE)
    assert "Ground 7 pieces" in page.content.decode()
    assert send_undo(hand, page).status_code == 302
    assert find_waiting().pieces == 9
    assert (Grind.objects.count(), Grind.every.count()) == (0, 7)


def test_nothing_ready_to_grind_says_what_to_do_first(hand):
    assert "No piece is ready to grind. Plan what is inspected first" in hand.open(WHERE).content.decode()


def test_a_tray_that_is_gone_leads_back_to_the_list(hand):
    assert hand.open(f"{WHERE}/0123456789")["Location"] == WHERE
    assert hand.open(f"{WHERE}/nothing").status_code == 404


def test_the_pages_ask_no_more_of_the_database_with_more_pieces(
    hand, make_batch, bench_hand, django_assert_max_num_queries
):
    def queries(where) -> int:
        with django_assert_max_num_queries(60) as told:
            assert hand.open(where).status_code == 200
        return len(told)

    ready_to_grind(make_batch(1).lines.get(), bench_hand)
    page, one = queries(WHERE), queries(f"{WHERE}/{find_waiting().stages[0].key}")
    for batch in (make_batch(20), make_batch(9, 9)):
        for line in batch.lines.all():
            ready_to_grind(line, bench_hand)
    assert queries(WHERE) == page
    assert queries(f"{WHERE}/{find_waiting().stages[0].key}") == one


def test_a_tray_of_which_a_piece_went_on_says_where_it_is(queue, hand):
    stage = find_waiting().stages[0]
    where, (first, *_) = f"{WHERE}/{stage.key}", stage.lots[0].pieces
    sent = hand.fill(where, minutes="5")
    Piece.objects.filter(pk=first.pk).update(status="ground")
    clash = hand.client.post(where, sent)
    assert clash.status_code == 409
    assert f"{first} is ground" in clash.content.decode()
    assert ("minutes", "", "5") in clash.context["rows"]


def test_a_tray_that_is_gone_altogether_is_a_conflict(queue, hand):
    where = f"{WHERE}/{find_waiting().stages[0].key}"
    sent = hand.fill(where, minutes="5")
    Piece.objects.update(status="ground")
    assert hand.client.post(where, sent).status_code == 409
    assert hand.client.get(where).status_code == 302
