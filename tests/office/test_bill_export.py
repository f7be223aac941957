"""Bills as CSV and XLSX with the columns that the shop's books take, read again by another library."""

import csv
import io
from datetime import date

import pytest
from django.utils import timezone
from openpyxl import load_workbook

from regrind.office import actions
from regrind.office.bills import making
from regrind.office.bills.export import DEFAULT_COLUMNS, read_columns
from regrind.office.bills.terms import keep_terms
from regrind.office.models import BillExport, Parcel
from regrind.record.models import Customer
from regrind.record.moves import move

from .conftest import Desk

pytestmark = pytest.mark.django_db


@pytest.fixture
def billed(make_batch, bench_hand, front_desk, owner, customer):
    """Bill B-1 of 22.50 and 4.28 tax, credited by 7.50 and 1.43 tax."""
    Customer.objects.update(name="=Brookfield, Tooling")
    keep_terms(by=owner, customer=None, tax="S", tax_milli=19_000)
    batch = make_batch(3)
    pieces = list(batch.pieces.select_related("batch"))
    for to in ("inspected", "ready_to_grind", "ground"):
        move(pieces=pieces, to=to, by=bench_hand)
    move(pieces=pieces, to="released", by=bench_hand, result="ground")
    actions.set_prices(by=front_desk, prices={batch.lines.get(): 750})
    actions.send_parcel(by=front_desk, batch=batch, pieces=pieces)
    made = making.make_bill(by=front_desk, customer=customer, parcels=list(Parcel.objects.all()))
    making.credit(by=front_desk, bill=made, amounts={made.lines.get(): 750}, why="one chipped")
    return made


@pytest.fixture
def at_owner(client, owner):
    client.force_login(owner)
    return Desk(client)


def export(desk, form):
    today = timezone.localdate()
    return desk.get("/office/bills/export", first=f"{today}", last=f"{today}", format=form)


def test_csv_holds_bills_and_credit_notes_below_zero_and_no_formula(billed, desk):
    text = export(desk, "csv").content.decode("utf-8-sig")
    head, bill, note = csv.reader(io.StringIO(text))
    assert head == [line.split(" = ")[0] for line in DEFAULT_COLUMNS.splitlines()]
    assert bill[4:] == ["'=Brookfield, Tooling", "22.50", "4.28", "26.78", "USD"]
    assert (note[0], note[5:8]) == ("C-1", ["-7.50", "-1.43", "-8.93"])


def test_xlsx_holds_the_columns_that_the_owner_wrote_with_a_row_for_each_line(billed, at_owner):
    where = "/office/bills/columns"
    columns = 'Konto = "4400"\nBeleg = number\nDatum = date\nText = line\nStück = pieces\nBetrag = amount'
    assert at_owner.post(where, where, rows="line", columns=columns).status_code == 302
    sheet = load_workbook(io.BytesIO(export(at_owner, "xlsx").content)).active
    head, bill, note = sheet.iter_rows(values_only=True)
    assert head == ("Konto", "Beleg", "Datum", "Text", "Stück", "Betrag")
    assert bill[:2] == ("4400", "B-1")
    assert bill[2].date() == timezone.localdate()
    assert bill[4:] == (3, 22.5)
    assert note[4:] == (1, -7.5)


@pytest.mark.parametrize(
    ("rows", "columns", "words"),
    [
        ("bill", "Number", "Line 1: “Number” has no “=”. Write Title = field."),
        ("bill", "A = number\nB = colour", "Line 2: “colour” is no field. Write one of: number, kind,"),
        ("bill", "A = pieces", "Line 1: “pieces” is of a line. Choose one row for each line, or leave it out."),
        ("bill", "A = '4400'", "Line 1: “'4400'” is no field."),
    ],
)
def test_wrong_columns_are_said_by_their_line_and_nothing_is_saved(at_owner, rows, columns, words):
    where = "/office/bills/columns"
    answer = at_owner.post(where, where, rows=rows, columns=columns)
    assert answer.status_code == 422
    assert words in answer.content.decode().replace("&#x27;", "'")
    assert not BillExport.objects.exists()


def test_the_usual_columns_are_right_and_a_wrong_span_of_days_is_said(desk):
    assert read_columns(DEFAULT_COLUMNS, "bill")[1] == []
    answer = desk.get("/office/bills/export", first=f"{date(2026, 2, 1)}", last=f"{date(2026, 1, 1)}", format="csv")
    assert answer.status_code == 422
    assert "2026-01-01 is before 2026-02-01. Write a later day." in answer.content.decode()
