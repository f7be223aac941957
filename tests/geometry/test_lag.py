"""The stylus on a helix: its lag, the corners it is counted from, and how sure the ground relief is."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon
from shapely.affinity import rotate

from regrind.geometry.lag import (
    find_drifted_relief,
    find_ground_relief,
    find_lag,
    find_lag_distance,
    find_setup_uncertainty,
    hands_agree,
    needs_mirrored_setup,
    set_stylus,
    set_stylus_per_tooth,
)
from regrind.geometry.land import find_helix, find_helix_spread
from regrind.geometry.tables import rows
from tests.long_form import FULL

EXAMPLES = 5000 if FULL else 60
MM = 25.4
OFFSETS = rows("04_wheel_offset")
CUP = [row for row in OFFSETS if row["setup"].startswith("cup wheel")]
DISC = [row for row in OFFSETS if row["setup"].startswith("disc")]


# --- the helix in three dimensions -------------------------------------------------------------------------


def edge_at(axial: float, radius: float, helix: float, *, helix_hand: int, start: float) -> np.ndarray:
    """A point of the edge. The axis is z from the end face towards the shank; helix_hand: 1 right, -1 left.

    A right-hand helix advances along +z as its point turns anticlockwise seen from +z (as a screw does), so a
    point moves by hand * z tan(helix)/r in the mathematical sense, whichever end one looks from.
    """
    angle = start + helix_hand * axial * math.tan(helix) / radius
    return np.array([radius * math.cos(angle), radius * math.sin(angle), axial])


def ground_relief_3d(radius: float, helix: float, e: float, tip_below: float, *, cut: int, helix_hand: int) -> float:
    """Rest the edge on the tip at z = e, cut it by a vertical plane at z = 0, and measure the angle there.

    The tool is seen from the shank (from +z), wheel at +x for a right-hand cut and at -x for a left-hand one
    (the mirrored set-up). Cutting direction: a right-hand cutter seen from its shank turns clockwise.
    """
    at_tip = math.asin(-tip_below / radius) if cut > 0 else math.pi - math.asin(-tip_below / radius)
    start = at_tip - helix_hand * e * math.tan(helix) / radius
    edge = edge_at(0.0, radius, helix, helix_hand=helix_hand, start=start)
    spin = np.array([0, 0, -1.0]) if cut > 0 else np.array([0, 0, 1.0])
    cutting = np.cross(spin, edge)
    backwards = -cutting / np.linalg.norm(cutting)
    inwards = -edge[:2] / radius
    flank = np.array([0.0, 1.0]) * np.sign(backwards[1])
    return math.atan2(flank @ inwards, flank @ backwards[:2])


HANDS = {"right": 1, "left": -1}


@settings(max_examples=EXAMPLES, deadline=None)
@given(
    st.floats(1, 20),
    st.floats(3, 25),
    st.floats(0, 45),
    st.floats(0, 2),
    st.sampled_from(["right", "left"]),
    st.sampled_from(["right", "left"]),
)
def test_a_three_dimensional_helix_on_the_stylus_gets_the_relief_it_was_set_for(
    radius, degrees, helix_deg, e, cut, helix_hand
):
    relief, helix, agree = math.radians(degrees), math.radians(helix_deg), hands_agree(cut, helix_hand)
    turned = find_lag(radius, helix, e)
    # the model's arctangents need the tip and the edge on the wheel's side
    if abs(relief) + turned > math.radians(80):
        return
    stylus = set_stylus(radius, relief, helix, e, agree=agree)
    hands = {"cut": HANDS[cut], "helix_hand": HANDS[helix_hand]}
    found = ground_relief_3d(radius, helix, e, stylus.tip_below_mm, **hands)
    assert found == pytest.approx(relief, abs=1e-9)
    ignoring = ground_relief_3d(radius, helix, e, stylus.tip_below_ignoring_lag_mm, **hands)
    assert ignoring == pytest.approx(stylus.relief_ignoring_lag_rad, abs=1e-9)


def test_paper_example_of_the_stylus_on_a_quarter_inch_tool():
    # worked by an independent 3-D helix before the paper was written
    agree = set_stylus(3.175, math.radians(12), math.radians(30), 1.5, agree=True)
    assert agree.tip_below_ignoring_lag_mm == pytest.approx(0.660, abs=5e-4)
    assert math.degrees(agree.relief_ignoring_lag_rad) == pytest.approx(27.6, abs=0.05)
    assert agree.tip_below_mm == pytest.approx(-0.201, abs=5e-4)
    differ = set_stylus(3.175, math.radians(12), math.radians(30), 1.5, agree=False)
    assert differ.tip_below_mm == pytest.approx(1.472, abs=5e-4)
    assert math.degrees(differ.relief_ignoring_lag_rad) == pytest.approx(-3.6, abs=0.05)
    assert math.degrees(agree.relief_per_distance_rad_mm) == pytest.approx(10.4, abs=0.05)
    assert math.degrees(find_lag(3.175, math.radians(30), 1.5)) == pytest.approx(15.6, abs=0.05)


def test_paper_example_of_the_relief_that_drifts_as_the_tool_shrinks():
    lag = find_lag(3.175, math.radians(30), 1.5)
    drifted = find_drifted_relief(3.175, 2.921, math.radians(12), lag, agree=True)
    assert math.degrees(drifted) == pytest.approx(11.68, abs=0.005)
    without = find_drifted_relief(3.175, 2.921, math.radians(12), 0.0, agree=True)
    assert math.degrees(without) == pytest.approx(13.06, abs=0.005)


def test_the_lag_is_the_lead_turned_and_the_same_at_every_radius():
    helix, lead = math.radians(30), 2 * math.pi * 3.175 / math.tan(math.radians(30))
    assert find_lag(3.175, helix, 1.5) == pytest.approx(2 * math.pi * 1.5 / lead)
    smaller = math.atan(math.tan(helix) * 2.921 / 3.175)
    assert find_lag(2.921, smaller, 1.5) == pytest.approx(find_lag(3.175, helix, 1.5))


# --- which corner of the wheel, which corner of the stylus -----------------------------------------------


def flank_after_wheel(radius, helix, tip_below, gap, width, *, agree) -> Polygon:
    """The section that the whole width of a wheel leaves: a disc cut by each axial slice's vertical plane.

    In the tool's own frame (edge on the +x axis, body above it) a slice at distance u from the stylus cuts
    along a line whose foot stands asin(tip/r) + s lag(u) behind the edge.
    """
    turns = [
        math.asin(tip_below / radius) + (1 if agree else -1) * find_lag(radius, helix, gap + u)
        for u in np.linspace(0, width, 41)
    ]
    reach = radius * math.cos(min(turns, key=abs))
    section = Point(0, 0).buffer(2 * radius, quad_segs=4)
    far = 9 * radius
    slab = Polygon([(-far, -far), (reach, -far), (reach, far), (-far, far)])
    for turn in turns:
        section = section.intersection(rotate(slab, turn, origin=(0, 0), use_radians=True))
    return section


def relief_of(section: Polygon, behind_rad: float) -> float:
    """The relief of the flank from the edge to a little behind it."""

    def reach(angle: float) -> Point:
        ray = LineString([(0, 0), (1e3 * math.cos(angle), 1e3 * math.sin(angle))])
        return Point(ray.intersection(section).coords[-1])

    edge, behind = reach(0.0), reach(behind_rad)
    return math.atan2(edge.x - behind.x, behind.y - edge.y)


@pytest.mark.parametrize("agree", [True, False])
@pytest.mark.parametrize("width", [0.5, 1.0, 1.5])
def test_a_wide_wheel_grinds_the_relief_of_the_corner_that_the_distance_is_counted_from(agree, width):
    radius, helix, gap = 3.175, math.radians(30), 0.4
    e = find_lag_distance(gap, width, 0.0, agree=agree)
    stylus = set_stylus(radius, math.radians(12), helix, e, agree=agree)
    section = flank_after_wheel(radius, helix, stylus.tip_below_mm, gap, width, agree=agree)
    assert math.degrees(relief_of(section, 0.02)) == pytest.approx(12, abs=0.01)
    # counted from the other corner it would be off by the lag of the wheel's width
    wrong = set_stylus(radius, math.radians(12), helix, gap if not agree else gap + width, agree=agree)
    off = find_ground_relief(radius, wrong.tip_below_mm, find_lag(radius, helix, e), agree=agree)
    assert abs(off - math.radians(12)) == pytest.approx(find_lag(radius, helix, width), abs=1e-9)


@pytest.mark.parametrize("agree", [True, False])
def test_the_stylus_bears_at_the_corner_that_the_distance_is_counted_to(agree):
    radius, helix, gap, stylus_width = 3.175, math.radians(30), 1.0, 0.75
    sign = 1 if agree else -1
    along = np.linspace(gap, gap + stylus_width, 101)
    heights = [-radius * math.sin(math.radians(12) - sign * find_lag(radius, helix, z)) for z in along]
    lowest = along[int(np.argmin(heights))]
    assert find_lag_distance(gap, 0.0, stylus_width, agree=agree) == pytest.approx(lowest)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(1, 20), st.floats(-20, 25), st.floats(0, 45), st.floats(0.1, 2), st.booleans())
def test_the_setups_uncertainty_is_the_numeric_slope_by_each_input(radius, tip_deg, helix_deg, e, agree):
    helix, tip = math.radians(helix_deg), radius * math.sin(math.radians(tip_deg))
    names = ("tip_u_mm", "lag_distance_u_mm", "radius_u_mm", "helix_u_rad")

    def relief(tip_mm: float, e_mm: float, r_mm: float, beta: float) -> float:
        return find_ground_relief(r_mm, tip_mm, find_lag(r_mm, beta, e_mm), agree=agree)

    at, step, slopes = [tip, e, radius, helix + 1e-5], 1e-6, []
    for i in range(4):
        up, down = list(at), list(at)
        up[i], down[i] = up[i] + step, down[i] - step
        slopes.append((relief(*up) - relief(*down)) / (2 * step))
    for name, slope in zip(names, slopes, strict=True):
        sure = find_setup_uncertainty(radius, tip, helix, e, agree=agree, **dict.fromkeys(names, 0.0) | {name: 0.01})
        assert sure.relief_rad == pytest.approx(abs(slope) * 0.01, rel=1e-3, abs=1e-6)
    every = find_setup_uncertainty(radius, tip, helix, e, agree=agree, **dict.fromkeys(names, 0.01))
    assert every.relief_rad == pytest.approx(0.01 * math.hypot(*slopes), rel=1e-3, abs=1e-6)


def test_an_assumed_helix_decides_the_relief_and_a_tool_of_30_degrees_lies_within_the_spread():
    """Helix 37.5 degrees assumed from 30 to 45 (the catalogue's range, u 4.33): the ± reaches a tool of 30 degrees.

    Each tip height is checked against the relief that the true helix then gives; 12.7 mm, 2 mm from wheel to stylus.
    """
    radius, relief, assumed, distance = 6.35, math.radians(12), math.radians(37.5), 2.0
    tip = set_stylus(radius, relief, assumed, distance, agree=True).tip_below_mm
    spreads = {"tip_u_mm": 0.01, "lag_distance_u_mm": 0.05, "radius_u_mm": 0.001}
    blind = find_setup_uncertainty(radius, tip, assumed, distance, agree=True, **spreads, helix_u_rad=0.0)
    sure = find_setup_uncertainty(
        radius, tip, assumed, distance, agree=True, **spreads, helix_u_rad=math.radians(7.5 / math.sqrt(3))
    )
    true = find_ground_relief(radius, tip, find_lag(radius, math.radians(30), distance), agree=True)
    assert math.degrees(true) == pytest.approx(8.57, abs=0.01)
    assert blind.expanded_rad < relief - true < sure.expanded_rad
    assert (blind.decided_by, sure.decided_by) == ("lag_distance", "helix")
    assert math.degrees(sure.expanded_rad) == pytest.approx(4.4, abs=0.1)


@settings(max_examples=EXAMPLES, deadline=None)
@given(st.floats(1, 60), st.floats(0.7, 1.0))
def test_the_spread_of_a_helix_follows_it_to_the_new_radius(helix_deg, share):
    before, step = math.radians(helix_deg), 1e-6
    slope = (find_helix(before + step, 1, share) - find_helix(before - step, 1, share)) / (2 * step)
    found = find_helix_spread(before, find_helix(before, 1, share), 0.05)
    assert found == pytest.approx(0.05 * slope, rel=1e-6)
    assert find_helix_spread(0.0, 0.0, 0.05) == 0.05


def test_a_variable_helix_has_a_lag_and_a_tip_height_per_tooth():
    helices = [math.radians(angle) for angle in (35, 38, 35, 38)]
    each = set_stylus_per_tooth(3.175, math.radians(12), helices, 1.5, agree=True)
    assert [tooth.tip_below_mm for tooth in each] == [
        set_stylus(3.175, math.radians(12), helix, 1.5, agree=True).tip_below_mm for helix in helices
    ]
    # one tip for all would give the 38 degree teeth the difference of the lags more relief
    other = find_ground_relief(3.175, each[0].tip_below_mm, each[1].lag_rad, agree=True)
    assert other - math.radians(12) == pytest.approx(each[1].lag_rad - each[0].lag_rad)


def test_a_left_hand_cut_needs_the_mirrored_setup_with_the_same_numbers():
    assert needs_mirrored_setup("left")
    assert not needs_mirrored_setup("right")
    assert hands_agree("left", "left")
    assert not hands_agree("left", "right")
