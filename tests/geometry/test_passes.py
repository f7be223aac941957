"""Passes: what is planned adds up to the stock and keeps every limit."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.errors import Refused
from regrind.geometry.grit import find_grit, find_most_infeed
from regrind.geometry.passes import plan_passes
from tests.long_form import FULL

EXAMPLES = 5000 if FULL else 200
MM = 25.4


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(0, 1), st.floats(0, 1), st.floats(0.001, 0.05), st.floats(0.001, 0.02))
def test_the_fewest_passes_add_up_to_the_stock_within_every_limit(stock, share, rough_most, finish_most):
    finish = stock * share
    passes = plan_passes(stock, finish, rough_most, finish_most)
    taken = passes.rough * passes.rough_infeed_radial_mm + passes.finish * passes.finish_infeed_radial_mm
    # what is left over after a billionth of an infeed, 0.1 picometre, is no pass of its own
    assert taken == pytest.approx(stock, abs=1e-10)
    assert passes.rough_infeed_radial_mm <= rough_most * (1 + 1e-8)
    assert passes.finish_infeed_radial_mm <= finish_most * (1 + 1e-8)
    assert (passes.rough - 1) * rough_most < stock - finish + 1e-12
    assert (passes.finish - 1) * finish_most < finish + 1e-12


def test_a_stock_of_whole_infeeds_takes_that_many_passes():
    # 0.3/0.1 is 2.9999999999999996 and 0.07/0.01 is 7.000000000000001 in binary
    for count in range(1, 60):
        assert plan_passes(count * 0.01, 0, 0.01, 0.01).rough == count
        assert plan_passes(count / 100, 0, 0.01, 0.01).rough == count


def test_nothing_to_take_off_is_no_pass():
    passes = plan_passes(0.0, 0.0, 0.01, 0.005)
    assert (passes.total, passes.rough_infeed_radial_mm, passes.finish_infeed_radial_mm) == (0, 0.0, 0.0)


def test_common_practice_a_few_thou_clear_ordinary_damage_and_one_more_reversed_finishes_the_edge():
    # common practice: 3 thou on the diameter rough, 1 thou more with the wheel reversed; a D54 wheel at the
    # infeed that shared/15c allows it: an affair of a few turns, not of dozens
    infeed = find_most_infeed(find_grit("D54").mesh_fine).most_mm
    passes = plan_passes(0.002 * MM, 0.0005 * MM, infeed, infeed, spark_out=1)
    assert (passes.rough, passes.finish, passes.total) == (4, 2, 7)
    assert 2 * passes.finish * passes.finish_infeed_radial_mm == pytest.approx(0.001 * MM)


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("stock_radial_mm", lambda: plan_passes(-0.1, 0, 0.01, 0.01)),
        ("stock_radial_mm", lambda: plan_passes(math.nan, 0, 0.01, 0.01)),
        ("finish_radial_mm", lambda: plan_passes(0.1, 0.2, 0.01, 0.01)),
        ("most_rough_infeed_radial_mm", lambda: plan_passes(0.1, 0, 0, 0.01)),
        ("most_rough_infeed_radial_mm", lambda: plan_passes(90, 0, 0.001, 0.01)),
        ("most_finish_infeed_radial_mm", lambda: plan_passes(0.1, 0.1, 0.01, -1)),
        ("spark_out", lambda: plan_passes(0.1, 0.1, 0.01, 0.01, -1)),
    ],
)
def test_impossible_passes_are_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field
