"""Intervals of shares and means, and the tests of bias, against scipy and printed tables."""

import math

import numpy as np
import pytest
import scipy  # and not `stats` from it, which takes half a second where tests are only collected
from hypothesis import given, settings
from hypothesis import strategies as some

from regrind.review.bias import ENOUGH, EXACT_UP_TO, Signs, chance_of_signs, chance_of_t, judge_bias
from regrind.review.intervals import Moments, mean_interval, share_difference, share_interval, t_quantile, t_within

FEW = settings(max_examples=200, deadline=None)
whole = some.integers(-2_000_000, 2_000_000)


def moments_of(values) -> Moments:
    return Moments(len(values), sum(values), sum(v * v for v in values))


def signs_of(values) -> Signs:
    return Signs(sum(v > 0 for v in values), sum(v < 0 for v in values))


@pytest.mark.parametrize("of", [1, 2, 3, 7, 20, 365, 20_000])
def test_the_interval_of_a_share_is_scipys_wilson(of):
    for good in {0, 1, of // 3, of - 1, of}:
        theirs = scipy.stats.binomtest(good, of).proportion_ci(0.95, method="wilson")
        ours = share_interval(good, of)
        assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@FEW
@given(some.integers(0, 60), some.integers(0, 60))
def test_a_share_lies_in_its_interval_and_more_cases_of_it_make_it_narrower(good, bad):
    found = share_interval(good, good + bad)
    assert 0 <= found.low < found.high <= 1
    if good + bad:
        assert found.holds(good / (good + bad))
        twice = share_interval(2 * good, 2 * (good + bad))
        assert twice.high - twice.low < found.high - found.low


@pytest.mark.parametrize(("good", "of"), [(-1, 3), (4, 3), (1, 0)])
def test_what_is_no_share_is_refused(good, of):
    with pytest.raises(ValueError, match="no share"):
        share_interval(good, of)


def test_the_difference_of_two_shares_is_newcombes_printed_example():
    """Newcombe 1998, table II, (a) 56/70 − 48/80 by method 10: .0524 to .3339 (from memory)."""
    found = share_difference((56, 70), (48, 80))
    assert (found.low, found.high) == pytest.approx((0.0524, 0.3339), abs=5e-5)
    assert (share_difference((0, 0), (3, 4)).low, share_difference((3, 4), (0, 0)).high) == (-1, 1)


@pytest.mark.parametrize(
    ("df", "printed"), [(1, 12.706), (2, 4.303), (5, 2.571), (10, 2.228), (30, 2.042), (100, 1.984)]
)
def test_t_is_that_of_the_printed_table(df, printed):
    """NIST/SEMATECH e-Handbook 1.3.6.7.2, critical values of Student's t, 0.975 (from memory)."""
    assert t_quantile(0.975, df) == pytest.approx(printed, abs=6e-4)


@pytest.mark.parametrize("df", [1, 2, 3, 4, 9, 50, 199, 200, 201, 500, 10_000])
def test_t_is_scipys_exact_or_to_eight_figures(df):
    for t in (0.0, 0.1, 1.0, 1.96, 2.58, 4.0, 7.0):
        assert t_within(t, df) == pytest.approx(1 - 2 * scipy.stats.t.sf(t, df), abs=1e-8)
    for below in (0.5, 0.75, 0.975, 0.995):
        assert t_quantile(below, df) == pytest.approx(scipy.stats.t.ppf(below, df), abs=1e-6, rel=1e-7)


def test_a_t_outside_its_range_is_refused():
    for bad in (
        lambda: t_within(-1.0, 3),
        lambda: t_within(1.0, 0),
        lambda: t_quantile(0.4, 3),
        lambda: t_quantile(1.0, 3),
    ):
        with pytest.raises(ValueError, match=r"t =|is not from"):
            bad()


@FEW
@given(some.lists(whole, min_size=2, max_size=40))
def test_the_interval_of_a_mean_is_scipys(values):
    ours, spread = mean_interval(moments_of(values)), np.std(values, ddof=1)
    assert ours is not None
    if spread == 0:
        assert ours.low == ours.high == values[0]
        return
    low, high = scipy.stats.t.interval(
        0.95, len(values) - 1, loc=np.mean(values), scale=spread / math.sqrt(len(values))
    )
    assert (ours.low, ours.high) == pytest.approx((low, high), rel=1e-7, abs=1e-4)


def test_fewer_than_two_have_no_interval():
    assert mean_interval(Moments()) is None
    assert mean_interval(moments_of([7])) is None
    assert chance_of_t(moments_of([7])) is None


@FEW
@given(some.lists(whole, min_size=2, max_size=40).filter(lambda v: len(set(v)) > 1))
def test_the_chance_of_t_is_scipys(values):
    assert chance_of_t(moments_of(values)) == pytest.approx(scipy.stats.ttest_1samp(values, 0).pvalue, abs=1e-7)


@FEW
@given(some.integers(0, EXACT_UP_TO), some.integers(0, 60))
def test_the_chance_of_signs_is_scipys_binomial(above, below):
    if 0 < above + below <= EXACT_UP_TO:
        theirs = scipy.stats.binomtest(above, above + below, 0.5).pvalue
        assert chance_of_signs(Signs(above, below)) == pytest.approx(theirs, rel=1e-9, abs=1e-300)


def test_many_signs_are_near_enough_the_exact_chance():
    for above in (10_000, 10_100, 10_200):
        theirs = scipy.stats.binomtest(above, 20_000, 0.5).pvalue
        assert chance_of_signs(Signs(above, 20_000 - above)) == pytest.approx(theirs, rel=0.02)


def test_what_is_said_of_a_bias():
    steady = [12, 9, 11, 10, 8, 12, 10, 9]
    said = {
        "bias": steady,
        "too few": steady[: ENOUGH - 1],
        "chance": [5, -5, 4, -4, 3, -3, 6, -5],
        "one wild reading": [900, -1, 1, -1, 1, -1, 1, -1, 1, -1],
    }
    for words, values in said.items():
        wanted = "chance" if words == "one wild reading" else words
        assert judge_bias(moments_of(values), signs_of(values)).finding == wanted
    assert judge_bias(moments_of(steady), signs_of(steady), least=50).finding == "small"
    assert judge_bias(moments_of([5] * 9), signs_of([5] * 9)).finding == "bias"
    assert judge_bias(moments_of([0] * 9), signs_of([0] * 9)).finding == "chance"


def test_a_plan_that_is_right_is_seldom_called_wrong():
    """Of 2,000 families of 12 whose plan is right, about one in a hundred or fewer is said to be off."""
    chance = np.random.default_rng(6)
    false = sum(
        judge_bias(moments_of(v), signs_of(v)).finding == "bias"
        for v in (chance.normal(0, 1000, (2000, 12)).round().astype(int).tolist())
    )
    assert false <= 25
