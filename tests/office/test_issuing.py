"""A paper that was issued stays as it was: the same file again, or a new revision."""

import hashlib
import io
import json
from datetime import timedelta

import pytest
from django.utils import timezone
from pypdf import PdfReader

from regrind.office import actions, overview
from regrind.office.issuing import Stock, issue, keep, prepare, read_file
from regrind.office.models import IssuedPaper
from regrind.record.models import Batch, Line
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import ShopSettings
from regrind.shop.undo import undo

from .conftest import pieces_of, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def line(make_batch, finish):
    line = make_batch(3, number=417).lines.get()
    finish(line)
    return line


@pytest.mark.parametrize(
    ("kind", "number"),
    [
        ("job_sheet", "417"),
        ("report", "417"),
        ("tag", "417-1"),
        ("label", "417-1"),
        ("label", "417-1-2"),
        ("setup_card", "417-1"),
    ],
)
def test_the_same_paper_again_is_the_same_row_and_the_same_bytes(line, front_desk, kind, number):
    first = issue(by=front_desk, kind=kind, number=number)
    before = read_file(first)
    again = issue(by=front_desk, kind=kind, number=number)
    assert again.pk == first.pk
    assert IssuedPaper.objects.count() == 1
    assert read_file(again) == before
    assert first.sha256 == hashlib.sha256(before).hexdigest()


@pytest.mark.parametrize("kind", ["job_sheet", "report"])
def test_what_changed_makes_the_next_revision_and_the_old_file_stays(line, front_desk, kind):
    first = issue(by=front_desk, kind=kind, number="417")
    old = read_file(first)
    Batch.objects.update(order_number="PO 99")
    second = issue(by=front_desk, kind=kind, number="417")
    assert (first.revision, second.revision) == (1, 2)
    assert read_file(first) == old
    assert "Revision 2" in words(read_file(second))
    assert "PO 99" in words(read_file(second))
    assert "Revision 1" in words(old)


def test_a_reprint_keeps_its_bytes_when_the_day_and_the_logo_change(line, front_desk, time_machine):
    first = issue(by=front_desk, kind="report", number="417")
    before = read_file(first)
    time_machine.move_to(timezone.now() + timedelta(days=40))
    assert issue(by=front_desk, kind="report", number="417").pk == first.pk
    ShopSettings.objects.create(name="New name", logo=b"not a picture")
    assert read_file(IssuedPaper.objects.get(pk=first.pk)) == before
    assert issue(by=front_desk, kind="report", number="417").revision == 2


@pytest.mark.parametrize(
    ("kind", "number", "asked"),
    [
        ("job_sheet", "417", "0417"),
        ("label", "417-1-2", "417-01-002"),
        ("tag", "417-1", "0417-01"),
        ("slip", "417/1", "417/01"),
    ],
)
def test_a_number_with_leading_zeros_is_the_same_paper(line, front_desk, kind, number, asked):
    actions.send_parcel(by=front_desk, batch=line.batch, pieces=pieces_of(line))
    first = issue(by=front_desk, kind=kind, number=asked)
    assert first.number == number
    Batch.objects.update(order_number="PO 99", rush=True)
    Line.objects.update(customer_tool_number="EM-9")
    assert issue(by=front_desk, kind=kind, number=number).revision == 2


def test_the_snapshot_is_canonical_json_of_what_is_printed(line, front_desk):
    paper = issue(by=front_desk, kind="label", number="417-1", stock="62x29")
    snapshot = json.loads(paper.snapshot)
    assert paper.snapshot == json.dumps(snapshot, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert snapshot["stock"] == {"key": "62x29", "start": 1, "each": False}
    [label] = snapshot["paper"]
    assert (label["is"], label["pieces"], label["diameter"]["nm"]) == ("ReturnLabel", 3, 6_108_700)


def test_another_stock_is_another_file_and_each_is_found_again(line, front_desk):
    roll = issue(by=front_desk, kind="label", number="417-1")
    sheet = issue(by=front_desk, kind="label", number="417-1", stock="A4", start=5)
    assert roll.pk != sheet.pk
    assert issue(by=front_desk, kind="label", number="417-1").pk == roll.pk
    assert issue(by=front_desk, kind="label", number="417-1", stock="A4", start=5).pk == sheet.pk


def test_pages_are_counted_as_another_library_counts_them(make_batch, finish, front_desk):
    finish(make_batch(40, number=418).lines.get())
    for kind, number, more in (("report", "418", {}), ("label", "418-1", {"each": True}), ("job_sheet", "418", {})):
        paper = issue(by=front_desk, kind=kind, number=number, **more)
        assert paper.pages == len(PdfReader(io.BytesIO(read_file(paper))).pages)
    assert IssuedPaper.objects.get(kind="label").pages == 40


def test_two_people_printing_at_once_do_not_share_a_revision(line, front_desk, bench_hand):
    first, second = (prepare("job_sheet", "417", Stock()) for _ in range(2))
    keep(by=front_desk, prepared=first)
    with pytest.raises(Conflict, match="Changed by someone else"):
        keep(by=bench_hand, prepared=second)
    assert IssuedPaper.objects.count() == 1


def test_a_file_that_was_altered_is_not_served(line, front_desk, papers_folder):
    paper = issue(by=front_desk, kind="tag", number="417-1")
    (papers_folder / f"{paper.sha256}.pdf").write_bytes(b"%PDF-1.4 something else")
    with pytest.raises(Refusal, match="was changed after"):
        read_file(paper)


def test_a_file_that_is_gone_is_told(line, front_desk, papers_folder):
    paper = issue(by=front_desk, kind="tag", number="417-1")
    (papers_folder / f"{paper.sha256}.pdf").unlink()
    with pytest.raises(Refusal, match="missing from the papers folder"):
        read_file(paper)


def test_nothing_half_written_stays_in_the_folder(line, front_desk, papers_folder):
    paper = issue(by=front_desk, kind="tag", number="417-1")
    assert [file.name for file in papers_folder.iterdir()] == [f"{paper.sha256}.pdf"]


@pytest.mark.parametrize(
    ("stock", "start", "said"),
    [
        ("50x25", 2, "a roll starts at 1"),
        ("A4", 25, "write 1 to 24"),
        ("letter", 31, "write 1 to 30"),
        ("A4", 0, "write 1 to 24"),
        ("napkin", 1, "is not a label stock. Write one of"),
    ],
)
def test_a_stock_that_does_not_fit_is_refused_with_its_range(line, front_desk, stock, start, said):
    with pytest.raises(Refusal, match=said):
        issue(by=front_desk, kind="label", number="417-1", stock=stock, start=start)
    assert not IssuedPaper.objects.exists()


def test_there_is_no_label_before_release_and_no_sheet_of_an_empty_box(make_batch, front_desk, look):
    batch = make_batch(2, number=419)
    look(pieces_of(batch.lines.get()))
    for kind, number in (("label", "419-1"), ("setup_card", "419-1")):
        with pytest.raises(Refusal, match="Nothing of this"):
            issue(by=front_desk, kind=kind, number=number)
    make_batch(number=420)
    for kind in ("job_sheet", "report"):
        with pytest.raises(Refusal, match="no lines yet"):
            issue(by=front_desk, kind=kind, number="420")


def test_a_parcel_that_was_taken_back_has_no_slip(line, front_desk):
    parcel = actions.send_parcel(by=front_desk, batch=line.batch, pieces=pieces_of(line))
    issue(by=front_desk, kind="slip", number="417/1")
    assert [row.void for row in overview.issued(line.batch)] == [""]
    undo(by=front_desk, done=parcel.event)
    assert [row.void for row in overview.issued(line.batch)] == ["the parcel"]
    with pytest.raises(Refusal, match="was undone"):
        issue(by=front_desk, kind="slip", number="417/1")


def test_a_label_is_made_anew_when_a_piece_more_is_done(make_batch, finish, front_desk):
    line = make_batch(3, number=421).lines.get()
    finish(line, pieces=pieces_of(line)[:2])
    first = issue(by=front_desk, kind="label", number="421-1")
    finish(line, pieces=pieces_of(line)[2:])
    second = issue(by=front_desk, kind="label", number="421-1")
    assert second.revision == 2
    assert "3 pcs" in words(read_file(second))
    assert "2 pcs" in words(read_file(first))
    assert Line.objects.get(pk=line.pk) == second.line
