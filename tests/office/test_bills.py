"""Released work gathered into numbered bills; credit notes, payments, the statement, and the paper."""

import threading
from datetime import timedelta

import pytest
from django.db import connections
from django.utils import timezone

from regrind.office import actions
from regrind.office.bills import making
from regrind.office.bills.lists import statement, with_open
from regrind.office.bills.terms import keep_terms
from regrind.office.bills.unbilled import unbilled_parcels
from regrind.office.issuing import issue, read_file
from regrind.office.models import Bill, BillLine, BillSeries, Parcel
from regrind.record.models import Customer, Line
from regrind.record.moves import move
from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import ShopSettings
from regrind.shop.undo import undo

from .conftest import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db, owner):
    ShopSettings.objects.create(name="Invented Grinding", address="1 Mill Lane\nNorthport", currency="EUR")
    return keep_terms(
        by=owner, customer=None, tax="S", tax_milli=19_000, tax_number="XX123", due_days=14, pay_to="Account 42"
    )


@pytest.fixture
def sent(make_batch, bench_hand, front_desk):
    """sent(3, 2, price=750) -> a batch whose pieces were ground and left in one parcel."""

    def act(*counts, price=750, leave=True, number=None):
        batch = make_batch(*counts, number=number)
        pieces = list(batch.pieces.select_related("batch"))
        for to in ("inspected", "ready_to_grind", "ground"):
            move(pieces=pieces, to=to, by=bench_hand)
        move(pieces=pieces, to="released", by=bench_hand, result="ground")
        if price is not None:
            actions.set_prices(by=front_desk, prices=dict.fromkeys(batch.lines.all(), price))
        if leave:
            actions.send_parcel(by=front_desk, batch=batch, pieces=pieces)
        return batch

    return act


def bill_of(batch, by):
    return making.make_bill(by=by, customer=batch.customer, parcels=list(Parcel.objects.filter(batch=batch)))


def test_parcels_of_a_customer_are_gathered_into_one_bill_with_tax(shop, sent, front_desk, customer):
    first, second = sent(3, 2), sent(1, price=1_000)
    Customer.objects.update(rush_charge_minor=2_000)  # fixed: too late for these
    made = making.make_bill(
        by=front_desk, customer=customer, parcels=[row.parcel for row in unbilled_parcels(customer)]
    )
    assert [(line.pieces, line.each_minor, line.minor) for line in made.lines.order_by("position")] == [
        (3, 750, 2_250),
        (2, 750, 1_500),
        (1, 1_000, 1_000),
    ]
    assert (made.net_minor, made.tax_minor, made.total_minor) == (4_750, 903, 5_653)  # 902.5: half up
    assert str(made) == "B-1"
    assert made.due == made.day + timedelta(days=14)
    assert not unbilled_parcels(customer)
    with pytest.raises(Conflict, match="billed or undone meanwhile"):
        bill_of(first, front_desk)
    with pytest.raises(Conflict):
        bill_of(second, front_desk)


def test_rush_and_minimum_are_billed_with_the_parcel_that_emptied_the_box(shop, sent, front_desk, customer):
    Customer.objects.update(batch_minimum_minor=5_000, rush_charge_minor=1_000)
    batch = sent(3, leave=False)
    type(batch).objects.update(rush=True)
    batch.refresh_from_db()
    pieces = list(batch.pieces.all())
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces[:1])
    [row] = unbilled_parcels(customer)
    assert row.charges.total_minor == 750
    early = making.make_bill(by=front_desk, customer=customer, parcels=[row.parcel])
    Customer.objects.update(batch_minimum_minor=9_000)  # the first bill fixed the terms
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces[1:])
    late = bill_of_last(batch, front_desk)
    assert [(line.item, line.minor) for line in late.lines.order_by("position")] == [
        ("price", 1_500),
        ("rush", 1_000),
        ("least", 5_000 - 2_250),
    ]
    assert early.net_minor + late.net_minor == 5_000 + 1_000


def bill_of_last(batch, by):
    parcel = Parcel.objects.filter(batch=batch).order_by("-number").first()
    return making.make_bill(by=by, customer=batch.customer, parcels=[parcel])


def test_without_a_price_or_a_tax_no_bill_is_made_and_no_number_is_used(sent, front_desk, owner):
    batch = sent(2, price=None)
    with pytest.raises(Refusal, match=r"Line \d+-1 has no price yet"):
        bill_of(batch, front_desk)
    actions.set_prices(by=front_desk, prices={batch.lines.get(): 750})
    with pytest.raises(Refusal, match="No tax is chosen"):
        bill_of(batch, front_desk)
    keep_terms(by=owner, customer=None, tax="O", tax_reason="Not subject to sales tax")
    made = bill_of(batch, front_desk)
    assert (made.number, made.tax_minor, made.tax_reason) == (1, 0, "Not subject to sales tax")
    with pytest.raises(Refusal, match="keeps its price"):
        actions.set_prices(by=front_desk, prices={Line.objects.get(): 800})


def test_a_customers_own_tax_needs_both_numbers_where_the_buyer_owes_it(shop, sent, front_desk, owner, customer):
    keep_terms(by=owner, customer=customer, tax="AE", tax_reason="Reverse charge")
    with pytest.raises(Refusal, match="needs both tax numbers"):
        bill_of(sent(1), front_desk)
    keep_terms(by=owner, customer=customer, tax="AE", tax_reason="Reverse charge", tax_number="YY9")
    made = bill_of(Parcel.objects.get().batch, front_desk)
    assert (made.tax, made.tax_minor, made.buyer_tax_number) == ("AE", 0, "YY9")


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"tax": "S"}, "above 0"),
        ({"tax": "E", "tax_milli": 5_000, "tax_reason": "x"}, "has no rate"),
        ({"tax": "E"}, "says why"),
        ({"tax": "Z", "tax_reason": "x"}, "only where no tax is charged"),
    ],
)
def test_tax_that_the_standard_refuses_is_not_kept(owner, values, words):
    """EN 16931-1: BR-S-5, BR-E-5, BR-E-10 and BR-Z-10."""
    with pytest.raises(Refusal, match=words):
        keep_terms(by=owner, customer=None, **values)


def test_a_bill_is_credited_in_parts_and_never_by_more_than_is_left(shop, sent, front_desk):
    made = bill_of(sent(3, 2), front_desk)
    first, second = made.lines.order_by("position")
    note = making.credit(by=front_desk, bill=made, amounts={first: 750}, why="one came back chipped")
    assert (str(note), note.net_minor, note.tax_minor, note.credits_bill) == ("C-1", 750, 143, made)
    with pytest.raises(Refusal, match=r"Line 1 has 15\.00 not credited yet"):
        making.credit(by=front_desk, bill=made, amounts={first: 1_501}, why="more")
    with pytest.raises(Refusal, match="Write why"):
        making.credit(by=front_desk, bill=made, amounts={first: 1}, why=" ")
    rest = making.credit(by=front_desk, bill=made, amounts={first: 1_500, second: 1_500}, why="all of it")
    assert note.total_minor + rest.total_minor == made.total_minor
    assert making.open_minor(made) == 0


def test_payments_close_a_bill_can_be_undone_and_the_statement_adds_up(shop, sent, front_desk, customer):
    made = bill_of(sent(2), front_desk)
    part = making.mark_paid(by=front_desk, bill=made, minor=1_000, how="transfer")
    with pytest.raises(Refusal, match="is open"):
        making.mark_paid(by=front_desk, bill=made, minor=made.total_minor)
    making.mark_paid(by=front_desk, bill=made, minor=making.open_minor(made))
    assert [row.state for row in with_open([made])] == ["paid"]
    undo(by=front_desk, done=part.event)
    assert [row.open_minor for row in with_open([made])] == [1_000]
    making.credit(by=front_desk, bill=made, amounts={made.lines.get(): 1_500}, why="given back")
    rows = statement(customer)
    assert rows[-1].balance == sum(row.minor for row in rows) == -(1_785 - 1_000)
    assert [row.state for row in with_open([made])] == ["to be paid back"]


def test_a_billed_parcel_stays_sent_and_a_bill_is_not_undone(shop, sent, front_desk):
    batch = sent(1)
    made = bill_of(batch, front_desk)
    with pytest.raises(Refusal, match=r"is on bill B-1\. Credit the bill"):
        undo(by=front_desk, done=Parcel.objects.get().event)
    with pytest.raises(Refusal, match="cannot be undone"):
        undo(by=front_desk, done=made.event)


def test_the_paper_says_all_of_it_and_a_reprint_is_the_same_file(shop, sent, front_desk, family):
    batch = sent(3)
    type(batch).objects.update(order_number="5521")
    made = bill_of(batch, front_desk)
    paper = issue(by=front_desk, kind="bill", number="B-1")
    text = words(read_file(paper))
    for part in (
        "Bill B-1",
        "Invented Grinding",
        "Brookfield Tooling",
        f"Line {batch}-1: regrind, sent {timezone.localdate():%-d %b %Y}, 1/4 in",
        "your order 5521",
        "standard rate (S), 19 %",
        "22.50",
        "4.28",
        "26.78",
        "Account 42",
        "XX123",
    ):
        assert part in text, part
    ShopSettings.objects.update(name="Renamed")
    assert issue(by=front_desk, kind="bill", number="B-1") == paper
    note = making.credit(by=front_desk, bill=made, amounts={made.lines.get(): 750}, why="one chipped")
    credit_text = words(read_file(issue(by=front_desk, kind="credit", number=f"{note}")))
    assert "Credit note C-1" in credit_text
    assert "For bill B-1" in credit_text
    assert "one chipped" in credit_text


def test_that_no_tax_is_chosen_is_said_once(sent, desk, customer):
    sent(2)
    where = f"/office/bills/new/{customer.pk}"
    assert desk.get(where).content.decode().count("No tax is chosen for bills yet.") == 1
    refused = desk.post(where, where, parcels=Parcel.objects.get().pk, day=f"{timezone.localdate()}")
    assert refused.status_code == 422
    assert refused.content.decode().count("No tax is chosen for bills yet.") == 1


def test_the_pages_from_parcel_to_paid(shop, sent, desk, customer):
    sent(2)
    where = f"/office/bills/new/{customer.pk}"
    assert where in desk.get("/office/bills").content.decode()
    assert "15.00" in desk.get(where).content.decode()
    parcel, today = Parcel.objects.get(), f"{timezone.localdate()}"
    answer = desk.post(where, where, parcels=parcel.pk, day=today, note="Thank you")
    assert answer["Location"] == "/office/bills/bill/B-1"
    page = desk.get("/office/bills/bill/B-1").content.decode()
    assert "Total 17.85" in page
    printed = desk.post("/office/print/bill/B-1", "/office/bills/bill/B-1")
    assert desk.client.get(printed["Location"])["Content-Type"] == "application/pdf"
    credit = "/office/bills/bill/B-1/credit"
    answer = desk.post(credit, credit, line_1="99", why="x", day=today)
    assert answer.status_code == 422
    assert "99.00 is more than the 15.00 not credited yet. Write less." in answer.content.decode()
    paid = "/office/bills/bill/B-1/paid"
    assert desk.post(paid, paid, amount="17.85", day=today, how="transfer").status_code == 302
    assert "Nothing is open" in desk.get("/office/bills/bill/B-1").content.decode()
    assert "Payment for B-1, transfer" in desk.get(f"/office/bills/statement/{customer.pk}").content.decode()
    assert desk.get("/office/bills/new/99999").status_code == 404


def test_the_owner_writes_tax_and_payment_and_a_wrong_rate_is_said(client, owner, customer):
    from .conftest import Desk

    client.force_login(owner)
    desk, where = Desk(client), "/office/bills/terms"
    answer = desk.post(where, where, tax="S", tax_milli="8.8755")
    assert answer.status_code == 422
    assert "“8.8755” is not a rate. Write per cent from 0 to 100" in answer.content.decode()
    assert desk.post(where, where, tax="S", tax_milli="8.875", due_days="30").status_code == 302
    assert 'value="8.875"' in desk.get(where).content.decode()
    theirs = f"/office/bills/terms/{customer.pk}"
    assert desk.post(theirs, theirs, tax="", tax_number="YY9").status_code == 302
    assert 'value="YY9"' in desk.get(theirs).content.decode()
    assert desk.get("/office/bills/months").status_code == 200


def test_a_bill_that_fails_leaves_its_number_to_the_next(shop, sent, front_desk, monkeypatch):
    batch = sent(1)
    monkeypatch.setattr(BillLine.objects, "bulk_create", lambda rows: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        bill_of(batch, front_desk)
    monkeypatch.undo()
    assert bill_of(batch, front_desk).number == 1


@pytest.mark.django_db(transaction=True)
def test_numbers_have_no_gap_under_parallel_bills_some_of_which_are_broken_off(front_desk):
    """Eight threads take 200 numbers; every third transaction is broken off after it has taken its number."""
    taken, lock, wrong = [], threading.Lock(), []

    def work(first):
        try:
            for n in range(first, 200, 8):
                _take(n, front_desk, taken, lock)
        except Exception as error:  # a thread's error would be lost
            wrong.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=work, args=(first,)) for first in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong
    kept_numbers = sorted(taken)
    assert kept_numbers == list(range(1, len(kept_numbers) + 1))
    assert len(kept_numbers) == 200 - 67
    assert BillSeries.objects.get().last == len(kept_numbers)


def _take(n, by, taken, lock):
    class Broken(Exception):
        pass

    try:
        with event(by, "test"):
            number = making.next_number("B")
            if n % 3 == 0:
                raise Broken
    except Broken:
        return
    with lock:
        taken.append(number)


def test_every_amount_is_a_whole_number_of_minor_units():
    fields = [field for model in (Bill, BillLine) for field in model._meta.fields if field.name.endswith("_minor")]
    assert fields
    assert all("Integer" in field.get_internal_type() for field in fields)
