"""How often the office asks the database: within a budget, as often for many parcels, bills and lines as for few."""

import re
from datetime import date

import pytest
from django.utils import timezone

from regrind.office import actions
from regrind.office.bills.making import credit, make_bill, mark_paid
from regrind.office.bills.terms import keep_terms
from regrind.office.bills.unbilled import unbilled_parcels
from regrind.office.models import Bill, Parcel
from regrind.record.models import Batch, Customer
from regrind.record.moves import move
from regrind.record.rate_changes import keep_list
from regrind.record.rates import SHOP
from tests.queries import spent

pytestmark = pytest.mark.django_db
FEW, MANY = 2, 50
BUDGET = {
    "what is to be billed": 20,
    "make a bill": 54,
    "bills": 8,
    "statement": 6,
    "batch": 24,
    "prices": 20,
    "parcel": 26,
}


@pytest.fixture
def send(make_batch, front_desk, bench_hand, owner):
    """send(3, 2) -> a box of lines of as many pieces that were ground and left, a piece scrapped; a rush, in two
    parcels, the prices those of the list."""
    keep_terms(by=owner, customer=None, tax="S", tax_milli=19_000, tax_number="XX123")
    entries = {(SHOP, "price", ""): 750, (SHOP, "inspection", ""): 200, (SHOP, "rush", ""): 900}
    keep_list(by=owner, entries=entries, from_day=date(2020, 1, 1), stale=lambda: False)

    def act(*counts: int, owner: Customer | None = None) -> Batch:
        batch = make_batch(*counts, owner=owner)
        Batch.objects.filter(pk=batch.pk).update(rush=True)
        pieces = list(batch.pieces.select_related("batch").order_by("pk"))
        for to in ("inspected", "ready_to_grind", "ground"):
            move(pieces=pieces, to=to, by=bench_hand)
        move(pieces=pieces[:-1], to="released", by=bench_hand, result="ground")
        move(pieces=pieces[-1:], to="released", by=bench_hand, result="scrap", reason="cracked")
        for some in (pieces[:1], pieces[1:]):
            actions.send_parcel(by=front_desk, batch=batch, pieces=some)
        return batch

    return act


def asked(desk, customer: Customer) -> dict[str, int]:
    """How often each page of bills asks of a customer."""
    where, counts = f"/office/bills/new/{customer.pk}", {}
    counts["what is to be billed"] = spent(lambda: desk.get(where), 200)
    once = re.search(r'name="once" value="([^"]+)"', desk.get(where).content.decode())[1]
    parcels = [row.parcel.pk for row in unbilled_parcels(customer)]
    sent = {"once": once, "parcels": parcels, "day": f"{timezone.localdate()}"}
    counts["make a bill"] = spent(lambda: desk.client.post(where, sent), 302)
    return counts


def test_a_bill_of_fifty_parcels_asks_no_more_often_than_one_of_two(send, desk, customer):
    first, other = Customer.objects.create(name="First"), Customer.objects.create(name="Other")
    for whose in (first, other):
        send(2, 1, owner=whose)
    for _ in range(MANY // 2):
        send(2, 1)
    asked(desk, first)  # the first bill makes the row of its series, which the next find
    few, many = asked(desk, other), asked(desk, customer)
    assert [bill.parcels.count() for bill in Bill.objects.order_by("pk")] == [FEW, FEW, MANY]
    assert few == many
    assert {name: count for name, count in many.items() if count > BUDGET[name]} == {}


def test_the_pages_of_bills_ask_no_more_often_for_more_bills(send, desk, front_desk, customer):
    pages = {"bills": "/office/bills", "statement": f"/office/bills/statement/{customer.pk}"}
    counts = []
    for boxes in (1, 9):
        for _ in range(boxes):
            made = make_bill(by=front_desk, customer=customer, parcels=list(Parcel.objects.filter(batch=send(2))))
            credit(by=front_desk, bill=made, amounts={made.lines.first(): 100}, why="chipped")
            mark_paid(by=front_desk, bill=made, minor=100)
            send(2)
        counts.append({name: spent(lambda page=page: desk.get(page), 200) for name, page in pages.items()})
    assert counts[0] == counts[1]
    assert {name: count for name, count in counts[1].items() if count > BUDGET[name]} == {}


def test_the_pages_of_a_box_ask_no_more_often_for_thirty_lines(send, desk, customer):
    Customer.objects.update(prices_on_slip=True)
    customer.refresh_from_db()
    counts = []
    for lines in (2, 30):
        batch = send(*[2] * lines)
        pages = {
            "batch": f"/office/{batch}/",
            "prices": f"/office/{batch}/prices",
            "parcel": f"/office/{batch}/parcels/2",
        }
        counts.append({name: spent(lambda page=page: desk.get(page), 200) for name, page in pages.items()})
    assert counts[0] == counts[1]
    assert {name: count for name, count in counts[1].items() if count > BUDGET[name]} == {}
