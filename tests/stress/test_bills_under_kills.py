"""Bills made by several workers at once, some of them killed in the middle: no number left out or used twice."""

import re
import threading
import time
from datetime import date
from http.client import HTTPException

import pytest
from django.db import connection

from tests.long_form import FULL

from .conftest import Client
from .results import drill

pytestmark = pytest.mark.filterwarnings("error::pytest.PytestUnhandledThreadExceptionWarning")
BILLS = 1_000 if FULL else 32
KILLS = 30 if FULL else 2
CLIENTS = 8
PARCEL = re.compile(r'name="parcels" value="(\d+)"')
ONCE = re.compile(r'name="once" value="([^"]+)"')
SEED = """
from regrind.shop.models import Person
from regrind.record.models import *
from regrind.record.moves import move
from regrind.office.actions import send_parcel
from regrind.office.bills.terms import keep_terms
from regrind.shop.events import event
oda, family = Person.objects.get(), Family.objects.get()
keep_terms(by=oda, customer=None, tax="S", tax_milli=19_000, tax_number="XX123")
for c in range({clients}):
    customer = Customer.objects.create(name=f"Customer {{c}}")
    with event(oda, "sent"):  # one for all of a customer: the review's sums are counted once
        for n in range({each}):
            batch = Batch.objects.create(number=100_000 + c * {each} + n, customer=customer, received_by=oda)
            line = Line.objects.create(batch=batch, number=1, family=family, unit_price_minor=700 + n)
            piece = Piece.objects.create(batch=batch, original_line=1, number=1, line=line)
            for to in ("inspected", "ready_to_grind", "ground", "released"):
                move(pieces=[piece], to=to, by=oda, result="ground" if to == "released" else "")
            send_parcel(by=oda, batch=batch, pieces=[piece])
print(*Customer.objects.filter(name__startswith="Customer").order_by("pk").values_list("pk", flat=True))
"""
COUNT = """
from django.db.models import Sum
from regrind.office.models import Bill, BillLine, BillParcel, BillSeries
print(*sorted(Bill.objects.values_list("number", flat=True)))
print(BillSeries.objects.get().last, BillParcel.objects.count(), BillParcel.objects.values("parcel").distinct().count())
print(Bill.objects.aggregate(s=Sum("net_minor"))["s"], BillLine.objects.aggregate(s=Sum("minor"))["s"])
print(sum(bill.net_minor + bill.tax_minor != bill.total_minor for bill in Bill.objects.all()))
"""


def bill_one(client: Client, customer: str) -> str:
    """Make the customer's next bill, as the page offers it: its number, "" where none is left.

    Raises AssertionError where the program answers anything else; OSError or HTTPException where its worker died.
    """
    page = f"/office/bills/new/{customer}"
    status, shown, _ = client.ask("GET", page)
    assert status == 200, f"{page} answers {status}: {shown[:500]}"
    parcels, once = PARCEL.findall(shown), ONCE.search(shown)
    if not parcels:
        assert "Nothing to bill." in shown, f"{page} has neither a parcel nor the words that none is left"
        return ""
    assert once, f"{page} has no once-only key"
    fields = {"once": once[1], "parcels": parcels[0], "day": date.today().isoformat()}
    status, answer, where = client.post(page, fields)
    assert status == 302, f"a bill is answered with {status}: {answer[:500]}"
    return where.rpartition("/")[2]


class Answers:
    """A tablet that gets these answers, one after the other."""

    def __init__(self, *answers: tuple[int, str, str]):
        self.answers = list(answers)

    def ask(self, *request) -> tuple[int, str, str]:
        return self.answers.pop(0)

    post = ask


OFFERS = 200, '<input name="once" value="k"><input name="parcels" value="7">', ""


@pytest.mark.parametrize(
    "answers", [[(500, "", "")], [(200, "Sign in", "")], [OFFERS, (500, "", "")], [OFFERS, (422, "refused", "")]]
)
def test_an_answer_that_is_no_bill_ends_the_drill(answers):
    with pytest.raises(AssertionError):
        bill_one(Answers(*answers), "1")
    assert bill_one(Answers(OFFERS, (302, "", "/office/bills/bill/B-3")), "1") == "B-3"
    assert bill_one(Answers((200, "Nothing to bill.", "")), "1") == ""


def test_bill_numbers_have_no_gap_under_parallel_bills_and_killed_workers(open_shop):
    shop = open_shop(0)
    customers = shop.shell(SEED.format(clients=CLIENTS, each=BILLS // CLIENTS)).split()
    acknowledged: list[str] = []
    wrong_answers: list[str] = []

    def work(client: Client, customer: str) -> None:
        while not wrong_answers:
            try:
                number = bill_one(client, customer)
            except (OSError, HTTPException):
                continue  # the worker died in mid-answer: the page says what is left
            except AssertionError as wrong:
                wrong_answers.append(str(wrong))
                return
            if not number:
                return
            acknowledged.append(number)

    with drill(f"bills, {KILLS} killed workers", connection.vendor) as shown:
        clients = [Client(shop.port).sign_in() for _ in customers]  # before any worker is killed
        threads = [threading.Thread(target=work, args=pair) for pair in zip(clients, customers, strict=True)]
        for thread in threads:
            thread.start()
        for kill in range(1, KILLS + 1):
            while len(acknowledged) < BILLS * kill // (KILLS + 2):
                assert not wrong_answers
                assert any(thread.is_alive() for thread in threads), f"{len(acknowledged)} bills, and nobody makes more"
                time.sleep(0.02)
            shop.kill_a_worker()
        for thread in threads:
            thread.join()
        shown.errors = len(wrong_answers)
        assert not wrong_answers
        numbers, counts, sums, wrong = (line.split() for line in shop.shell(COUNT).splitlines())
        shown.tries = len(numbers)
        shown.lost = len(set(acknowledged) - {f"B-{number}" for number in numbers})
        shown.doubled = len(numbers) - len(set(numbers))
    assert [int(number) for number in numbers] == list(range(1, BILLS + 1))
    assert len(set(acknowledged)) == len(acknowledged) <= BILLS
    assert shown.lost == 0
    assert counts == [str(BILLS)] * 3
    assert sums[0] == sums[1]
    assert wrong == ["0"]
