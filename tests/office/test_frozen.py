"""No order of later edits changes a figure that was fixed, and what a bill says never changes at all."""

import random
from datetime import timedelta

import pytest
from django.utils import timezone

from regrind.office.actions import send_parcel, set_prices
from regrind.office.bills.lists import statement
from regrind.office.bills.making import credit, make_bill, mark_paid
from regrind.office.bills.terms import keep_terms
from regrind.office.charges import bill as charge
from regrind.office.fixing import fix_prices
from regrind.office.models import Bill, BillLine, Parcel
from regrind.office.papers.bill import bill_sheet
from regrind.receiving.actions import change_batch, merge_lines, move_line, open_batch, split_line
from regrind.record.actions import keep_customer
from regrind.record.contacts import keep_address
from regrind.record.models import Line, Piece
from regrind.record.moves import move
from regrind.record.rate_changes import keep_list
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import Event
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.undo import undo
from tests.long_form import FULL

pytestmark = pytest.mark.django_db
STEPS = 40


def pieces_of(batch) -> list[Piece]:
    return list(batch.pieces.select_related("batch").order_by("pk"))


@pytest.fixture
def shop(owner, customer):
    save_shop_settings(by=owner, name="Invented Grinding", currency="USD")
    keep_terms(by=owner, customer=None, tax="S", tax_milli=19_000, tax_number="XX123", due_days=14)
    keep_customer(by=owner, customer=customer, batch_minimum_minor=9_000, rush_charge_minor=2_500)


@pytest.fixture
def ground(shop, make_batch, bench_hand, front_desk, customer):
    """ground(number) -> a rush box with lines of 3 and 2 released pieces at 7.50 and 12.00."""

    def act(number=417):
        customer.refresh_from_db()
        batch = make_batch(3, 2, number=number, owner=customer)
        change_batch(by=front_desk, batch=batch, rush=True)
        for to in ("inspected", "ready_to_grind", "ground"):
            move(pieces=pieces_of(batch), to=to, by=bench_hand)
        move(pieces=pieces_of(batch), to="released", by=bench_hand, result="ground")
        first, second = batch.lines.order_by("number")
        set_prices(by=front_desk, prices={first: 750, second: 1_200})
        return batch

    return act


def figures(batch) -> dict:
    """What each piece of the box costs, and what the whole box does."""
    batch.refresh_from_db()
    batch.customer.refresh_from_db()
    whole = charge(batch)
    each = {}
    for row in whole.lines:
        for piece in row.line.pieces.all():
            each[piece.pk] = row.each_minor
    return {"each": each, "rush": whole.rush_minor, "least": whole.minimum_minor, "total": whole.total_minor}


def said(bill: Bill) -> list:
    row = Bill.objects.select_related("customer", "credits_bill").get(pk=bill.pk)
    sheet = bill_sheet(row)
    assert sum(line.amount.minor for line in sheet.rows) == sheet.net.minor
    assert sheet.net.minor + sheet.tax.minor == sheet.total.minor
    values = Bill.objects.filter(pk=bill.pk).values().get()
    return [values, list(BillLine.objects.filter(bill=bill).order_by("position").values()), sheet.rows, sheet.total]


class Edits:
    """Everything that somebody may change later, at random; a refusal is as good as no change."""

    def __init__(self, seed, batch, owner, front_desk):
        self.chance, self.batch, self.owner, self.desk = random.Random(seed), batch, owner, front_desk
        self.customer = batch.customer

    def one(self) -> str:
        name = self.chance.choice([name for name in dir(self) if name.startswith("edit_")])
        try:
            getattr(self, name)()
        except (Refusal, Conflict):
            return f"{name} refused"
        return name

    def amount(self) -> int:
        return self.chance.randint(1, 50_000)

    def lines(self) -> list[Line]:
        return list(Line.objects.filter(batch=self.batch).select_related("batch__customer", "family"))

    def edit_customer(self):
        keep_customer(
            by=self.owner,
            customer=self.customer,
            batch_minimum_minor=self.amount(),
            rush_charge_minor=self.amount(),
            decimal_mark=self.chance.choice(".,"),
        )

    def edit_address(self):
        keep_address(by=self.owner, customer=self.customer, street=f"{self.amount()} Mill Road", first=True)

    def edit_price_list(self):
        day = timezone.localdate() - timedelta(days=self.chance.randint(0, 400))
        entries = {((None, "square"), what, ""): self.amount() for what in ("inspection", "rush", "least")}
        entries |= {((None, "square"), "price", "sides"): self.amount()}
        keep_list(by=self.owner, entries=entries, from_day=day, stale=lambda: False)

    def edit_tax(self):
        keep_terms(by=self.owner, customer=None, tax="S", tax_milli=self.chance.randint(1, 30) * 1_000, tax_number="Z")

    def edit_currency(self):
        save_shop_settings(by=self.owner, currency=self.chance.choice(["USD", "EUR"]), name="Other name")

    def edit_price(self):
        set_prices(by=self.desk, prices={self.chance.choice(self.lines()): self.amount()}, on=timezone.localdate())

    def edit_rush(self):
        change_batch(by=self.desk, batch=self.batch, rush=self.chance.random() < 0.5)

    def edit_split(self):
        line = self.chance.choice(self.lines())
        split_line(by=self.desk, line=line, pieces=list(line.pieces.all())[:1])

    def edit_merge(self):
        line, into = self.chance.sample(self.lines(), 2)
        merge_lines(by=self.desk, line=line, into=into)

    def edit_move(self):
        other = open_batch(by=self.desk, customer=self.customer)
        move_line(by=self.desk, line=self.chance.choice(self.lines()), into=other, reason="mixed up")

    def edit_undo(self):
        done = self.chance.choice(list(Event.objects.exclude(kind="test").order_by("-pk")[:12]))
        fixing = ("sent", "billed", "quoted")
        if done.kind not in fixing:  # what fixed the prices: undone, it never was
            undo(by=self.owner, done=done, why="at random")


@pytest.mark.parametrize("seed", range(60 if FULL else 8))
def test_no_order_of_edits_changes_a_fixed_figure(seed, ground, owner, front_desk):
    batch = ground()
    send_parcel(by=front_desk, batch=batch, pieces=pieces_of(batch)[:2])
    send_parcel(by=front_desk, batch=batch, pieces=pieces_of(batch)[2:])
    fixed = figures(batch)
    assert fixed == {"each": fixed["each"], "rush": 2_500, "least": 9_000 - 4_650, "total": 9_000 + 2_500}
    edits = Edits(seed, batch, owner, front_desk)
    for _ in range(STEPS):
        name = edits.one()
        assert figures(batch) == fixed, name
    made = make_bill(by=front_desk, customer=batch.customer, parcels=list(Parcel.objects.filter(batch=batch)))
    assert made.net_minor == fixed["total"]
    assert made.currency == "USD"
    written = said(made)
    for _ in range(STEPS):
        name = edits.one()
        assert said(made) == written, name
    note = credit(by=front_desk, bill=made, amounts={made.lines.first(): 100}, why="one was chipped")
    noted = said(note)
    mark_paid(by=front_desk, bill=made, minor=500)
    for _ in range(STEPS):
        edits.one()
    assert (said(made), said(note)) == (written, noted)


def test_prices_fixed_by_the_last_parcel_stay_fixed_for_the_bill_of_an_earlier_one(ground, owner, front_desk):
    batch = ground()
    first = send_parcel(by=front_desk, batch=batch, pieces=pieces_of(batch)[:2])
    last = send_parcel(by=front_desk, batch=batch, pieces=pieces_of(batch)[2:])
    made = make_bill(by=front_desk, customer=batch.customer, parcels=[first])
    with pytest.raises(Refusal, match=f"It fixed the prices that bill {made} is made of"):
        undo(by=owner, done=last.event)


def test_a_bill_is_in_the_currency_that_its_prices_were_fixed_in(ground, owner, front_desk):
    dollars, euros = ground(417), ground(418)
    send_parcel(by=front_desk, batch=dollars, pieces=pieces_of(dollars))
    save_shop_settings(by=owner, currency="EUR")
    send_parcel(by=front_desk, batch=euros, pieces=pieces_of(euros))
    both = list(Parcel.objects.order_by("pk"))
    with pytest.raises(Refusal, match="priced in EUR and USD"):
        make_bill(by=front_desk, customer=dollars.customer, parcels=both)
    made = [make_bill(by=front_desk, customer=dollars.customer, parcels=[parcel]) for parcel in both]
    assert [(str(bill), bill.currency) for bill in made] == [("B-1", "USD"), ("B-2", "EUR")]


def test_lines_that_were_fixed_at_different_prices_stay_apart_and_in_their_box(ground, owner, front_desk):
    batch = ground()
    fix_prices(by=front_desk, batches=[batch], because="quote")
    first, second = batch.lines.order_by("number")
    with pytest.raises(Refusal, match="Lines 1 and 2 differ in price and stay apart"):
        merge_lines(by=front_desk, line=first, into=second)
    part = split_line(by=front_desk, line=first, pieces=list(first.pieces.all())[:1])
    with pytest.raises(Refusal, match=f"Line {part.number} keeps its price"):
        set_prices(by=front_desk, prices={part: 99_900})
    merge_lines(by=front_desk, line=part, into=first)
    with pytest.raises(Refusal, match="stays in its batch"):
        move_line(by=front_desk, line=second, into=open_batch(by=front_desk, customer=batch.customer), reason="odd")


def test_a_statement_adds_up_for_each_currency_and_a_bill_names_its_parcels(ground, owner, front_desk, customer):
    dollars = ground(417)
    send_parcel(by=front_desk, batch=dollars, pieces=pieces_of(dollars))
    save_shop_settings(by=owner, currency="EUR")
    euros = ground(418)
    send_parcel(by=front_desk, batch=euros, pieces=pieces_of(euros))
    first, second = [
        make_bill(by=front_desk, customer=customer, parcels=[parcel]) for parcel in Parcel.objects.order_by("pk")
    ]
    note = credit(by=front_desk, bill=first, amounts={first.lines.first(): 100}, why="one was chipped")
    rows = statement(customer)
    assert [(row.number, row.minor, row.balance, row.currency) for row in rows] == [
        ("B-1", first.total_minor, first.total_minor, "USD"),
        ("B-2", second.total_minor, second.total_minor, "EUR"),
        ("C-1", -note.total_minor, first.total_minor - note.total_minor, "USD"),
    ]
    [parcel] = bill_sheet(first).parcels
    assert parcel.startswith("417/1 of ")
    [line] = bill_sheet(Bill.objects.select_related("credits_bill").get(pk=note.pk)).rows
    assert (line.counted, line.amount.minor) == (False, 100)  # a part of a line is an amount, not a piece
