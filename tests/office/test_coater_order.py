"""The order to a coater: its address, pieces by line, coating, masking, price and day; the page and Today."""

from datetime import timedelta

import pytest
from django.utils import timezone

from regrind.bench.grinding.actions import count_back, grind, send_to_coater
from regrind.bench.planning.actions import decide
from regrind.office.issuing import draft, issue
from regrind.office.overview import issued
from regrind.paper import coater_order
from regrind.record.work_list import open_jobs
from regrind.shop.events import Refusal
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.undo import undo

from .conftest import pieces_of, words

pytestmark = pytest.mark.django_db
BRIGHT = {
    "number": "C-118",
    "coater": "Brightcoat",
    "coating": "AlTiN",
    "address": "Bay 6\nNorth Ellery",
    "note": "shanks stay bare",
    "price_minor": 3900,
}


@pytest.fixture
def send(make_batch, look, bench_hand, wheel, holding):
    """send(days) -> the slip of four ground pieces, expected back in so many days."""
    batch = make_batch(4, number=417)
    pieces = pieces_of(batch.lines.get())
    look(pieces)
    fields = {"diameter_nm": 6_108_700, "cut_back_nm": 508_000, "usable_nm": 17_000_000, "grinds": "sides end"}
    decide(by=bench_hand, pieces=pieces, expected={}, decision="grind", **fields)
    grind(by=bench_hand, pieces=pieces, expected={}, grinds=["sides", "end"], wheel=wheel, holding=holding)

    def act(days=5, **more):
        expected = timezone.localdate() + timedelta(days=days)
        pieces = pieces_of(batch.lines.get())
        return send_to_coater(by=bench_hand, batch=batch, pieces=pieces, expected=expected, **BRIGHT | more)

    return act


def test_the_order_says_what_is_to_be_done_where_for_how_much_and_until_when(send):
    slip = send()
    order = draft("coater", "417/K1").values
    assert (slip.order, order.head.customer.name, order.head.customer.lines) == (
        "417/K1",
        "Brightcoat",
        ("Bay 6", "North Ellery"),
    )
    [line] = order.lines
    assert (line.number, line.pieces, line.substrate, line.planned) == ("417: 1-1 to 1-4", 4, "carbide", True)
    text = words(coater_order.draw(order))
    for said in (
        "Please coat 4 pieces",
        "Coater Brightcoat Bay 6 North Ellery",
        "Coating wanted AlTiN",
        "Slip number C-118",
        "Price agreed for all 39.00 USD",
        "Masking and edges shanks stay bare",
    ):
        assert said.replace(" ", "") in text.replace(" ", "")
    assert "Brookfield" not in text  # whose tools they are is none of the coater's business


def test_what_is_not_agreed_is_said_so(send):
    text = words(coater_order.draw(draft("coater", send(price_minor=None, note="").order).values))
    assert "not agreed yet" in text
    assert "Masking" not in text


def test_orders_are_counted_within_the_box_and_an_undone_one_has_no_paper(send, bench_hand):
    first = send()
    undo(by=bench_hand, done=first.event)
    assert send(address="").order == "417/K2"
    assert draft("coater", "417/K2").values.head.customer.lines == ()  # the undone slip's address does not count
    with pytest.raises(Refusal, match="was undone"):
        draft("coater", "417/K1")


def test_the_next_slip_to_a_coater_takes_the_address_of_the_last(send, bench_hand):
    slip = send()
    count_back(by=bench_hand, pieces=pieces_of(slip.batch.lines.get()))
    again = send(coater="BRIGHTCOAT", address="")
    assert again.address == "Bay 6\nNorth Ellery"


def test_the_page_shows_price_and_day_and_prints_and_today_warns(send, bench_hand, client):
    send(days=-2)
    client.force_login(bench_hand)
    page = client.get("/bench/at-coater").content.decode()
    for said in ("39.00", "USD", "shanks stay bare", "overdue by 2 days", "/office/print/coater/417_K1"):
        assert said in page
    [job] = open_jobs()["at_coater"]
    assert "overdue" in client.get("/").content.decode()
    assert job.count == 4


def test_the_address_of_another_coater_is_asked_about(send, bench_hand, client):
    slip = send()
    count_back(by=bench_hand, pieces=pieces_of(slip.batch.lines.get()))
    client.force_login(bench_hand)
    form = client.get("/bench/417-1/at-coater").context["send"]
    assert form["address"].value() == "Bay 6\nNorth Ellery"
    fields = {"number": "C-2", "coater": "Other", "coating": "TiN", "address": "Bay 6\r\nNorth Ellery", "once": "k"}
    answer = client.post("/bench/417-1/at-coater", fields)
    assert "That is the address of Brightcoat. Write that of Other" in answer.context["send"].errors["address"][0]


def test_the_issued_order_of_an_undone_sending_is_void(send, bench_hand, front_desk, owner):
    save_shop_settings(by=owner, name="Kerf & Land")
    slip = send()
    issue(by=bench_hand, kind="coater", number=slip.order)
    assert [row.void for row in issued(slip.batch)] == [""]
    undo(by=bench_hand, done=slip.event)
    assert [row.void for row in issued(slip.batch)] == ["the sending"]
