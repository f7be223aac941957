"""Heights of rest, wheel and stylus: published offsets, a 3-D helix, and the wheel's cuts as half-planes."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.errors import Refused
from regrind.geometry.lag import (
    find_drifted_relief,
    find_lag,
    find_lag_distance,
    hands_agree,
    set_stylus,
)
from regrind.geometry.relief import Way, find_drop
from regrind.geometry.setup import (
    find_pull_off_ratio,
    find_relief_at_rest,
    find_relief_at_wheel,
    find_rest_below,
    find_wheel_above,
    find_witness_change,
)
from regrind.geometry.tables import rows
from tests.long_form import FULL

EXAMPLES = 5000 if FULL else 60
MM = 25.4
OFFSETS = rows("04_wheel_offset")
CUP = [row for row in OFFSETS if row["setup"].startswith("cup wheel")]
DISC = [row for row in OFFSETS if row["setup"].startswith("disc")]


def test_all_112_cup_wheel_heights_agree_with_the_derived_table():
    # shared/04: "derived: C=D/2*sin(a)"
    assert len(CUP) == 112
    for row in CUP:
        radius, relief = float(row["diameter_in"]) * MM / 2, math.radians(float(row["clearance_deg"]))
        height = find_rest_below(radius, relief)
        assert height == pytest.approx(float(row["offset_exact_mm"]), abs=5.1e-5)


def test_92_of_96_remembered_disc_wheel_heights_agree_to_the_printed_digit():
    # shared/04: "memory: Machinery's Handbook disc-wheel table"; four are marked doubtful
    agreeing = []
    for row in DISC:
        wheel, relief = float(row["diameter_in"]) * MM / 2, math.radians(float(row["clearance_deg"]))
        height = find_wheel_above(10.0, relief, wheel)
        assert height == pytest.approx(float(row["offset_exact_mm"]), abs=5.1e-5)
        if abs(height / MM - float(row["offset_table_in"])) <= 0.0005 + 1e-9:
            agreeing.append(row)
    assert (len(agreeing), len(DISC)) == (92, 96)
    assert all(row["test_use"] == "exact" for row in agreeing)


def test_the_shop_rule_of_0_0087_per_inch_and_degree_is_within_its_known_error():
    # rule constant read in a US Navy Machinery Repairman manual (shared/04)
    for row in OFFSETS:
        diameter, degrees = float(row["diameter_in"]), float(row["clearance_deg"])
        exact = find_rest_below(diameter * MM / 2, math.radians(degrees)) / MM
        error_pct = 100 * (0.0087 * diameter * degrees / exact - 1)
        assert error_pct == pytest.approx(float(row["rule_error_pct"]), abs=0.02)


def wheel_tangent_relief(tool: float, wheel: float, wheel_above: float, edge_above: float) -> float:
    """The angle between both circles' tangents where they meet, from drawn centres."""
    edge = np.array([math.sqrt(tool**2 - edge_above**2), edge_above])
    centre = np.array([edge[0] + math.sqrt(wheel**2 - (wheel_above - edge_above) ** 2), wheel_above])
    towards = centre - edge
    cross = edge[0] * towards[1] - edge[1] * towards[0]
    return math.asin(cross / (np.linalg.norm(edge) * np.linalg.norm(towards)))


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(1, 50), st.floats(20, 200), st.floats(0, 30), st.floats(-0.5, 0.5))
def test_a_straight_wheel_meets_the_edge_at_the_relief_it_was_set_for(tool, wheel, degrees, share):
    relief, edge_above = math.radians(degrees), share * tool
    above = find_wheel_above(tool, relief, wheel, edge_above)
    assert wheel_tangent_relief(tool, wheel, above, edge_above) == pytest.approx(relief, abs=1e-9)
    assert find_relief_at_wheel(tool, wheel, above, edge_above) == pytest.approx(relief, abs=1e-9)


def test_a_very_large_wheel_is_a_cup_wheel():
    below = find_rest_below(3.175, math.radians(12))
    # centre at the edge's height: the face is vertical there
    assert find_relief_at_wheel(3.175, 9000.0, -below, -below) == pytest.approx(math.radians(12), abs=1e-12)


# --- witness strip, pull-off ------------------------------------------------------------------------------


@pytest.mark.parametrize("diameter_in", [0.125, 0.25, 0.375])
def test_common_practice_a_quarter_thou_scraping_half_a_small_land_is_a_degree_or_two(diameter_in):
    # common practice; half the widest land of a small tool in shared/01
    table = rows("01_relief_drop_radial_flat")
    row = next(row for row in table if float(row["cutter_dia_in"]) == diameter_in)
    half = float(row["max_primary_land_in"]) * MM / 2
    assert 1 <= math.degrees(find_witness_change(0.00025 * MM, half, "heel")) <= 2


def test_the_witness_strip_is_the_angle_between_the_old_land_and_the_wheels_plane():
    """Drawn: the land from heel to edge, the plane through a point b inside it, fed i beyond the heel."""
    land, strip, feed = 0.4, 0.15, 0.006
    old, turn = np.array([1.0, 0.0]), math.asin(feed / strip)
    touched_at = np.array([land - strip, 0.0])
    plane = np.array([math.cos(turn), -math.sin(turn)])
    heel = np.array([land, 0.0])
    # how far the heel, where it first touched, now stands beyond the plane
    normal = np.array([-plane[1], plane[0]])
    assert (heel - touched_at) @ normal == pytest.approx(feed)
    change = find_witness_change(feed, strip, "heel")
    assert change == pytest.approx(math.acos(old @ plane))
    assert find_witness_change(feed, strip, "edge") == -change


def test_the_tooth_lifts_once_the_forces_turn_it_off_the_rest():
    """Moments about the axis of a pressing and a dragging force at the edge, drawn as vectors."""
    assert find_pull_off_ratio(math.radians(12)) == pytest.approx(0.21, abs=0.005)  # the paper's figure
    for degrees in (3, 12, 25):
        relief = math.radians(degrees)
        edge = np.array([0.0, 3.0])
        flank = np.array([-math.cos(relief), -math.sin(relief)])
        outward = np.array([-math.sin(relief), math.cos(relief)])
        force = -outward + find_pull_off_ratio(relief) * flank
        assert edge[0] * force[1] - edge[1] * force[0] == pytest.approx(0, abs=1e-12)


def test_common_practice_of_two_similar_tools_in_one_setup_only_the_travel_stop_changes():
    # common practice: two tools of one size, hand and relief, their flutes of different length
    def setup(flute_mm: float) -> dict[str, object]:
        tool = {"radius_mm": 3.0, "relief_rad": math.radians(12)}
        return {
            "stylus": set_stylus(**tool, helix_rad=math.radians(30), lag_distance_mm=1.5, agree=True),
            "wheel": find_wheel_above(**tool, wheel_radius_mm=50.0),
            "drop": find_drop(tool["relief_rad"], 0.25, Way.LAND, tool["radius_mm"]),
            "travel": flute_mm - 1.5 + 2.0,
        }

    long, short = setup(19.05), setup(12.7)
    assert [name for name in long if long[name] != short[name]] == ["travel"]


@pytest.mark.parametrize(
    ("field", "call"),
    [
        ("radius_mm", lambda: find_rest_below(0.0, 0.2)),
        ("radius_mm", lambda: find_rest_below(math.nan, 0.2)),
        ("relief_rad", lambda: find_rest_below(3.0, math.pi / 2)),
        ("below_mm", lambda: find_relief_at_rest(3.0, 3.0)),
        ("wheel_radius_mm", lambda: find_wheel_above(3.0, 0.2, -1.0)),
        ("wheel_above_mm", lambda: find_relief_at_wheel(3.0, 50.0, 50.0)),
        ("wheel_above_mm", lambda: find_relief_at_wheel(3.0, 50.0, math.nan)),
        ("feed_mm", lambda: find_witness_change(0.3, 0.2, "heel")),
        ("feed_mm", lambda: find_witness_change(-0.1, 0.2, "heel")),
        ("strip_mm", lambda: find_witness_change(0.0, 0.0, "heel")),
        ("scraped_at", lambda: find_witness_change(0.01, 0.2, "middle")),
        ("relief_rad", lambda: find_pull_off_ratio(0.0)),
        ("helix_rad", lambda: find_lag(3.0, math.radians(90), 1.0)),
        ("helix_rad", lambda: find_lag(3.0, -0.1, 1.0)),
        ("distance_mm", lambda: find_lag(3.0, 0.5, -1.0)),
        ("gap_mm", lambda: find_lag_distance(-0.1, 1.0, 1.0, agree=True)),
        ("lag_distance_mm", lambda: set_stylus(3.0, 0.2, math.radians(45), 30.0, agree=True)),
        ("lag_distance_mm", lambda: set_stylus(3.0, 0.2, math.radians(45), 30.0, agree=False)),
        ("radius_after_mm", lambda: find_drifted_relief(3.0, 0.5, 0.2, 0.0, agree=True)),
        ("hand_of_cut", lambda: hands_agree("up", "left")),
        ("hand_of_helix", lambda: hands_agree("left", "")),
    ],
)
def test_impossible_setups_are_refused_by_name(field, call):
    with pytest.raises(Refused) as refused:
        call()
    assert refused.value.field == field


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(1e-6, 1e4), st.floats(-1.5, 1.5), st.floats(0, 1.5), st.floats(0, 1000), st.booleans())
def test_a_setup_is_finite_or_refused(radius, relief, helix, e, agree):
    leaves = abs(relief - (1 if agree else -1) * find_lag(radius, helix, e)) >= math.pi / 2
    if leaves:
        with pytest.raises(Refused, match="lag_distance_mm: must be below"):
            set_stylus(radius, relief, helix, e, agree=agree)
        return
    stylus = set_stylus(radius, relief, helix, e, agree=agree)
    found = (stylus.lag_rad, stylus.tip_below_mm, stylus.relief_ignoring_lag_rad)
    assert all(math.isfinite(value) for value in found)
    assert abs(stylus.tip_below_mm) <= radius
