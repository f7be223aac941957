"""The review of a shop that holds next to nothing."""
import pytest

from regrind.record.rebuilding import rebuild
from regrind.review.customers import customer_rows
from regrind.review.families import all_rows
from regrind.review.looking import Look

from .both import counted_plainly, told_by_the_review

pytestmark = pytest.mark.django_db


def test_an_empty_shop_has_no_figures(db):
    assert told_by_the_review(Look()) == counted_plainly(Look()) == {}
    assert customer_rows(Look()) == []


def test_one_tool_alone_is_one_of_one(make_batch, family):
    make_batch(1)
    rebuild()
    [row] = all_rows(Look())
    assert told_by_the_review(Look()) == counted_plainly(Look())
    assert (row.sums.seen, row.good_share, row.verdict.code, row.verdict.n) == (1, None, "too_few", 0)
