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
BILLS = 1_000 if FULL else 48
KILLS = 30 if FULL else 3
CLIENTS = 8
PARCEL = re.compile(r'name="parcels" value="(\d+)"')
ONCE = re.compile(r'name="once" value="([^"]+)"')
SEED = """
from regrind.shop.models import Person
from regrind.record.models import *
from regrind.record.moves import move
from regrind.office.actions import send_parcel, set_prices
from regrind.office.bills.terms import keep_terms
oda, family = Person.objects.get(), Family.objects.get()
keep_terms(by=oda, customer=None, tax="S", tax_milli=19_000, tax_number="XX123")
for c in range({clients}):
    customer = Customer.objects.create(name=f"Customer {{c}}")
    for n in range({each}):
        batch = Batch.objects.create(number=100_000 + c * {each} + n, customer=customer, received_by=oda)
        line = Line.objects.create(batch=batch, number=1, family=family)
        piece = Piece.objects.create(batch=batch, original_line=1, number=1, line=line)
        for to in ("inspected", "ready_to_grind", "ground", "released"):
            move(pieces=[piece], to=to, by=oda, result="ground" if to == "released" else "")
        set_prices(by=oda, prices={{line: 700 + n}})
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
    """Make the customer's next bill, as the page offers it: its number, "" where there is none left or it failed."""
    page = f"/office/bills/new/{customer}"
    status, shown, _ = client.ask("GET", page)
    if status != 200:
        return ""
    parcels, once = PARCEL.findall(shown), ONCE.search(shown)
    if not parcels or not once:
        return "none left"
    fields = {"once": once[1], "parcels": parcels[0], "day": date.today().isoformat()}
    status, _, where = client.post(page, fields)
    return where.rpartition("/")[2] if status == 302 else ""


def test_bill_numbers_have_no_gap_under_parallel_bills_and_killed_workers(open_shop):
    shop = open_shop(0)
    customers = shop.shell(SEED.format(clients=CLIENTS, each=BILLS // CLIENTS)).split()
    acknowledged: list[str] = []

    def work(customer: str) -> None:
        client = Client(shop.port).sign_in()
        while True:
            try:
                number = bill_one(client, customer)
            except (OSError, HTTPException):
                continue  # the worker died in mid-answer: the page says what is left
            if number == "none left":
                return
            acknowledged.extend([number] if number else [])

    with drill(f"bills, {KILLS} killed workers", connection.vendor) as shown:
        threads = [threading.Thread(target=work, args=(customer,)) for customer in customers]
        for thread in threads:
            thread.start()
        for kill in range(1, KILLS + 1):
            while len(acknowledged) < BILLS * kill // (KILLS + 2):
                assert any(thread.is_alive() for thread in threads), f"{len(acknowledged)} bills, and nobody makes more"
                time.sleep(0.02)
            shop.kill_a_worker()
        for thread in threads:
            thread.join()
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
