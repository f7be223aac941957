"""`manage.py paper KIND NUMBER -o FILE`: for scripts."""
import pytest
from django.core.management import CommandError, call_command

from regrind.office.issuing import read_file
from regrind.office.models import IssuedPaper

from .conftest import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def batch(make_batch, finish):
    batch = make_batch(2, number=417)
    finish(batch.lines.get())
    return batch


def test_a_draft_is_drawn_and_marked_and_nothing_is_kept(batch, tmp_path):
    file = tmp_path / "sheet.pdf"
    call_command("paper", "job_sheet", "417", "-o", str(file), "--draft")
    assert "417, draft" in words(file.read_bytes())
    assert not IssuedPaper.objects.exists()


def test_issued_by_a_name_it_is_the_file_that_the_page_serves(batch, tmp_path, front_desk):
    file = tmp_path / "label.pdf"
    call_command("paper", "label", "417-1", "-o", str(file), "--by", "fay", "--stock", "62x29")
    paper = IssuedPaper.objects.get()
    assert file.read_bytes() == read_file(paper)
    assert paper.by == front_desk


@pytest.mark.parametrize(("arguments", "said"), [
    (["job_sheet", "999", "--draft"], "There is no 999"), (["label", "417-9", "--draft"], "There is no 417-9"),
    (["job_sheet", "417", "--by", "Nobody"], "Nobody here is called Nobody"), (["napkin", "417", "--draft"], "napkin"),
    (["job_sheet", "417"], "--by --draft is required"),
    (["label", "417-1", "--draft", "--start", "9"], "a roll starts"),
    (["label", "417-1", "--draft", "--stock", "A4", "--start", "25"], "from 1 to 24")])
def test_what_cannot_be_is_told(batch, tmp_path, arguments, said):
    with pytest.raises(CommandError, match=said):
        call_command("paper", *arguments, "-o", str(tmp_path / "x.pdf"))
    assert not (tmp_path / "x.pdf").exists()
    assert not IssuedPaper.objects.exists()
