"""Prices proposed from the list with their reason, set by hand with who and why, fixed when the last parcel left."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from regrind.bench.grinding.actions import grind
from regrind.office import actions
from regrind.office.charges import bill
from regrind.office.fixing import fix_prices
from regrind.office.models import FixedTerms
from regrind.office.proposals import PriceList, less, propose
from regrind.record.models import Batch, Customer, Line, Piece
from regrind.record.moves import move
from regrind.record.rate_changes import keep_list
from regrind.record.rates import SHOP, Band
from regrind.shop.events import Refusal
from regrind.shop.models import Event, ShopSettings
from regrind.shop.undo import undo

from .conftest import pieces_of

pytestmark = pytest.mark.django_db
SQUARE = (None, "square")


@pytest.fixture
def put(owner):
    def act(entries, day=date(2020, 1, 1)):
        return keep_list(by=owner, entries=entries, from_day=day, stale=lambda: False)

    return act


@pytest.fixture
def ground(make_batch, bench_hand):
    """A batch of three and one, ground and released: sides and end, the last line's piece the end alone."""

    def act(number=None):
        batch = make_batch(3, 1, number=number)
        for line, grinds in zip(batch.lines.order_by("number"), (["sides", "end"], ["end"]), strict=True):
            pieces = pieces_of(line)
            move(pieces=pieces, to="inspected", by=bench_hand)
            move(pieces=pieces, to="ready_to_grind", by=bench_hand)
            grind(by=bench_hand, pieces=pieces, expected={}, grinds=grinds, wheel=None, holding=None)
            move(pieces=pieces, to="released", by=bench_hand, result="ground")
        return batch

    return act


def proposals(batch):
    lines = list(batch.lines.select_related("family").order_by("number"))
    answers = propose(lines, PriceList([batch]))
    return [answers[line.pk] for line in lines]


def test_each_line_is_proposed_the_price_of_its_work_with_the_reason(ground, put):
    put({(SQUARE, "price", "sides end"): 1_750, (SQUARE, "price", "end"): 600})
    both, end = proposals(ground())
    assert (both.minor, end.minor) == (1_750, 600)
    assert both.why == "price list: sides and end, end mill, square, 17.50"
    assert end.why == "price list: end, end mill, square, 6.00"


def test_a_discount_is_rounded_once_on_one_piece_and_not_taken_off_their_own_price(ground, put, customer):
    put({(SQUARE, "price", "sides end"): 1_755, (Band(customer=customer.pk), "discount", ""): 1_250})
    both, _ = proposals(batch := ground())
    assert both.minor == less(1_755, 1_250) == 1_536  # 1755 · 0.875 = 1535.625
    assert both.why.endswith("17.55, less 12.5 %")
    put({(Band(customer=customer.pk), "price", ""): 1_500})
    assert [proposal.minor for proposal in proposals(batch)] == [1_500, 1_500]


def test_a_price_from_a_later_day_does_not_reach_a_box_received_before_it(ground, put):
    put({(SQUARE, "price", ""): 900})
    put({(SQUARE, "price", ""): 1_100}, timezone.localdate() + timedelta(days=1))
    assert proposals(ground())[0].minor == 900


def test_pieces_of_one_line_whose_work_differs_in_price_are_proposed_none_but_shown_each(ground, put):
    put({(SQUARE, "price", "sides end"): 1_750, (SQUARE, "price", "end"): 600})
    batch = ground()
    Piece.objects.update(line=batch.lines.first())
    [proposal, empty] = proposals(batch)
    assert proposal.mixed
    assert proposal.minor is None
    assert {(work.operation, work.pieces, work.minor) for work in proposal.works} == {
        ("sides end", 3, 1_750),
        ("end", 1, 600),
    }
    assert not empty.mixed


def test_the_page_takes_the_lists_price_and_asks_why_another_is_set(ground, put, desk, front_desk):
    put({(SQUARE, "price", ""): 1_750})
    where = f"/office/{ground(417)}/prices"
    page = desk.get(where).content.decode()
    assert page.count('value="17.50"') >= 2
    assert "price list: any work, end mill, square, 17.50" in page
    answer = desk.post(where, where, line_1="14", line_2="17.50")
    assert answer.status_code == 422
    assert "14.00 is not the list’s 17.50. Write why, or take the list’s price." in answer.content.decode()
    assert desk.post(where, where, line_1="14", why_1="agreed with Ms Lund", line_2="17.50").status_code == 302
    first, second = Line.objects.order_by("number")
    assert (first.unit_price_minor, first.price_by, first.price_why) == (1_400, front_desk, "agreed with Ms Lund")
    assert (second.unit_price_minor, second.price_by) == (1_750, None)
    assert second.price_why == "price list: any work, end mill, square, 17.50"
    assert "set by Fay" in desk.get(where).content.decode()
    assert desk.post(where, where, line_1="17.50", why_1="agreed with Ms Lund", line_2="17.50").status_code == 302
    assert Line.objects.get(number=1).price_by is None


def test_items_beside_the_regrind_are_charged_by_the_piece_and_may_be_set_by_hand(ground, put, desk, bench_hand):
    put({(SQUARE, "price", ""): 1_000, (SHOP, "inspection", ""): 250, (SHOP, "gash", ""): 120})
    batch = ground(417)
    scrap = Piece.objects.filter(line__number=1).first()
    Piece.objects.filter(pk=scrap.pk).update(result="scrap", reason="cracked")
    lines = list(batch.lines.order_by("number"))
    actions.set_prices(by=bench_hand, prices=dict.fromkeys(lines, 1_000))
    charged = bill(batch)
    assert [(extra.item, extra.pieces, extra.minor) for extra in charged.lines[0].extras] == [("inspection", 1, 250)]
    assert charged.total_minor == 3 * 1_000 + 250
    where = "/office/417/prices"
    typed = {"line_1": "10", "line_2": "10", "line_1_inspection": ""}
    assert desk.post(where, where, **typed).status_code == 302
    assert bill(batch).total_minor == 3_000


@pytest.fixture
def gashed(make_batch, bench_hand):
    """A box of two 3-flute end mills whose ends were gashed again, of one that was not, and of one complaint."""
    batch = make_batch(4)
    line = batch.lines.get()
    pieces = pieces_of(line)
    Piece.objects.filter(pk=pieces[3].pk).update(complaint_of=pieces[0])
    for to in ("inspected", "ready_to_grind"):
        move(pieces=pieces, to=to, by=bench_hand)
    for some, again in ((pieces[:2], True), (pieces[2:3], False), (pieces[3:], True)):
        grind(by=bench_hand, pieces=some, expected={}, grinds=["end"], wheel=None, holding=None, gashed=again)
    move(pieces=pieces, to="released", by=bench_hand, result="ground")
    return batch


@pytest.mark.parametrize(("listed", "each"), [({(SHOP, "gash", ""): 120}, 120), ({}, 675)])
def test_gashing_again_is_charged_as_listed_else_by_the_hour_as_the_plan_told(gashed, put, listed, each):
    """3 teeth of 1.5 minutes at 90.00 an hour are 6.75 where the list says nothing."""
    put({(SQUARE, "price", ""): 1_000} | listed)
    ShopSettings.objects.update_or_create(defaults={"rate_minor": 9_000, "gash_hundredths": 150})
    [charged] = bill(gashed).lines
    assert [(extra.item, extra.pieces, extra.each_minor) for extra in charged.extras] == [("gash", 2, each)]


def test_the_last_parcel_fixes_prices_and_terms_and_nothing_changes_them_after(
    ground, put, front_desk, customer, owner
):
    """A customer's minimum changed today altered boxes that left in September, 165.00 to 225.00."""
    put({(SQUARE, "price", ""): 1_750, (SHOP, "least", ""): 9_000, (SHOP, "rush", ""): 2_500})
    batch = ground()
    Batch.objects.update(rush=True)
    batch.refresh_from_db()
    lines = list(batch.lines.order_by("number"))
    actions.set_prices(by=front_desk, prices={lines[0]: 1_400}, reasons={lines[0]: "agreed"})
    actions.send_parcel(by=front_desk, batch=batch, pieces=list(batch.pieces.all()))
    charged = bill(batch)
    assert [row.each_minor for row in charged.lines] == [1_400, 1_750]  # by hand, and from the list
    assert (charged.rush_minor, charged.minimum_minor, charged.total_minor) == (2_500, 9_000 - 5_950, 11_500)
    Customer.objects.update(batch_minimum_minor=22_500, rush_charge_minor=1)
    put({(SQUARE, "price", ""): 9_900, (SHOP, "inspection", ""): 900, (SHOP, "coating", ""): 700})
    put({(Band(customer=customer.pk), "discount", ""): 5_000})
    Line.objects.update(unit_price_minor=1)
    assert bill(Batch.objects.get(pk=batch.pk)) == charged
    with pytest.raises(Refusal, match=r"prices were fixed on .* when its last parcel left\. Line 1 keeps its price"):
        actions.set_prices(by=owner, prices={Line.objects.get(number=1): 1_500})


def test_a_price_set_before_it_was_fixed_is_not_undone_behind_it(ground, put, front_desk):
    batch = ground()
    [first, second] = batch.lines.order_by("number")
    actions.set_prices(by=front_desk, prices={first: 1_400})
    priced = Event.objects.filter(kind="priced").last()
    parcel = actions.send_parcel(by=front_desk, batch=batch, pieces=list(batch.pieces.all()))
    with pytest.raises(Refusal, match="A later step depends on this: Parcel sent"):
        undo(by=front_desk, done=priced)
    second.refresh_from_db()
    actions.set_prices(by=front_desk, prices={second: 700})  # it had none when the others were fixed
    assert bill(batch).total_minor == 3 * 1_400 + 700
    undo(by=front_desk, done=parcel.event)
    assert undo(by=front_desk, done=priced)


def test_fixing_twice_changes_nothing_and_no_order_of_edits_moves_a_fixed_figure(ground, put, front_desk):
    put({(SQUARE, "price", ""): 1_000})
    batch = ground()
    fix_prices(by=front_desk, batches=[batch], because="quote")
    charged = bill(batch)
    put({(SQUARE, "price", ""): 2_000})
    fix_prices(by=front_desk, batches=[batch], because="parcel")
    assert FixedTerms.objects.get(batch=batch).because == "quote"
    assert bill(batch) == charged
    assert charged.total_minor == 4_000


def test_the_page_of_a_fixed_batch_shows_its_prices_and_offers_no_field(ground, put, desk, front_desk):
    put({(SQUARE, "price", ""): 1_000})
    batch = ground(417)
    actions.send_parcel(by=front_desk, batch=batch, pieces=list(batch.pieces.all()))
    page = desk.get("/office/417/prices").content.decode()
    assert 'name="line_1"' not in page
    assert "Fixed prices" in page
    assert "when its last parcel left" in desk.get("/office/417/").content.decode()
