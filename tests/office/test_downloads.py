"""The record as CSV and XLSX: each figure against the row it comes from, read again by another library."""

import csv
import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from openpyxl import load_workbook

from regrind.bench.models import FinalCheck, Inspection
from regrind.geometry.tables import rows
from regrind.office.downloads import views
from regrind.office.downloads.tables import TABLES
from regrind.record.models import Customer, Family, Piece
from regrind.shop.owner.settings import shop_settings
from regrind.shop.undo import undo

from .conftest import Desk, pieces_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def at_owner(client, owner):
    client.force_login(owner)
    return Desk(client)


@pytest.fixture
def recorded(make_batch, finish):
    """A box of four pieces, inspected, ground and released."""
    line = make_batch(4).lines.get()
    finish(line)
    return line


def download(desk, table, form="csv", **days):
    today = timezone.localdate()
    return desk.get(
        "/office/downloads", **{"table": table, "first": f"{today}", "last": f"{today}", "format": form} | days
    )


def read_csv(answer) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_pieces_have_their_figures_in_the_shops_unit_with_the_standards_codes(at_owner, recorded):
    pieces = list(Piece.objects.order_by("batch__number", "original_line", "number"))
    downloaded = read_csv(download(at_owner, "pieces"))
    assert [row["Piece"] for row in downloaded] == [str(piece) for piece in pieces]
    seen = 0
    for row, piece in zip(downloaded, pieces, strict=True):
        check = FinalCheck.objects.filter(piece=piece).order_by("revision").last()
        if check and check.diameter_nm:
            seen += 1
            assert Decimal(row["Diameter now, in [DC]"]) * 25_400_000 == pytest.approx(check.diameter_nm, abs=13)
    assert seen


def test_readings_that_were_undone_are_not_among_them(at_owner, make_batch, look, bench_hand):
    first, second = make_batch(1).lines.get(), make_batch(1, number=2).lines.get()
    look(pieces_of(first), "0.2498 in")
    look(pieces_of(second), "0.2487 in")
    undo(by=bench_hand, done=Inspection.objects.get(piece__line=second).event)
    downloaded = read_csv(download(at_owner, "readings"))
    assert {row["Piece"] for row in downloaded} == {"1-1-1"}
    [diameter] = [row for row in downloaded if row["Quantity"] == "diameter"]
    assert (diameter["Length, in"], diameter["As typed"]) == ("0.249800", "0.2498 in")


def test_codes_are_those_of_the_standard():
    known = {row["code"] for row in rows("11_iso13399_codes")}
    assert {column.code for table in TABLES.values() for column in table.columns if column.code} <= known
    heads = [head for table in TABLES.values() for head in table.heads("mm")]
    assert "Diameter, mm [DC]" in heads


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_each_table_is_read_again(at_owner, recorded, table, form):
    answer = download(at_owner, table, form)
    count = len(list(TABLES[table].rows(timezone.localdate(), timezone.localdate())))
    heads = TABLES[table].heads(shop_settings().unit)
    if form == "csv":
        assert len(read_csv(answer)) == count
    else:
        sheet = load_workbook(io.BytesIO(answer.content)).active
        assert [cell.value for cell in sheet[1]] == heads
        assert sheet.max_row == count + 1


def test_text_that_a_spreadsheet_would_work_out_stays_text(at_owner, customer):
    Customer.objects.filter(pk=customer.pk).update(name="=1+1")
    [row] = [row for row in read_csv(download(at_owner, "customers")) if row["Name"].endswith("1+1")]
    assert row["Name"] == "'=1+1"


def test_other_days_hold_no_pieces(at_owner, recorded):
    before = timezone.localdate() - timedelta(days=9)
    assert read_csv(download(at_owner, "pieces", first=f"{before}", last=f"{before}")) == []
    assert len(read_csv(download(at_owner, "families", first=f"{before}", last=f"{before}"))) == Family.objects.count()


def test_too_many_rows_and_days_the_wrong_way_round_are_refused_beside_the_field(at_owner, recorded, monkeypatch):
    monkeypatch.setattr(views, "MOST_ROWS", 1)
    refused = download(at_owner, "pieces")
    assert refused.status_code == 422
    assert "a download at most 1" in refused.context["form"].errors["last"][0]
    refused = download(at_owner, "pieces", first="2026-05-02", last="2026-05-01")
    assert "is before 2026-05-02" in refused.context["form"].errors["last"][0]
