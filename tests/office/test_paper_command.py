"""`manage.py paper KIND NUMBER -o FILE`: for scripts."""

import pytest
from django.core.management import CommandError, call_command

from regrind.office.issuing import read_file
from regrind.office.models import IssuedPaper
from regrind.shop.models import Person

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


def test_without_a_name_the_shops_one_owner_issues_it(batch, tmp_path, front_desk, owner):
    file = tmp_path / "sheet.pdf"
    call_command("paper", "job_sheet", "417", "-o", str(file))
    paper = IssuedPaper.objects.get()
    assert (paper.by, paper.revision) == (owner, 1)
    assert file.read_bytes() == read_file(paper)


def test_what_stands_is_written_again_without_asking_who(batch, tmp_path, front_desk):
    issued, again = tmp_path / "issued.pdf", tmp_path / "again.pdf"
    call_command("paper", "label", "417-1", "-o", str(issued), "--by", "Fay", "--stock", "62x29")
    call_command("paper", "label", "417-1", "-o", str(again))  # on the stock that the shop printed on last
    assert again.read_bytes() == issued.read_bytes()
    assert IssuedPaper.objects.count() == 1
    files = set(tmp_path.glob("papers/*"))
    with pytest.raises(CommandError, match="No label 417-1 with the content"):
        call_command("paper", "label", "417-1", "-o", str(again), "--stock", "50x25")
    assert set(tmp_path.glob("papers/*")) == files


def test_a_name_is_of_one_who_works_here(batch, tmp_path):
    for name, active in (("Ann", True), ("Gone", False)):
        Person.objects.create_user(name, "a long password", front_desk=True, is_active=active)
    with pytest.raises(CommandError, match="Nobody active is called Gone"):
        call_command("paper", "job_sheet", "417", "-o", str(tmp_path / "x.pdf"), "--by", "Gone")
    call_command("paper", "job_sheet", "417", "-o", str(tmp_path / "x.pdf"), "--by", "ANN")
    assert IssuedPaper.objects.get().by.name == "Ann"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["job_sheet", "999", "--draft"], "There is no 999"),
        (["label", "417-9", "--draft"], "There is no 417-9"),
        (["job_sheet", "417", "--by", "Nobody"], "Nobody active is called Nobody"),
        (["napkin", "417", "--draft"], "napkin"),
        (["job_sheet", "417"], "Write who issues it with --by NAME"),
        (["label", "417-1", "--draft", "--start", "9"], "a roll starts"),
        (["label", "417-1", "--draft", "--stock", "A4", "--start", "25"], "write 1 to 24"),
    ],
)
def test_what_cannot_be_is_told(batch, tmp_path, arguments, said):
    with pytest.raises(CommandError, match=said):
        call_command("paper", *arguments, "-o", str(tmp_path / "x.pdf"))
    assert not (tmp_path / "x.pdf").exists()
    assert not IssuedPaper.objects.exists()
