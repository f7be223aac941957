"""The options between sides and end: found exactly, against trying every cut-back and every pair of options."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.case import read
from regrind.geometry.cleanup import find_end_depth, is_beyond_reach, list_options
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE
from regrind.geometry.tool_state import build_state
from tests.geometry.tool_strategies import cases, change, mm
from tests.long_form import FULL


def _present(case):
    try:
        return build_state(read(case))
    except Refused:
        return None


def _try_every(tool_state, depths):
    """Diameter and usable length for any depth of cut, by the words of the paper, one depth after another."""
    case, state = tool_state.case, tool_state.worst
    for depth in depths:
        left = [i for i, mark in enumerate(case.marks) if mark.to_nm > depth and not is_beyond_reach(tool_state, i)]
        cut_back = depth + case.allow.finish_end_nm if depth else 0
        radius, lost = state.teeth.high_mm, 0
        if left:
            teeth = state.teeth.radii_mm or (state.teeth.low_mm,) * case.tool.teeth
            worn = [teeth[case.marks[i].tooth - 1] - state.depths_radial_mm[i] for i in left]
            radius = min([*teeth, *worn]) - case.allow.finish_radial_nm / 1e6
            lost = 0 if case.tool.sides_ground_before else case.allow.stylus_distance_nm
        usable = case.tool.flute_length_nm - cut_back - lost
        if usable > 0 and radius > tool_state.shape.core_mm + 1e-9:
            yield cut_back, 2 * radius, usable


@settings(max_examples=5000 if FULL else 120, deadline=None)
@given(cases(), st.integers(0, 10**9))
def test_no_cut_back_at_all_beats_the_options(case, seed):
    tool_state = _present(case)
    if tool_state is None or not case["damage"]:
        return
    cut_options = list_options(tool_state)
    end, flute = find_end_depth(tool_state), tool_state.case.tool.flute_length_nm
    chance = random.Random(seed)
    depths = {end, *(mark.to_nm for mark in tool_state.case.marks if mark.to_nm > end)}
    depths |= {end + chance.randrange(max(1, flute - end)) for _ in range(30)}
    tried = list(_try_every(tool_state, depths))
    assert bool(cut_options) == bool(tried)
    for _, diameter, usable in tried:
        assert any(2 * c.worst.radius_mm >= diameter - 1e-9 and c.usable_length_nm >= usable for c in cut_options)


@settings(max_examples=5000 if FULL else 120, deadline=None)
@given(cases())
def test_no_option_is_beaten_by_another_and_they_rise(case):
    tool_state = _present(case)
    if tool_state is None:
        return
    cut_options = list_options(tool_state)
    assert [c.cut_back_nm for c in cut_options] == sorted({c.cut_back_nm for c in cut_options})
    for one in cut_options:
        for other in cut_options:
            if one is not other:
                assert not (
                    other.worst.radius_mm >= one.worst.radius_mm - 1e-9
                    and other.usable_length_nm >= one.usable_length_nm
                )


def test_the_worked_example():
    """Source: geometry paper, section 9, last row."""
    found = [
        (c.cut_back_nm / 1e6, 2 * c.worst.radius_mm, c.usable_length_nm / 1e6)
        for c in list_options(build_state(read(CASE)))
    ]
    expected = [(0.3048, 6.1163, 17.221), (1.5748, 6.2629, 15.951), (7.6708, 6.3551, 11.379)]
    for one, wanted in zip(found, expected, strict=True):
        assert one == pytest.approx(wanted, abs=5e-4)


def test_equal_diameters_by_different_sums_are_one_option():
    """Teeth 20 um apart, marks 20 um apart: both leave 9.9 mm, and only decimals say so exactly."""
    case = change(CASE, "tool.nominal_diameter", "10 mm")
    case["tool"]["core_diameter"] = "5 mm"
    case["tool"]["teeth"] = 2
    case["measured"] = {"diameter": "10 mm", "method": "swept", "tooth_readings": ["0 mm", "-0.02 mm"]}
    case["damage"] = [
        {"tooth": 1, "from": "0 mm", "to": "5 mm", "depth": "0.07 mm"},
        {"tooth": 2, "from": "0 mm", "to": "1 mm", "depth": "0.05 mm"},
    ]
    assert [cut_option.depth_nm for cut_option in list_options(build_state(read(case)))] == [0, 5_000_000]


def test_a_sound_end_is_left_alone_and_a_mark_is_gone_at_its_far_end_exactly():
    case = change(CASE, "damage", [{"tooth": 1, "from": "0 mm", "to": "3 mm", "depth": "0.1 mm"}])
    first, last = list_options(build_state(read(case)))
    assert (first.cut_back_nm, first.sides) == (0, True)
    assert (last.cut_back_nm, last.sides) == (3_050_800, False)
    assert 2 * last.worst.radius_mm == pytest.approx(6.35508)


def test_a_mark_behind_the_stylus_lowers_nothing_and_is_told_until_it_is_cut_off():
    deep = {"tooth": 1, "from": "0.700 in", "to": "0.710 in", "depth": "0.3 mm", "what": "chip"}
    tool_state = build_state(
        read(change(CASE, "damage", [deep, {"tooth": 2, "from": "0 in", "to": ".1 in", "depth": ".1 mm"}]))
    )
    assert is_beyond_reach(tool_state, 0)
    assert [(c.sides, c.leaves_marks) for c in list_options(tool_state)] == [(True, True), (False, True)]
    edge = build_state(read(change(CASE, "damage", [deep | {"from": "0.68999 in"}])))
    assert not is_beyond_reach(edge, 0)
    near = {"tooth": 2, "from": "0.1 in", "to": "0.7 in", "depth": "1 mm"}
    both = [deep | {"to": "0.695 in", "from": "0.691 in"}, near]
    assert [c.leaves_marks for c in list_options(build_state(read(change(CASE, "damage", both))))] == [True, False]


def test_nothing_is_an_option_without_length_or_flute():
    short = change(CASE, "tool.flute_length", "0.3 in")
    depths = [cut_option.depth_nm for cut_option in list_options(build_state(read(short)))]
    assert depths == [254_000, 1_524_000]  # 0.3 in more leaves no length
    deep = change(CASE, "damage.0.depth", mm(1_260_000))  # what is left is the core
    assert 254_000 not in [cut_option.depth_nm for cut_option in list_options(build_state(read(deep)))]


def test_a_total_reading_gives_the_worst_and_best_radius_of_the_paper():
    """Section 1: worst low - d_most - finish, best min(low - d_least, high - d_most) - finish."""
    case = change(CASE, "measured", {"diameter": "10 mm", "method": "swept", "tir": "0.02 mm"})
    case["tool"] |= {"nominal_diameter": "10 mm", "core_diameter": "5 mm", "teeth": 2}
    case["damage"] = [
        {"tooth": 1, "from": "0 mm", "to": "4 mm", "depth": "0.05 mm"},
        {"tooth": 2, "from": "0 mm", "to": "4 mm", "depth": "0.04 mm"},
    ]
    case["allow"]["finish_radial"] = "0.01 mm"
    sides = list_options(build_state(read(case)))[0]
    assert sides.worst.radius_mm == pytest.approx(4.98 - 0.05 - 0.01, abs=1e-12)
    assert sides.best.radius_mm == pytest.approx(min(4.98 - 0.04, 5 - 0.05) - 0.01, abs=1e-12)
    one = change(case, "damage", case["damage"][:1])
    assert list_options(build_state(read(one)))[0].best.radius_mm == pytest.approx(
        min(4.98, 5 - 0.05) - 0.01, abs=1e-12
    )


def test_what_the_total_reading_bounds_is_what_any_order_of_teeth_gives():
    """Every way to hand out heights between low and high: the clean radius stays within worst and best."""
    case = change(CASE, "measured", {"diameter": "6.35 mm", "method": "swept", "tir": "0.02 mm"})
    sides = list_options(build_state(read(case)))[0]
    chance = random.Random(1)
    for _ in range(200):
        heights = [0.0, -0.02, -0.02 * chance.random()]
        chance.shuffle(heights)
        read_teeth = change(
            case,
            "measured",
            {"diameter": "6.35 mm", "method": "swept", "tooth_readings": [mm(round(h * 1e6)) for h in heights]},
        )
        radius = list_options(build_state(read(read_teeth)))[0].worst.radius_mm
        assert sides.worst.radius_mm - 1e-9 <= radius <= sides.best.radius_mm + 1e-9
