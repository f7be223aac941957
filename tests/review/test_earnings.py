"""What a minute earned and a tool saved, by hand: minutes, money and tools are those of the same pieces."""

from datetime import date

import pytest
from django.utils import timezone

from regrind.bench.models import Grind
from regrind.record.models import Piece
from regrind.record.rate_changes import keep_rates
from regrind.record.rollup_rebuild import rebuild
from regrind.review.families import all_rows
from regrind.review.filters import ReviewFilter
from tests.events import make_event

from .both import counted_plainly, told_by_the_review
from .test_pages import all_shown

pytestmark = pytest.mark.django_db


def say(pieces, by, minutes=None, **told) -> None:
    """As if these pieces had been ground in so many minutes each, and this had come of them."""
    Piece.objects.filter(pk__in=[piece.pk for piece in pieces]).update(**told)
    happened = make_event(by)
    Grind.objects.bulk_create(
        Grind(piece=piece, revision=1, setup="one", grinds="sides", minutes_hundredths=minutes, event=happened)
        for piece in pieces
        if minutes
    )


@pytest.fixture
def half_done(make_batch, owner):
    """Ten pieces at 10.00: four ground in 5 minutes each, two ground without minutes, one scrapped after 5 minutes,
    three still on the bench after 5 minutes. Two more of a line that nobody has priced, ground in 5 minutes."""
    priced, unpriced = make_batch(10, 2).lines.order_by("number")
    priced.unit_price_minor = 1000
    priced.save(update_fields=["unit_price_minor"])
    pieces = list(priced.pieces.order_by("number"))
    say(pieces[:4], owner, 500, result="ground")
    say(pieces[4:6], owner, result="ground")
    say(pieces[6:7], owner, 500, result="scrap")
    say(pieces[7:], owner, 500)
    say(unpriced.pieces.all(), owner, 500, result="ground")
    return pieces


def test_what_is_on_the_bench_or_has_no_minutes_or_no_price_moves_no_earnings(half_done):
    """4 × 10.00 over 5 × 5 min is 1.60 a minute; of all prices over all minutes it would read 1.20."""
    rebuild()
    [row] = all_rows(ReviewFilter())
    assert (row.sums.earning_n, row.sums.earning_ground, row.earns_minor) == (5, 4, 160)
    assert told_by_the_review(ReviewFilter()) == counted_plainly(ReviewFilter())


def test_the_earnings_open_their_pieces(half_done, at_desk, family):
    rebuild()
    assert all_shown(at_desk, family, result="earning") == {p.pk for p in [*half_done[:4], half_done[6]]}
    assert all_shown(at_desk, family, result="replaced") == {p.pk for p in half_done[:6]}


def test_what_was_decided_before_a_new_tool_had_a_price_dilutes_no_saving(half_done, make_batch, owner, family):
    """Six good at 10.00 and one scrapped, new ones at 45.00: 6 × 35.00 over 7 is 30.00, whatever came years before."""
    early = make_batch(20)
    type(early).objects.filter(pk=early.pk).update(received_at=timezone.now().replace(year=2019))
    say(early.pieces.all(), owner, result="scrap")
    keep_rates(by=owner, scope=(family.pk, ""), amounts={("new", ""): 4500}, from_day=date(2024, 1, 1), seen=0)
    rebuild()
    [row] = all_rows(ReviewFilter())
    assert (row.sums.saved_minor, row.sums.saved_n, row.sums.saved_of, row.saves_minor) == (21_000, 6, 7, 3000)
    assert told_by_the_review(ReviewFilter()) == counted_plainly(ReviewFilter())
