"""The review of a shop that holds next to nothing."""

from dataclasses import replace

import pytest

from regrind.record.rollup_rebuild import rebuild
from regrind.review.customers import customer_rows
from regrind.review.families import all_rows
from regrind.review.filters import ReviewFilter
from regrind.review.rows import Row
from regrind.review.sums import Sums

from .both import counted_plainly, told_by_the_review

pytestmark = pytest.mark.django_db


def test_an_empty_shop_has_no_figures(db):
    assert told_by_the_review(ReviewFilter()) == counted_plainly(ReviewFilter()) == {}
    assert customer_rows(ReviewFilter()) == []


def test_one_tool_alone_is_one_of_one(make_batch, family):
    make_batch(1)
    rebuild()
    [row] = all_rows(ReviewFilter())
    assert told_by_the_review(ReviewFilter()) == counted_plainly(ReviewFilter())
    assert (row.sums.received, row.good_share, row.verdict.code, row.verdict.n) == (1, None, "too_few", 0)


def test_one_against_one_is_no_clear_change_and_not_called_steady():
    """One of one good now, none of one before: Newcombe's interval reaches from -0.12 to 1, so nothing is told."""
    row = Row(1, Sums(ground=1, good=1, scrap=1), now=Sums(ground=1, good=1))
    assert row.trend == "no clear change"
    assert replace(row, sums=Sums(ground=45, good=45, scrap=15), now=Sums(ground=30, good=30)).trend == "better"
    assert replace(row, sums=row.now).trend == ""
