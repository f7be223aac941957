"""The packing slip: counts that add up, as they were when the parcel was packed; prices where they are wanted."""

from datetime import date

import pytest

from regrind.bench.grinding.actions import grind, send_to_coater
from regrind.bench.planning.actions import decide
from regrind.office import actions
from regrind.office.issuing import draft, issue
from regrind.record.models import Batch, Customer, ForeignItem, Line, Piece
from regrind.record.moves import move
from tests.events import make_event

from .conftest import pieces_of, words

pytestmark = pytest.mark.django_db
COLUMNS = ("ground", "returned_unground", "scrap", "recycled", "at_coater", "on_hand", "missing", "sent_before")


def slip(number):
    return draft("slip", number).values


@pytest.fixture
def mixed(make_batch, finish, look, bench_hand, front_desk):
    """A batch of 6 and 3: four ground, one unground, one missing; the second line still to be planned."""
    batch = make_batch(6, 3, number=417)
    first, second = batch.lines.all()
    pieces = pieces_of(first)
    finish(first, pieces=pieces[:4])
    look(pieces[4:5])
    decide(
        by=bench_hand,
        pieces=pieces[4:5],
        expected={},
        decision="not_ground",
        result="returned_unground",
        reason="core cracked",
    )
    move(pieces=pieces[5:], to="missing", by=front_desk, result="missing", reason="not in the box")
    look(pieces_of(second))
    return batch


def released(batch):
    return list(Piece.objects.filter(batch=batch, status="released").select_related("batch"))


def test_every_line_of_every_slip_adds_up_to_what_came(mixed, front_desk):
    pieces = released(mixed)
    actions.send_parcel(by=front_desk, batch=mixed, pieces=pieces[:2])
    actions.send_parcel(by=front_desk, batch=mixed, pieces=pieces[2:])
    for number in ("417/1", "417/2"):
        for line in slip(number).lines:
            assert sum(getattr(line, name) for name in COLUMNS) == line.received
    first, second = slip("417/1").lines[0], slip("417/2").lines[0]
    assert (first.ground, first.on_hand, first.missing) == (2, 3, 1)
    assert (second.ground, second.returned_unground, second.sent_before, second.missing) == (2, 1, 2, 1)


def test_a_slip_printed_again_after_the_next_parcel_is_the_same_paper(mixed, front_desk, bench_hand):
    pieces = released(mixed)
    actions.send_parcel(by=front_desk, batch=mixed, pieces=pieces[:2])
    first = issue(by=front_desk, kind="slip", number="417/1")
    actions.send_parcel(by=front_desk, batch=mixed, pieces=pieces[2:])
    move(
        pieces=list(Piece.objects.filter(line__number=2).select_related("batch")),
        to="released",
        by=bench_hand,
        result="scrap",
        reason="too short",
    )
    assert issue(by=front_desk, kind="slip", number="417/1").pk == first.pk


def test_it_says_their_order_why_and_what_follows(mixed, front_desk):
    Batch.objects.update(order_number="PO 88", their_count=10, difference="nine here, agreed with Tess")
    ForeignItem.objects.create(event=make_event(front_desk), batch=mixed, description="a 10 mm hex key")
    mixed.refresh_from_db()
    actions.send_parcel(by=front_desk, batch=mixed, pieces=released(mixed), note="Two racks")
    text = words(draft("slip", "417/1").draw())
    for part in (
        "PO 88",
        "1-5: core cracked",
        "1-6: not in the box",
        "Line 2: 3 inspected (2-1 to 2-3)",
        "Two racks",
        "Your list says 10; we counted 8.",
        "a 10 mm hex key",
        "Packed by Fay",
        "417/1",
        "5 pieces in this parcel",
    ):
        assert part in text
    assert "carbide, AlTiN" not in text  # the name leaves out the coating that the ground ones have lost
    assert "Tess" not in text  # what was agreed inside the shop stays there


def test_prices_stand_on_it_only_where_the_customer_wants_them(mixed, front_desk):
    actions.set_prices(by=front_desk, prices={Line.objects.get(number=1): 750})
    actions.send_parcel(by=front_desk, batch=mixed, pieces=released(mixed))
    assert "30.00" not in words(draft("slip", "417/1").draw())
    Customer.objects.update(prices_on_slip=True)
    text = words(draft("slip", "417/1").draw())
    assert "7.50" in text
    assert "Total USD 30.00" in text


def test_rush_and_batch_minimum_come_once_with_the_last_parcel(make_batch, finish, front_desk):
    batch = make_batch(4, number=418)
    Customer.objects.update(prices_on_slip=True, batch_minimum_minor=5000, rush_charge_minor=1000)
    Batch.objects.update(rush=True)
    pieces = finish(batch.lines.get())
    batch = Batch.objects.get()
    actions.set_prices(by=front_desk, prices={Line.objects.get(): 750})
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces[:1])
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces[1:])
    totals = [slip(number).total.minor for number in ("418/1", "418/2")]
    assert totals == [750, 2250 + 2000 + 1000]
    assert sum(totals) == 5000 + 1000
    assert [charge.label for charge in slip("418/2").charges] == ["Rush", "Added to reach the batch minimum"]


def test_a_complaint_costs_nothing_and_says_so_and_an_open_price_is_named(make_batch, finish, front_desk):
    old = pieces_of(make_batch(1, number=419).lines.get())[0]
    batch = make_batch(2, number=420)
    Customer.objects.update(prices_on_slip=True)
    Piece.objects.filter(batch=batch, number=1).update(complaint_of=old, complaint="chatters")
    pieces = finish(batch.lines.get())
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces)
    text = words(draft("slip", "420/1").draw())
    assert "1 on complaint, no charge" in text
    assert "price not agreed yet" in text


def test_what_is_at_the_coater_is_told_with_its_day(make_batch, look, bench_hand, front_desk, finish):
    batch = make_batch(3, number=421)
    line = batch.lines.get()
    pieces = pieces_of(line)
    finish(line, pieces=pieces[:1])
    look(pieces[1:])
    decide(by=bench_hand, pieces=pieces[1:], expected={}, decision="grind", diameter_nm=6_100_000, grinds="sides")
    grind(by=bench_hand, pieces=pieces[1:], expected={}, grinds=["sides"])
    send_to_coater(
        by=bench_hand,
        batch=batch,
        pieces=pieces[1:],
        number="C-1",
        coater="Brightcoat",
        coating="AlTiN",
        expected=date(2030, 1, 31),
    )
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces_of(line)[:1])
    assert slip("421/1").lines[0].at_coater == 2
    assert "2 ground, being coated, expected back 31 Jan 2030 (1-2, 1-3)" in words(draft("slip", "421/1").draw())


def test_scrap_recycled_here_is_counted_as_that(make_batch, look, bench_hand, front_desk):
    batch = make_batch(2, number=422)
    pieces = pieces_of(batch.lines.get())
    look(pieces)
    decide(by=bench_hand, pieces=pieces, expected={}, decision="not_ground", result="scrap", reason="cracked")
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces[:1], recycled=pieces[1:])
    line = slip("422/1").lines[0]
    assert (line.scrap, line.recycled, line.why) == (1, 1, "1-1, 1-2: cracked")


def test_tools_that_go_back_unground_are_named_with_their_coating_and_no_ground_column_stands(
    make_batch, look, bench_hand, front_desk
):
    batch = make_batch(2, number=423)
    pieces = pieces_of(batch.lines.get())
    look(pieces)
    unground = {"decision": "not_ground", "result": "returned_unground", "reason": "cracked"}
    decide(by=bench_hand, pieces=pieces, expected={}, **unground)
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces)
    text = words(draft("slip", "423/1").draw())
    assert "AlTiN" in text
    assert "Ground" not in text
    assert "–" not in text.replace("— ", "")


def test_unground_pieces_beside_ground_ones_are_named_as_still_coated(mixed, front_desk):
    actions.send_parcel(by=front_desk, batch=mixed, pieces=released(mixed))
    line = slip("417/1").lines[0]
    assert line.why == "1-5: core cracked; 1-6: not in the box; AlTiN still on 1-5"
    assert "AlTiN" not in str(line.description)


def test_a_piece_reground_before_is_not_named_as_still_coated(mixed, front_desk):
    Piece.objects.filter(batch=mixed, number=5).update(before_elsewhere=1)
    actions.send_parcel(by=front_desk, batch=mixed, pieces=released(mixed))
    assert "AlTiN" not in slip("417/1").lines[0].why


def test_queries_do_not_grow_with_pieces_or_lines(make_batch, finish, front_desk, django_assert_max_num_queries):
    counts = []
    for number, sizes in ((423, (1,)), (424, (10, 3, 2)), (425, (400,))):
        batch = make_batch(*sizes, number=number)
        for line in batch.lines.all():
            finish(line)
        actions.send_parcel(by=front_desk, batch=batch, pieces=released(batch))
        with django_assert_max_num_queries(20) as asked:
            draft("slip", f"{number}/1")
        counts.append(len(asked))
    assert len(set(counts)) == 1


def test_the_carrier_and_its_number_stand_on_the_slip_and_on_the_page_of_the_box(mixed, front_desk, client):
    carried = {"carrier": "Norddal Freight", "tracking": "ND 4471 09"}
    actions.send_parcel(by=front_desk, batch=mixed, pieces=released(mixed), **carried)
    assert "Carrier Norddal Freight, tracking number ND 4471 09" in words(draft("slip", "417/1").draw())
    client.force_login(front_desk)
    page = client.get("/office/417/").content.decode()
    assert "Carrier Norddal Freight, tracking number ND 4471 09" in page
