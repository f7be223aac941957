"""Depth of a wear land against a flank drawn as a polygon and worn down by shapely, and its slopes."""

import math

import pytest
from scipy.optimize import brentq
from shapely.geometry import LineString, Polygon

from regrind.geometry.damage import Flank, find_wear_depth, find_wear_slopes


def _drawn_width(depth: float, primary: float, secondary: float, land: float, rake: float) -> float:
    """Width of the flat that stands when a tooth, drawn in the transverse section, is worn down by `depth`.

    Edge at the origin, cutting direction +x, body towards -x, the axis below.
    """
    heel = (-land * math.cos(primary), -land * math.sin(primary))
    far = (heel[0] - 50 * math.cos(secondary), heel[1] - 50 * math.sin(secondary))
    foot = (-60 * math.sin(rake), -60 * math.cos(rake))
    tooth = Polygon([(0, 0), heel, far, (far[0], -60), foot])
    return tooth.intersection(LineString([(-80, -depth), (80, -depth)])).length


@pytest.mark.parametrize("primary_deg", [4, 12, 20])
@pytest.mark.parametrize("more_deg", [3, 12, 20])
@pytest.mark.parametrize("rake_deg", [-15, 0, 8, 18])
@pytest.mark.parametrize("width", [0.02, 0.1, 0.26, 0.6])
def test_the_depth_is_where_a_drawn_tooth_shows_that_flat(primary_deg, more_deg, rake_deg, width):
    primary, secondary, rake = (math.radians(a) for a in (primary_deg, primary_deg + more_deg, rake_deg))
    land = 0.254
    depth = find_wear_depth(width, Flank(primary, secondary, land), rake)
    drawn = brentq(lambda d: _drawn_width(d, primary, secondary, land, rake) - width, 1e-9, 5)
    assert depth == pytest.approx(drawn, abs=1e-8)


def test_the_worked_example():
    """Source: geometry paper, section 9: 0.1016 mm of wear at 12 degrees relief and 8 of rake."""
    flank = Flank(math.radians(12), math.radians(24), 0.254)
    assert find_wear_depth(0.1016, flank, math.radians(8)) == pytest.approx(0.02226, abs=5e-6)


def test_one_relief_runs_on_past_its_land():
    one, two = Flank(0.2, None, 0.1), Flank(0.2, 0.2 + 1e-12, 0.1)
    assert find_wear_depth(0.7, one, 0.1) == pytest.approx(find_wear_depth(0.7, two, 0.1), abs=1e-9)


@pytest.mark.parametrize("width", [0.1, 0.5])
@pytest.mark.parametrize("secondary", [0.42, None])
def test_the_slopes_agree_with_small_steps(width, secondary):
    base = (width, 0.21, secondary, 0.254, 0.14)

    def depth(vb, a1, a2, land, rake):
        return find_wear_depth(vb, Flank(a1, a2, land), rake)

    def slope(index):
        if base[index] is None:
            return 0.0
        up, down = list(base), list(base)
        up[index] += 1e-6
        down[index] -= 1e-6
        return (depth(*up) - depth(*down)) / 2e-6

    found = find_wear_slopes(width, Flank(0.21, secondary, 0.254), 0.14)
    expected = [slope(index) for index in (0, 4, 1, 2, 3)]
    shown = [found.by_wear_land, found.by_rake, found.by_primary, found.by_secondary, found.by_land]
    assert shown == pytest.approx(expected, abs=1e-7)


def test_a_wear_land_of_nothing_has_no_depth_and_more_wear_is_never_shallower():
    flank = Flank(math.radians(12), math.radians(24), 0.254)
    depths = [find_wear_depth(0.01 * step, flank, -0.2) for step in range(80)]
    assert depths[0] == 0
    assert depths == sorted(depths)
