"""The report's first page answers for every piece: size, length, corner and coating now, and each limit."""

import io
import re

import pytest
from pypdf import PdfReader

from regrind.bench.models import FinalCheck
from regrind.geometry.units import parse
from regrind.office.issuing import draft
from regrind.record.models import Customer, Line

from .conftest import SPACES, pieces_of, words

pytestmark = pytest.mark.django_db


def read(number):
    pdf = draft("report", number).draw()
    return [SPACES.sub(" ", page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


def test_a_piece_that_was_not_measured_names_the_piece_that_its_size_is_of(make_batch, finish):
    finish(make_batch(12, number=417).lines.get())
    first = read("417")[0]
    row = first[first.index("1-2 to 1-12") :]
    assert row.startswith("1-2 to 1-12 11 pieces as 1-1: .2405 (6.109) as 1-1: 2.4860 (63.144) as 1-1: .6780 (17.221)")
    assert "corner sharp coating ground off on the flank" in row
    assert "not measured" not in row[: row.index("Measured by")]


def test_one_tool_fits_one_sheet_and_sixty_alike_three(make_batch, finish):
    finish(make_batch(1, number=418).lines.get())
    assert len(read("418")) == 1
    finish(make_batch(60, number=419).lines.get())
    pages = read("419")
    assert len(pages) <= 3
    assert "1-2 to 1-49 48 pieces as 1-1" in pages[0]
    assert "1-50 to 1-60 11 pieces as 1-1" in pages[0]


def test_a_box_of_sixty_in_like_lines_fits_three_sheets(make_batch, finish):
    batch = make_batch(30, 30, number=420)
    for line, after in zip(batch.lines.all(), ("0.2405 in", "0.2386 in"), strict=True):
        finish(line, after=after)
    pages = read("420")
    assert len(pages) <= 3
    assert "2-2 to 2-30 29 pieces as 2-1: .2386" in pages[0]


def test_a_limit_is_told_where_it_was_passed_missed_or_not_measured(make_batch, finish):
    line = make_batch(2, number=421).lines.get()
    Line.objects.update(smallest_nm=parse("0.2380 in").nm, runout_limit_nm=parse("0.0002 in").nm)
    line.refresh_from_db()
    finish(
        line,
        after="0.2375 in",
        planned="0.2380 in",
        pieces=pieces_of(line)[:1],
        released_because="agreed by Ann on the phone",
    )
    first = read("421")[0]
    assert "smallest diameter: left at .2375 in (6.032 mm), your limit .2380 in (6.045 mm) or more" in first
    assert "runout on the sides: left at .0003 in (0.008 mm), your limit .0002 in (0.005 mm) or less" in first
    assert first.count("released: agreed by Ann on the phone") == 2
    Customer.objects.update(shortest_nm=parse("0.5 in").nm)
    assert "your shortest usable length at least .5000 in (12.700 mm): usable length not measured" in read("421")[0]


def test_a_radius_that_is_gone_is_told_on_the_first_page(make_batch, finish, metric):
    customer, family = metric
    finish(make_batch(2, number=422, of=family, owner=customer).lines.get(), "7.982 mm", "7.800 mm", corner="sharp")
    assert "corner sharp; its radius of 0.500 mm (.0197 in) is gone" in read("422")[0]


def test_no_head_stands_alone_at_the_foot_of_a_page(make_batch, finish):
    """Where the first page is full, the table behind begins on the next one together with its heading."""
    line = make_batch(12, number=423).lines.get()
    for piece in pieces_of(line):
        finish(line, after="0.2405 in", pieces=[piece])
    for page in read("423"):
        if "Every piece, before and after" in page:
            assert "now .2405 (6.109)" in page[page.index("Every piece, before and after") :]
    assert FinalCheck.objects.filter(copied_from=None).count() == 12
    assert "radius" not in re.sub(r"(?i)off the\s+radius", "", words(draft("report", "423").draw()))
