"""The family review on one page: what stands on it, what an empty column does, and how much one page takes."""

import re
from dataclasses import replace

import pytest

from regrind.paper import review
from regrind.paper.values import FamilyRow, Money, Style
from tests.paper import papers
from tests.paper.reading import pages, words


@pytest.mark.parametrize("style", [Style("in"), Style("mm", ",", "A4")])
def test_one_page_takes_the_first_and_the_last_that_fit_and_says_how_many_were_left_out(style):
    drawn = review.draw_one_page(papers.review(400, style))
    assert len(pages(drawn)) == 1
    text = words(drawn)
    shown = {int(n) for n in re.findall(r"no\. (\d+)", text)}
    last = len(shown) // 2
    first = len(shown) - last
    assert shown == {*range(1, first + 1), *range(401 - last, 401)}
    assert len(shown) > 5
    assert f"{400 - len(shown)} families between the first {first} and the last {last}" in text
    some_more = replace(papers.review(400, style), rows=papers.review(400, style).rows[: len(shown) + 4])
    assert len(pages(review.draw(some_more))) == 2


def test_a_review_that_fits_is_drawn_whole():
    assert review.draw_one_page(papers.review(6)) == review.draw(papers.review(6))


@pytest.mark.parametrize("rows", [1, 40, 400])
def test_pages_are_counted_as_a_reader_counts_them(rows):
    drawn = review.draw(papers.review(rows))
    assert review.count_pages(drawn) == len(pages(drawn))


def test_a_column_that_no_row_fills_is_left_out():
    row = FamilyRow(
        "1/4 in, 3 flutes",
        12,
        90,
        price=Money(750),
        saved=Money(2100),
        advice="worth sending",
        reground_from=62,
        reground_to=98,
    )
    theirs = review.draw(replace(papers.review(1), rows=(row,)))
    pdf = review.draw(replace(papers.review(1), rows=(replace(row, earned=Money(130)),)))
    assert "Earned" in words(pdf)
    assert "Earned" not in words(theirs)
    assert "62 – 98" in words(theirs)
    assert "21.00" in words(theirs)
    assert "worth sending" in words(theirs)
