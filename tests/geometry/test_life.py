"""Regrinds left, against grinding the tool again and again in the plainest way."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.case import read
from regrind.geometry.cleanup import list_options
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE
from regrind.geometry.life import count_regrinds_left
from regrind.geometry.section import find_rake
from regrind.geometry.tool_state import build_state
from tests.geometry.tool_strategies import cases, change, mm
from tests.long_form import FULL

TO_THE_CORE = {"diameter": "0 mm", "usable_length": "0 mm"}


def _grind_until_it_fails(tool_state, cut_option) -> int:
    """By the customer's limits; the cases name both."""
    case, limits = tool_state.case, tool_state.case.limits
    radius, length = cut_option.worst.radius_mm, cut_option.usable_length_nm / 1e6
    charged = cut_option.sides or case.tool.sides_ground_before

    def good():
        rake = find_rake(tool_state.worst.face, radius)
        hard = case.tool.face_arc_radius_nm is not None and limits.rake_deg is not None
        return (
            radius - tool_state.shape.core_mm > 1e-9
            and length > 1e-9
            and 2 * radius - (limits.diameter_nm or 0) / 1e6 >= -1e-9
            and radius - tool_state.shape.core_mm - (limits.flute_depth_nm or 0) / 1e6 >= -1e-9
            and length - (limits.usable_length_nm or 0) / 1e6 >= -1e-9
            and (not hard or (rake is not None and math.degrees(rake) - limits.rake_deg >= -1e-9))
        )

    count = -1
    while good():
        count += 1
        if count > 5000:
            break
        radius -= case.typical.stock_radial_nm / 1e6
        length -= case.typical.cut_back_nm / 1e6
        if case.typical.stock_radial_nm and not charged:
            length -= case.allow.stylus_distance_nm / 1e6
            charged = True
    return max(0, count)


@settings(max_examples=5000 if FULL else 200, deadline=None)
@given(cases(uncertain=False))
def test_counting_agrees_with_grinding_on(case):
    try:
        tool_state = build_state(read(case))
    except Refused:
        return
    for cut_option in list_options(tool_state):
        found = count_regrinds_left(tool_state, cut_option)
        typical = tool_state.case.typical
        if not typical.stock_radial_nm and not typical.cut_back_nm:
            assert found is None
        else:
            assert found == _grind_until_it_fails(tool_state, cut_option)


@pytest.mark.parametrize("typical", [{}, {"stock_radial": "0 mm"}, {"stock_radial": "0 mm", "cut_back": "0 mm"}])
def test_without_a_usual_stock_nothing_is_predicted(typical):
    tool_state = build_state(read(change(CASE, "typical", typical)))
    assert {count_regrinds_left(tool_state, cut_option) for cut_option in list_options(tool_state)} == {None}


def test_a_tiny_stock_counts_far_without_counting_long():
    case = change(CASE, "typical", {"stock_radial": "0.000001 mm"})
    case["limits"] = TO_THE_CORE
    tool_state = build_state(read(case))
    cut_option = list_options(tool_state)[0]
    left = (cut_option.worst.radius_mm - 1.905) * 1e6
    assert count_regrinds_left(tool_state, cut_option) == math.ceil(round(left, 3)) - 1


def test_the_stylus_distance_is_lost_once_when_the_sides_are_first_ground():
    case = change(CASE, "limits", {"usable_length": "10 mm", "diameter": "0 mm"})
    case["typical"] = {"stock_radial": "0.0001 mm", "cut_back": "0.1 mm"}
    tool_state = build_state(read(case))
    left = [count_regrinds_left(tool_state, cut_option) for cut_option in list_options(tool_state)]
    lengths = [cut_option.usable_length_nm / 1e6 for cut_option in list_options(tool_state)]
    assert left[0] == int((lengths[0] - 10) / 0.1)
    assert left[2] == max(0, int((lengths[2] - 1.524 - 10) / 0.1))


def _large_arc(rake_limit, stock_nm: int, rake=7.9, arc_nm: int = 174_200_000) -> dict:
    """A tool whose face is a measured arc so large that the rake falls and rises again while the radius shrinks."""
    case = change(
        CASE,
        "tool",
        {
            "kind": "end mill",
            "teeth": 4,
            "nominal_diameter": "57.15 mm",
            "hand_of_cut": "right",
            "hand_of_helix": "right",
            "material": "carbide",
            "helix_deg": 0,
            "core_diameter": "33.88 mm",
            "rake_deg": rake,
            "primary_relief_deg": 12,
            "secondary_relief_deg": 24,
            "primary_land": "0.955 mm",
            "face_arc_radius": mm(arc_nm),
            "flute_length": "75 mm",
        },
    )
    case["measured"] = {"diameter": "57.15 mm", "method": "swept"}
    case["allow"] = {"finish_radial": "0 mm", "stylus_distance": "1.5 mm", "finish_end": "0 mm"}
    case["damage"], case["limits"] = [{"end_depth": "1 mm", "what": "end wear"}], TO_THE_CORE | {"rake_deg": rake_limit}
    return case | {"typical": {"stock_radial": mm(stock_nm)}}


@settings(max_examples=5000 if FULL else 200, deadline=None)
@given(st.integers(-60, 20), st.integers(20_000, 4_000_000), st.integers(-2, 20), st.integers(30, 300))
def test_a_rake_that_falls_and_rises_is_counted_to_its_first_failure(above, stock_nm, rake, arc_mm):
    """Limits within some tenths of a degree of the present rake, where the fall and the rise lie."""
    tool_state = build_state(read(_large_arc(rake + above / 100, stock_nm, rake, arc_mm * 1_000_000)))
    for cut_option in list_options(tool_state):
        assert count_regrinds_left(tool_state, cut_option) == _grind_until_it_fails(tool_state, cut_option)


@pytest.mark.parametrize(
    ("limit", "stock_nm", "left"),
    [
        (7.9, 1_240_000, 0),  # the first regrind already fails, the ninth would not
        (7.8, 1_240_000, 1),  # the second fails
        (7.7, 1_240_000, 9),  # none fails: the core ends it
        (7.9, 11_000_000, 1),  # one large step passes over the weak radii
    ],
)
def test_counting_stops_at_the_first_weak_rake_and_at_no_other(limit, stock_nm, left):
    tool_state = build_state(read(_large_arc(limit, stock_nm)))
    cut_option = list_options(tool_state)[0]
    assert count_regrinds_left(tool_state, cut_option) == left == _grind_until_it_fails(tool_state, cut_option)
