"""A common size taken: every figure at that size, by another way to it; who takes it, and what it costs."""

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.case import read
from regrind.geometry.common_size import Bounds, find_step_in_unit
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE
from regrind.geometry.plan import work_out, work_out_at
from regrind.geometry.taken_size import find_costs, fit_size, is_free, list_pieces, plan_like, propose_size
from tests.geometry.tool_strategies import cases, change, mm
from tests.long_form import FULL

HALF_INCH_NM = 12_700_000
STEP_NM = 63_500  # .0025 in
# 1/2 in, worn all along; the stock decides the size. Rake is 3.2 degrees at .434 in and below 0 at .4175 in.
TOOL = {
    "tool": {
        "kind": "end mill",
        "teeth": 4,
        "material": "carbide",
        "nominal_diameter": "1/2 in",
        "helix_deg": 30,
        "core_diameter": "0.3 in",
        "rake_deg": 8,
        "primary_relief_deg": 12,
        "secondary_relief_deg": 24,
        "primary_land": "0.018 in",
        "flute_length": "1.25 in",
    },
    "measured": {"diameter": "0.455 in", "method": "micrometer"},
    "damage": [{"tooth": 1, "from": "0 in", "to": "1.1 in", "depth": "0.010 in", "what": "wear"}],
    "allow": {"finish_radial": "0.0005 in", "finish_end": "0.002 in", "stylus_distance": "0.06 in"},
    "limits": {"rake_deg": 0, "diameter": "0.40 in"},
    "typical": {"stock_radial": "0.005 in", "cut_back": "0.02 in"},
}


def _worn(depth_in: float) -> dict:
    return change(TOOL, "damage.0.depth", f"{depth_in:.5f} in")


def _like(depth_in: float, *names: str):
    return plan_like(names, read(_worn(depth_in)))


@settings(max_examples=3000 if FULL else 150, deadline=None)
@given(cases(), st.integers(1, 60_000))
def test_an_option_at_a_size_is_that_of_a_finish_allowance_that_leads_there(case, less_nm):
    """All but the uncertainty, which no longer hangs on the damage, and so the verdicts.

    Of depths alone, swept, every diameter is a whole number of nanometres: both ways lead to the same.
    """
    case["measured"].pop("tir", None)
    case["measured"]["method"] = "swept"
    case["damage"] = [mark for mark in case["damage"] if "wear_land" not in mark]
    try:
        before = work_out(read(case))
    except Refused:
        return
    for option in before.options:
        if not option.sides or option.flute_depth_mm < 0.1:
            continue
        size = round(option.diameter_mm * 1e6) - 2 * less_nm
        deeper = change(case, "allow.finish_radial", mm(read(case).allow.finish_radial_nm + less_nm))
        at_size = work_out_at(read(case), round(option.cut_back_mm * 1e6), size)
        other = [o for o in work_out(read(deeper)).options if o.cut_back_mm == option.cut_back_mm]
        if other:  # else another cut-back beats it there
            _expect_alike(at_size, other[0])


def _expect_alike(option, other) -> None:
    for item in dataclasses.fields(option):
        mine, theirs = getattr(option, item.name), getattr(other, item.name)
        if item.name in ("limits", "verdict", "reasons"):
            continue
        if isinstance(mine, float) or (isinstance(mine, tuple) and mine and isinstance(mine[0], float)):
            assert mine == pytest.approx(theirs, abs=1e-8, rel=1e-8), item.name
        else:
            assert mine == theirs, item.name
    for mine, theirs in zip(option.limits, other.limits, strict=True):
        assert (mine.limit, mine.at_least) == (theirs.limit, theirs.at_least)
        assert mine.margin == pytest.approx(theirs.margin, abs=1e-8)


def test_a_size_is_as_sure_as_the_reading_of_it_whatever_the_damage_was():
    case = change(CASE, "uncertainty", {"diameter": "1 um", "depth": "0.1 mm", "wear_land": "0.1 mm"})
    line = work_out_at(read(case), 304_800, 6_000_000).limits[0]
    assert (line.limit, line.expanded_uncertainty) == ("diameter", pytest.approx(0.002))


def test_a_size_above_the_clean_one_below_the_core_or_off_the_sides_is_refused():
    case = read(CASE)
    for cut_back, size, field in (
        (304_800, 6_116_400, "diameter"),
        (304_800, 3_810_000, "diameter"),
        (304_801, 6_000_000, "cut_back"),
        (7_670_800, 6_000_000, "cut_back"),
    ):
        with pytest.raises(Refused) as refused:
            work_out_at(case, cut_back, size)
        assert refused.value.field == field


def test_the_piece_that_would_pay_is_not_proposed_and_its_price_is_said():
    """Three at .434 in (rake 3.2 degrees, grind) and one at .4195: at .4175 in the rake of all is below zero."""
    three, one = _like(0.010, "1", "2", "3"), _like(0.01725, "4")
    bounds = Bounds(HALF_INCH_NM, STEP_NM)
    assert three.plan_option.diameter_mm / 25.4 == pytest.approx(0.434)
    assert one.plan_option.diameter_mm / 25.4 == pytest.approx(0.4195)
    assert three.plan_option.verdict == "grind"
    fit = fit_size(three, bounds, round(0.4175 * 25_400_000))
    assert fit.option.rake_deg < 0 < three.plan_option.rake_deg
    assert fit.option.verdict == "ask"
    assert "outside_rake_deg" in fit.option.reasons
    assert fit.option.primary_land_mm > three.plan_option.primary_land_mm
    assert (fit.worse, is_free(fit, bounds)) == (True, False)
    assert propose_size([three, one], bounds) is None
    (cost,) = find_costs([three, one], bounds)
    assert (cost.names, cost.others) == (("4",), 3)
    assert (cost.size_nm / 25.4e6, cost.size_without_nm / 25.4e6) == pytest.approx((0.4175, 0.4325))
    assert cost.regrinds == 6  # .01 in a regrind down to .40 in: two fewer each


def test_like_pieces_within_one_regrind_are_proposed_at_the_largest_size_that_costs_nothing():
    likes = [_like(0.0101, "1", "2"), _like(0.0105, "3"), _like(0.02, "4")]
    bounds = Bounds(HALF_INCH_NM, STEP_NM)
    proposal = propose_size(likes, bounds)
    assert [fit.like.names for fit in proposal.taken] == [("1", "2"), ("3",)]
    assert proposal.diameter_nm / 25.4e6 == pytest.approx(0.4325)
    assert all(fit.regrinds_lost == 0 and not fit.worse for fit in proposal.taken)
    assert proposal.setups_saved == 1
    assert [fit.like.names for fit in proposal.not_taken] == [("4",)]


def test_pieces_that_only_need_the_end_keep_their_diameter():
    """Ten that lose .062 in of the end at .2498 in take no size of .2450 in besides."""
    case = change(CASE, "damage", [{"tooth": 1, "from": "0 in", "to": "0.060 in", "depth": "0.002 in"}])
    case["limits"] = {}
    ends = plan_like([str(n) for n in range(10)], read(case))
    assert (ends.plan_option.sides, ends.leaves_sides) == (False, True)
    assert list_pieces([ends]) == []
    bounds = Bounds(6_350_000, 127_000)
    assert propose_size([ends, plan_like(["a"], read(CASE))], bounds) is None
    fit = fit_size(ends, bounds, 6_223_000)
    assert (fit.option.sides, is_free(fit, bounds)) == (True, False)


@pytest.mark.parametrize(
    ("nominal_nm", "step_nm", "own_nm"),
    [
        (6_000_000, 127_000, 100_000),  # a metric tool never leaves at 5.873 mm
        (6_000_000, 25_400, 20_000),
        (6_000_000, 50_000, 50_000),
        (6_000_000, 12_700, 10_000),
        (6_350_000, 127_000, 127_000),
        (12_700_000, 100_000, 127_000),
        (25_400_000, 50_000, 50_800),
        (3_175_000, 2_540, 2_540),
    ],
)
def test_steps_follow_the_tools_own_unit(nominal_nm, step_nm, own_nm):
    assert find_step_in_unit(nominal_nm, step_nm) == own_nm


@settings(max_examples=500 if FULL else 25, deadline=None)
@given(st.lists(st.integers(10, 300), min_size=2, max_size=5, unique=True))
def test_no_other_size_could_be_taken_by_more_for_nothing(depths):
    """Every step size tried, against the one proposed."""
    likes = [_like(tenths / 10_000, str(tenths)) for tenths in depths]
    bounds = Bounds(HALF_INCH_NM, STEP_NM)
    best = (1, 0)
    for size in range(HALF_INCH_NM, 9_000_000, -STEP_NM):
        free = sum(is_free(fit_size(like, bounds, size), bounds) for like in likes)
        best = max(best, (free, size)) if free > 1 else best
    proposal = propose_size(likes, bounds)
    assert best == ((len(proposal.taken), proposal.diameter_nm) if proposal else (1, 0))
