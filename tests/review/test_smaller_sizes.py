"""What another limit or allowance would have made of the record."""

import pytest

from regrind.bench.models import Plan
from regrind.record.models import Piece
from regrind.record.rollup_rebuild import rebuild
from regrind.review.families import all_rows
from regrind.review.filters import ReviewFilter, WhatIf
from regrind.review.piece_facts import read_facts
from regrind.review.verdicts import judge
from regrind.review.what_if import try_sizes, with_sizes
from tests.events import make_event

pytestmark = pytest.mark.django_db


def tried(biased, limits=None, **what_if):
    [row] = all_rows(ReviewFilter(), only=biased)
    asked, facts = WhatIf(**what_if), read_facts(biased, ReviewFilter()).pieces
    told = try_sizes(row, facts, asked, 12_700, limits or {fact.customer: 5_842_000 for fact in facts})
    return told, with_sizes(row, told)


def test_a_smaller_limit_lets_more_be_ground_and_a_larger_one_fewer(biased):
    as_it_is, row = tried(biased)
    assert (as_it_is.cases, as_it_is.ground, as_it_is.ground_then, row.sums.ground) == (15, 12, 12, 12)
    wider, row = tried(biased, smallest_nm=5_800_000)
    assert (wider.ground_then, row.sums.ground, row.sums.good, row.sums.decided) == (15, 15, 15, 15)
    narrower, row = tried(biased, smallest_nm=6_200_000)
    assert (narrower.ground_then, row.sums.ground, row.sums.returned_unground) == (0, 0, 15)
    assert wider.regrinds_then > as_it_is.regrinds > narrower.regrinds_then


def test_a_larger_allowance_costs_regrinds_and_may_leave_fewer_ready_to_grind(biased):
    more, row = tried(biased, allowance_nm=180_000)
    assert more.regrinds_then < more.regrinds
    assert (more.ground_then, row.sums.ground) == (0, 0)
    assert judge(all_rows(ReviewFilter(), only=biased)[0].verdict.case).n == 12


def test_what_is_tried_as_it_is_changes_nothing(biased, make_batch, owner):
    """Two ground by consent below the limit, three of unknown size, one sent back for another reason: none moves."""
    pieces = list(make_batch(5, number=77).pieces.all())
    for piece, nm in zip(pieces, (5_800_000, 5_800_000), strict=False):
        Plan.objects.create(piece=piece, revision=1, event=make_event(owner), decision="grind", diameter_nm=nm)
    Piece.objects.filter(pk__in=[piece.pk for piece in pieces]).update(result="ground")
    other = make_batch(1, number=78).pieces.get()
    Plan.objects.create(
        piece=other, revision=1, event=make_event(owner), decision="not_ground", verdict="ask", diameter_nm=6_000_000
    )
    Piece.objects.filter(pk=other.pk).update(result="returned_unground")
    rebuild()
    [plain] = all_rows(ReviewFilter(), only=biased)
    for asked in ({"smallest_nm": 5_842_000}, {"allowance_nm": 12_700}, {}):
        told, row = tried(biased, **asked)
        assert (told.cases, told.ground, told.ground_then) == (18, 14, 14)
        assert row.sums == plain.sums
    told, row = tried(biased, smallest_nm=5_800_000)
    assert (told.ground_then, row.sums.ground) == (17, 17 + round(21 * 3 / 18))


def test_each_piece_is_held_to_the_limit_of_its_own_customer(biased, customer):
    """Another's larger limit says nothing of these: the twelve stay, and the three wait for their own."""
    limits = {customer.pk: 5_842_000, customer.pk + 1: 6_300_000}
    told, _ = tried(biased, limits, allowance_nm=12_701)
    assert (told.ground, told.ground_then) == (12, 12)
