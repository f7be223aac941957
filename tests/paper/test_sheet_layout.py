"""Where things stand on sheets: dates on one line, no heading alone, nothing torn or overlapping, our own letters."""

import io
import re
from dataclasses import replace
from datetime import date

import pytest
from pypdf import PdfReader

from regrind.paper import job_sheet, report, review, slip
from regrind.paper.values import BoxLine, Style
from tests.long_form import FULL
from tests.paper import papers
from tests.paper.reading import overlaps, pages, sign_boxes

from .every_sheet import PAPERS, SIDE, STYLES, every_paper, every_size_and_style


@pytest.mark.parametrize("page", ["A4", "letter"])
def test_the_head_of_a_rush_order_keeps_each_date_on_one_line(page):
    """The widest dates of the year in five columns."""
    head = papers.heading(style=Style("mm", ",", page), rush=True, arrived=date(2026, 11, 20), due=date(2026, 5, 28))
    lines = PdfReader(io.BytesIO(job_sheet.draw(papers.job(head=head)))).pages[0].extract_text()
    for day in ("20 Nov 2026", "28 May 2026"):
        assert day in lines.replace("\u00a0", " ")


def free_below(pdf, page):
    """The height in points between a page's lowest words and its foot."""
    return min(bottom for _, _, bottom, _, _ in sign_boxes(pdf, page) if bottom > 46) - 46


def test_a_long_table_begins_below_its_heading_on_the_first_page():
    """ReportLab's own way is to keep a heading with all of its table: the first page stayed empty."""
    box = tuple(BoxLine(f"417-{number}", 2, papers.WHAT) for number in range(1, 61))
    aside = tuple(papers.not_ground(f"417-3-{number}") for number in range(1, 61))
    note = "\n".join("A line of the note." for _ in range(80))
    for pdf in (
        slip.draw(papers.slip(40)),
        slip.draw(papers.slip(1, note=note)),
        review.draw(papers.review(60)),
        job_sheet.draw(papers.job(1, box=box)),
        report.draw(papers.report(1, not_ground=aside)),
    ):
        assert len(pages(pdf)) > 1
        assert free_below(pdf, 0) < 45


def test_why_stands_on_the_page_of_its_line():
    read = pages(slip.draw(papers.slip(40)))
    assert len(read) > 2
    for page in read:
        assert page.count("Missing: 1") == page.count("EM-0250-3F")


@pytest.mark.parametrize("lines", range(30, 60))
def test_the_end_mark_has_no_page_for_itself(lines):
    pdf = review.draw(papers.review(1, note="\n".join("Word." for _ in range(lines))))
    assert "Word." in pages(pdf)[-1]
    assert all(overlaps(sign_boxes(pdf, page)) == [] for page in range(len(pages(pdf))))


@pytest.mark.parametrize("terms", range(6, 21))
def test_a_line_of_the_job_sheet_begins_wherever_its_first_piece_has_room(terms):
    job = papers.job(1)
    line = replace(job.setups[0].lines[0], section=None, note="")
    wishes = tuple("Keep the length" for _ in range(terms))
    pdf = job_sheet.draw(replace(job, terms=wishes, setups=(replace(job.setups[0], lines=(line,)),)))
    begun = next(index for index, page in enumerate(pages(pdf)) if "Line 417-3" in page)
    assert "417-3-1" in pages(pdf)[begun]
    assert begun == 0 or "Setup 1" in pages(pdf)[begun] or free_below(pdf, begun - 1) < 90


@pytest.mark.parametrize("terms", range(20, 40))
def test_a_setup_is_not_torn_from_its_figures(terms):
    """All names of the card stand on one page, below the setup's title."""
    read = pages(job_sheet.draw(papers.job(1, terms=tuple("Keep the length" for _ in range(terms)))))
    names = ("Setup 1", "Work holding", "Primary relief", "Travel stop", "Infeed finishing")
    assert any(all(name in page for name in names) for page in read)


@pytest.mark.parametrize("terms", range(20, 44))
def test_pieces_without_a_setup_stand_below_their_title(terms):
    job = papers.job(1, terms=tuple("Keep the length" for _ in range(terms)))
    unplanned = replace(job.setups[0], card=None, planned=False, title="Not planned yet")
    read = pages(job_sheet.draw(replace(job, setups=(unplanned,))))
    assert any("Not planned yet" in page and "417-3-1" in page for page in read)


@every_paper
@every_size_and_style
def test_nothing_overlaps_and_nothing_leaves_the_margins(drawn, name, size, style):
    pdf = drawn(name, size, style)
    count = len(PdfReader(io.BytesIO(pdf)).pages)
    some = range(count) if FULL else sorted({0, count // 2, count - 1})
    wide, high = (612, 792) if style.page == "letter" else (595.3, 841.9)
    for page in some:
        boxes = sign_boxes(pdf, page)
        assert overlaps(boxes) == []
        assert min(box[1] for box in boxes) >= SIDE
        assert max(box[3] for box in boxes) <= wide - SIDE
        assert min(box[2] for box in boxes) >= 20
        assert max(box[4] for box in boxes) <= high - 24


@every_paper
def test_the_same_values_give_the_same_bytes(name):
    module, make = PAPERS[name]
    assert module.draw(make(7, STYLES[1])) == module.draw(make(7, STYLES[1]))


@every_paper
def test_fonts_are_ours_and_embedded_and_no_sign_is_small(drawn, name):
    sizes = set()
    for page in PdfReader(io.BytesIO(drawn(name, 40, STYLES[0]))).pages:
        for font in page["/Resources"]["/Font"].values():
            made = font.get_object()
            assert "ShopSans" in made["/BaseFont"]
            assert "/FontFile2" in made["/FontDescriptor"]
        page.extract_text(visitor_text=lambda text, _c, _m, _f, size: sizes.add(size) if text.strip() else None)
    assert min(sizes) >= 6.0


@every_paper
def test_paper_is_black_alone(drawn, name):
    for page in PdfReader(io.BytesIO(drawn(name, 40, STYLES[0]))).pages:
        content = page.get_contents().get_data().decode("latin-1")
        colours = re.findall(r"(?:[\d.]+ ){3}(?:rg|RG)\b|(?:[\d.]+ ){4}[kK]\b|[\d.]+ [gG]\b", content)
        assert set(colours) <= {"0 0 0 rg ", "0 0 0 rg", "0 0 0 RG", "0 g", "1 g", "0 G"}
