"""Teeth on the grinding axis: what each gauge would read of known teeth gives those teeth back."""

import itertools
import random

import pytest

from regrind.geometry.inputs import Measured
from regrind.geometry.teeth import ToothRadii, find_tooth_radii, vary_by_readings


def _what_a_gauge_reads(method: str, radii: list[int]) -> int:
    """Diameter in nm by each method's own working: pairs across, the mean of N V-anvil readings, the sweep."""
    if method == "swept":
        return 2 * max(radii)
    half = len(radii) // 2
    if method == "micrometer":
        return max(radii[i] + radii[i + half] for i in range(half))
    return round(2 * sum(radii) / len(radii))


@pytest.mark.parametrize(
    ("method", "teeth"),
    [
        ("micrometer", 2),
        ("micrometer", 4),
        ("micrometer", 6),
        ("v-anvil", 3),
        ("v-anvil", 5),
        ("v-anvil", 7),
        ("swept", 2),
        ("swept", 3),
        ("swept", 8),
    ],
)
def test_readings_and_diameter_give_the_radii_back(method, teeth):
    chance = random.Random(teeth)
    for _ in range(50):
        radii = [5_000_000 - teeth * chance.randrange(4000) for _ in range(teeth)]
        readings = tuple(radius - max(radii) for radius in radii)
        result, same = find_tooth_radii(Measured(_what_a_gauge_reads(method, radii), method, readings), teeth)
        assert result == same
        assert result.radii_mm == pytest.approx([radius / 1e6 for radius in radii], abs=1e-6)
        assert result.high_mm == pytest.approx(max(radii) / 1e6, abs=1e-6)


def test_one_high_tooth_of_three_reads_less_in_the_v_anvil_than_it_sweeps():
    """Source: geometry paper, section 7: 10 mm, one tooth 0.010 mm high reads 10.0067 and sweeps 10.020."""
    result, _ = find_tooth_radii(Measured(10_006_667, "v-anvil", (0, -10_000, -10_000)), 3)
    assert 2 * result.high_mm == pytest.approx(10.020, abs=1e-6)


@pytest.mark.parametrize(
    ("method", "teeth"),
    [
        ("micrometer", 2),
        ("micrometer", 4),
        ("micrometer", 6),
        ("v-anvil", 3),
        ("v-anvil", 5),
        ("swept", 3),
        ("swept", 4),
    ],
)
def test_a_total_reading_bounds_the_low_tooth_of_every_tool_that_could_give_it(method, teeth):
    """Every tool with teeth on a grid of heights, one at 0 and one at t: the bounds hold and are reached."""
    tir, steps, diameter = 12_000, 4, 10_000_000
    low, high = find_tooth_radii(Measured(diameter, method, tir_nm=tir), teeth)
    found = []
    for heights in itertools.product(range(steps + 1), repeat=teeth):
        if min(heights) == 0 and max(heights) == steps:
            lifted = [height * tir / steps for height in heights]
            half = teeth // 2
            read = {
                "swept": 2 * max(lifted),
                "v-anvil": 2 * sum(lifted) / teeth,
                "micrometer": max(lifted[i] + lifted[(i + half) % teeth] for i in range(teeth)),
            }[method]
            found.append((diameter - read) / 2e6)
    assert low.low_mm == pytest.approx(min(found), abs=1e-9)
    assert high.low_mm == pytest.approx(max(found), abs=1e-9)
    assert low.high_mm - low.low_mm == pytest.approx(0.012, abs=1e-12)


def test_without_readings_all_teeth_are_alike_and_no_reading_is_uncertain():
    result, _ = find_tooth_radii(Measured(6_350_000, "v-anvil"), 3)
    assert result.radii_mm == (3.175, 3.175, 3.175)
    assert vary_by_readings(result, 1.0, {0: 1.0}) == 0.0


def _radius(method: str, diameter: float, readings: list[float], tooth: int) -> float:
    half = len(readings) // 2
    datum = {
        "swept": max(readings),
        "v-anvil": sum(readings) / len(readings),
        "micrometer": max(readings[i] + readings[i + half] for i in range(half)) / 2,
    }[method]
    return diameter / 2 - datum + readings[tooth]


@pytest.mark.parametrize(("method", "teeth"), [("micrometer", 4), ("micrometer", 6), ("v-anvil", 5), ("swept", 4)])
def test_the_square_of_slopes_agrees_with_moving_each_reading_a_little(method, teeth):
    chance = random.Random(7)
    for _ in range(40):
        heights = [-k for k in chance.sample(range(100, 60_000), teeth - 1)]  # no two pairs alike
        readings = [0, *heights]
        chance.shuffle(readings)
        result, _ = find_tooth_radii(Measured(10_000_000, method, tuple(readings)), teeth)
        by_high, by_edge, edge = chance.uniform(-2, 2), chance.uniform(-2, 2), chance.randrange(teeth)
        top = readings.index(0)

        def answer(h, top=top, by_high=by_high, by_edge=by_edge, edge=edge):
            return by_high * _radius(method, 1e7, h, top) + by_edge * _radius(method, 1e7, h, edge)

        total = 0.0
        for tooth in range(teeth):
            up, down = list(readings), list(readings)
            up[tooth] += 0.5
            down[tooth] -= 0.5
            total += (answer(up) - answer(down)) ** 2
        assert vary_by_readings(result, by_high, {edge: by_edge}) == pytest.approx(total, abs=1e-6)


def _brute(result: ToothRadii, by_high: float, by_edge: float, edge: int | None) -> float:
    """Every choice of highest tooth and of datum among the ties, written out in full."""
    most = 0.0
    datums: list[list[float]] = []
    if result.method == "v-anvil":
        datums = [[1 / result.count] * result.count]
    elif result.method == "micrometer":
        datums = [[0.5 if tooth in pair else 0.0 for tooth in range(result.count)] for pair in result.pairs]
    for top in result.tops:
        for datum in datums:
            slopes = [-(by_high + by_edge) * part for part in datum]
            slopes[top] += by_high
            if edge is not None:
                slopes[edge] += by_edge
            most = max(most, sum(slope**2 for slope in slopes))
    return most


@pytest.mark.parametrize(("method", "teeth"), [("micrometer", 2), ("micrometer", 4), ("micrometer", 8), ("v-anvil", 5)])
def test_of_tied_teeth_and_pairs_the_choice_that_gives_most_is_taken(method, teeth):
    chance = random.Random(3)
    for _ in range(200):
        readings = [chance.choice([0, 0, -1000, -2000]) for _ in range(teeth)]
        readings[chance.randrange(teeth)] = 0
        result, _ = find_tooth_radii(Measured(10_000_000, method, tuple(readings)), teeth)
        by_high, by_edge = chance.uniform(-2, 2), chance.uniform(-2, 2)
        for edge in (None, *range(teeth)):
            by = (by_high, by_edge) if edge is not None else (by_high + by_edge, 0.0)
            assert vary_by_readings(result, by[0], {edge: by[1]}) == pytest.approx(_brute(result, *by, edge), abs=1e-12)


def test_in_a_sweep_the_highest_tooth_is_the_diameter_whatever_its_reading():
    result, _ = find_tooth_radii(Measured(10_000_000, "swept", (0, -5_000, -9_000)), 3)
    assert vary_by_readings(result, 2.0, {}) == 0.0
    assert vary_by_readings(result, 0.0, {2: 1.0}) == 2.0
    assert vary_by_readings(result, 0.0, {0: 1.0}) == 0.0
