"""The flute face and the land against sampled arcs, shapely's intersections, scipy's roots and the tables."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.geometry import LineString

from regrind.geometry.damage import Flank
from regrind.geometry.land import find_heel_drop, find_helix, find_land
from regrind.geometry.section import (
    find_radius_of_rake,
    find_rake,
    find_rake_slopes,
    find_turn,
    find_zero_rake_diameter,
    shape_face,
)
from regrind.geometry.tables import rows

TOOLS = [(3.175, 8, 1.905), (5, 12, 3), (1.5, -6, 0.8), (10, 0, 6.5), (8, 18, 4.2), (2, -20, 1.3)]


def _sample_face(r: float, rake_deg: float, rho: float, points: int = 200_001) -> np.ndarray:
    """The face as points from the edge (0, r) inward to where the arc is nearest the axis."""
    g = math.radians(rake_deg)
    centre = np.array([rho * math.cos(g), r - rho * math.sin(g)])
    to_edge, to_axis = np.array([0, r]) - centre, -centre
    start, stop = (math.atan2(v[1], v[0]) for v in (to_edge, to_axis))
    turn = (stop - start + math.pi) % (2 * math.pi) - math.pi
    angles = start + turn * np.linspace(0, 1, points)
    return centre + rho * np.column_stack([np.cos(angles), np.sin(angles)])


def _rho(r: float, rake_deg: float, core: float) -> float:
    """The arc that touches the core circle, by root finding on its distance from the axis."""
    g = math.radians(rake_deg)

    def gap(rho):
        return math.hypot(rho * math.cos(g), r - rho * math.sin(g)) - rho - core

    return brentq(gap, 1e-6, 1e4)


@pytest.mark.parametrize(("r", "rake", "core"), TOOLS)
def test_the_assumed_arc_touches_the_core_circle(r, rake, core):
    face = shape_face(r, math.radians(rake), core, None)
    assert 0.5 / face.half_curvature == pytest.approx(_rho(r, rake, core), rel=1e-9)


@pytest.mark.parametrize(("r", "rake", "core"), TOOLS)
def test_rake_and_turn_on_the_arc_agree_with_a_sampled_one(r, rake, core):
    face = shape_face(r, math.radians(rake), core, None)
    points = _sample_face(r, rake, _rho(r, rake, core))
    radii = np.hypot(points[:, 0], points[:, 1])
    for x in np.linspace(core + 0.05 * (r - core), r * 0.999, 7):
        at = int(np.argmin(abs(radii - x)))
        along = points[at + 1] - points[at - 1]
        inward = -points[at] / radii[at]
        lean = math.atan2(inward[0] * along[1] - inward[1] * along[0], inward @ along)
        assert find_rake(face, radii[at]) == pytest.approx(-lean, abs=1e-6)
        turn = math.atan2(points[at][1], points[at][0]) - math.pi / 2
        assert find_turn(face, r, radii[at]) == pytest.approx(turn, abs=1e-7)


@pytest.mark.parametrize(
    "row",
    list(rows("19_rake_after_od_regrind")),
    ids=lambda row: "-".join(row[key] for key in ("D0_mm", "rake0_deg", "hook_radius_mm", "diameter_reduction_pct")),
)
def test_the_table_of_rake_after_grinding(row):
    """Source: shared/19_rake_after_od_regrind.csv (derived there by another hand), to its four digits."""
    rake, x = math.radians(float(row["rake0_deg"])), float(row["D1_mm"]) / 2
    r = float(row["D0_mm"]) / 2
    arc = shape_face(r, rake, r / 2, float(row["hook_radius_mm"]))
    assert math.degrees(find_rake(arc, x)) == pytest.approx(float(row["rake1_circular_hook_deg"]), abs=1e-3)
    straight = math.asin(r * math.sin(rake) / x)
    assert math.degrees(straight) == pytest.approx(float(row["rake1_flat_face_deg"]), abs=1e-3)


def test_the_worked_example_of_the_face():
    """Source: geometry paper, section 9: D 6.35, core 3.81, rake 8."""
    face = shape_face(3.175, math.radians(8), 1.905, None)
    assert 0.5 / face.half_curvature == pytest.approx(1.3745, abs=5e-5)
    assert find_zero_rake_diameter(face, 3.175) == pytest.approx(5.9551, abs=5e-5)
    assert math.degrees(find_rake(face, 3.048)) == pytest.approx(2.903, abs=5e-4)
    assert math.degrees(find_rake(face, 2.921)) == pytest.approx(-2.381, abs=5e-4)


def test_a_face_that_leans_past_the_core_is_straight_and_its_rake_grows():
    """Straight: sin(rake at x) = r sin(rake) / x, by the distance of the line from the axis."""
    face = shape_face(3.0, math.radians(-30), 1.0, None)
    assert face.half_curvature == 0
    assert math.degrees(find_rake(face, 2.5)) == pytest.approx(math.degrees(math.asin(-1.5 / 2.5)), abs=1e-9)
    assert find_rake(face, 1.4) is None
    assert find_zero_rake_diameter(face, 3.0) is None
    assert find_turn(face, 3.0, 2.5) == pytest.approx(find_rake(face, 2.5) - find_rake(face, 3.0))


@pytest.mark.parametrize(("rho", "reach"), [(0.6, True), (20.0, True), (100.0, False)])
def test_no_zero_rake_below_the_edge_where_the_measured_arc_is_too_wide(rho, reach):
    """None exists where rho >= r / (2 sin rake), here 11.4 mm."""
    face = shape_face(3.175, math.radians(8), 1.0, rho)
    exists = rho < 3.175 / (2 * math.sin(math.radians(8)))
    found = find_zero_rake_diameter(face, 3.175)
    assert (found is not None) is exists
    if found:
        assert find_rake(face, found / 2) == pytest.approx(0, abs=1e-9)


def test_a_measured_arc_reaches_down_only_so_far():
    face = shape_face(5.0, math.radians(10), 1.0, 0.5)
    centre = math.hypot(0.5 * math.cos(math.radians(10)), 5 - 0.5 * math.sin(math.radians(10)))
    assert find_rake(face, centre - 0.5 + 1e-9) == pytest.approx(-math.pi / 2, abs=1e-3)
    assert find_rake(face, centre - 0.5 - 1e-6) is None
    assert find_turn(face, 5.0, centre - 0.6) is None


@pytest.mark.parametrize(("r", "rake", "core"), TOOLS)
@pytest.mark.parametrize("least_deg", [-10, -3, 0, 4])
def test_the_radius_of_a_rake_is_where_a_root_finder_finds_it(r, rake, core, least_deg):
    face = shape_face(r, math.radians(rake), core, None)
    if rake <= least_deg:
        found = find_radius_of_rake(face, math.radians(least_deg))
        # already too weak at the edge: the same arc, carried on outward, is good enough from there on
        assert found > r - 1e-9
        assert math.degrees(find_rake(face, found)) == pytest.approx(least_deg, abs=1e-9)
        return
    low = core + 1e-9
    expected = brentq(lambda x: find_rake(face, x) - math.radians(least_deg), low, r)
    assert find_radius_of_rake(face, math.radians(least_deg)) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("least_deg", "weak"), [(7.9, True), (7.85, True), (7.7, False), (-3.0, False)])
def test_on_a_large_arc_the_rake_is_too_weak_only_between_two_radii(least_deg, weak):
    """Sampled: the outermost place where the rake falls under its least, if there is one."""
    face = shape_face(28.575, math.radians(7.95), 16.94, 174.2)
    radii = np.linspace(28.575, 16.94, 20_001)
    rakes = np.array([math.degrees(find_rake(face, x)) for x in radii])
    found = find_radius_of_rake(face, math.radians(least_deg))
    assert rakes[-1] > rakes[0] > rakes.min()
    if not weak:
        assert found is None
        assert rakes.min() > least_deg
    else:
        assert found == pytest.approx(radii[np.argmax(rakes < least_deg)], abs=1e-3)


@pytest.mark.parametrize("arc", [None, 1.1, 30.0])
@pytest.mark.parametrize(("r", "rake", "core"), TOOLS)
def test_the_slopes_of_the_rake_agree_with_small_steps(r, rake, core, arc):
    arc = None if arc is None else arc * r / 3
    x, step = r * 0.96, 1e-6
    g = math.radians(rake)

    def at(radius, anchor, core_, rake_):
        return find_rake(shape_face(anchor, rake_, core_, arc), radius)

    slopes = find_rake_slopes(shape_face(r, g, core, arc), x)
    base = [x, r, core, g]
    for index, found in enumerate([slopes.by_radius, slopes.by_anchor, slopes.by_core, slopes.by_rake]):
        up, down = list(base), list(base)
        up[index] += step
        down[index] -= step
        assert found == pytest.approx((at(*up) - at(*down)) / (2 * step), rel=1e-5, abs=1e-7)


def _drawn_land(r, rake, core, primary_deg, secondary_deg, land, x) -> float:
    """The land where shapely cuts the new primary line with the old secondary line, on a sampled face."""
    points = _sample_face(r, rake, _rho(r, rake, core))
    edge = LineString(points).intersection(
        LineString([(x * math.cos(t), x * math.sin(t)) for t in np.linspace(math.pi * 0.3, math.pi * 0.9, 400_001)])
    )
    px, py = (edge.x, edge.y) if edge.geom_type == "Point" else (edge.geoms[0].x, edge.geoms[0].y)
    a1, a2 = math.radians(primary_deg), math.radians(secondary_deg)
    heel = (-land * math.cos(a1), r - land * math.sin(a1))
    old = LineString(
        [
            (heel[0] + 5 * math.cos(a2), heel[1] + 5 * math.sin(a2)),
            (heel[0] - 50 * math.cos(a2), heel[1] - 50 * math.sin(a2)),
        ]
    )
    out = np.array([px, py]) / math.hypot(px, py)
    back = -np.array([out[1], -out[0]]) * math.cos(a1) - out * math.sin(a1)
    new = LineString([(px, py), (px + 50 * back[0], py + 50 * back[1])])
    cut = new.intersection(old)
    return math.hypot(cut.x - px, cut.y - py)


@pytest.mark.parametrize(("r", "rake", "core"), TOOLS[:5])
@pytest.mark.parametrize("taken", [0.004, 0.02])
def test_the_land_grows_as_a_drawn_tooth_shows(r, rake, core, taken):
    face = shape_face(r, math.radians(rake), core, None)
    land, x = 0.08 * r, r * (1 - taken)
    found = find_land(face, Flank(math.radians(12), math.radians(24), land), r, x)
    assert found == pytest.approx(_drawn_land(r, rake, core, 12, 24, land, x), rel=2e-6)


def test_the_worked_example_of_the_land():
    """Source: geometry paper, section 9: land 0.254, 12 and 24 degrees, 0.0508 off the radius."""
    face = shape_face(3.175, math.radians(8), 1.905, None)
    land = find_land(face, Flank(math.radians(12), math.radians(24), 0.254), 3.175, 3.1242)
    assert land == pytest.approx(0.4695, abs=5e-5)
    assert find_heel_drop(3.1242, land, math.radians(12)) == pytest.approx(0.0630, abs=5e-5)
    assert math.degrees(find_helix(math.radians(30), 3.175, 3.1242)) == pytest.approx(29.60, abs=5e-3)
    assert math.degrees(find_helix(math.radians(30), 3.175, 3.048)) == pytest.approx(28.998, abs=5e-4)


def test_the_land_grows_at_first_as_the_first_order_says():
    """Source: geometry paper, section 4, growth per radial removal."""
    r, g, a1, a2, land = 3.175, math.radians(8), math.radians(12), math.radians(24), 0.254
    face = shape_face(r, g, 1.905, None)
    growth = (find_land(face, Flank(a1, a2, land), r, r - 1e-6) - land) / 1e-6
    first = (1 - math.tan(g) * math.tan(a2)) / (math.cos(a1) * (math.tan(a2) - math.tan(a1)))
    first += land * math.tan(g) / (r * math.tan(a2 - a1))
    assert growth == pytest.approx(first, rel=1e-4)


def test_a_primary_that_no_longer_meets_the_secondary_has_no_land():
    face = shape_face(5.0, math.radians(18), 1.0, None)
    assert find_land(face, Flank(math.radians(12), math.radians(12.5), 0.5), 5.0, 4.5) is None
    assert find_land(face, Flank(math.radians(12), None, 0.5), 5.0, 4.5) == 0.5


@pytest.mark.parametrize("x", [0.8, 3.0, 12.0])
@pytest.mark.parametrize("relief_deg", [0, 6, 12, 30])
def test_the_heel_drops_by_its_distance_from_the_cutting_circle(x, relief_deg):
    a = math.radians(relief_deg)
    for w in np.linspace(0, 3 * x, 9):
        heel = math.hypot(-w * math.cos(a), x - w * math.sin(a))
        assert find_heel_drop(x, w, a) == pytest.approx(x - heel, abs=1e-12)
    assert find_heel_drop(x, 2 * x * math.sin(a), a) == pytest.approx(0, abs=1e-12)
    greatest = find_heel_drop(x, x * math.sin(a), a)
    assert greatest >= max(find_heel_drop(x, w, a) for w in np.linspace(0, 2 * x, 50))
