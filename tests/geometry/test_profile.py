"""Corners against the metal itself: points on a mark, and whether any lies in what is left."""

import math
import random

import numpy as np
import pytest

from regrind.geometry.flow import differentiate
from regrind.geometry.profile import Shape, Spot, find_largest_need, find_least_radius, find_put_on_need
from regrind.geometry.profile_slopes import follow_need, follow_put_on, follow_radius
from tests.long_form import FULL

SHAPES = 4_000 if FULL else 400
GAP = 1e-7


def _points(spot: Spot) -> tuple[np.ndarray, np.ndarray]:
    if spot.arc_mm is None:
        return np.array([spot.to_mm]), np.array([spot.tooth_mm - spot.depth_mm])
    angles = np.linspace(spot.start_rad, spot.to_rad, 4001)
    inner = spot.arc_mm - spot.depth_mm
    return spot.arc_mm - inner * np.cos(angles), spot.tooth_mm - spot.arc_mm + inner * np.sin(angles)


def _is_left(shape: Shape, sides: float, cut: float, z: np.ndarray, x: np.ndarray) -> np.ndarray:
    """Whether each point is in the metal behind the end and inside the sides, less the corner."""
    left = (z > cut) & (x < sides)
    if shape.form == "chamfer":
        return left & (x - (sides - shape.size_mm) <= z - cut)
    radius = shape.radius_at(sides)
    at_corner = (z < cut + radius) & (x > sides - radius)
    return left & ~(at_corner & (np.hypot(z - cut - radius, x - sides + radius) > radius))


def _draw(chance: random.Random) -> tuple[Shape, Spot]:
    tooth = chance.uniform(1, 15)
    form = chance.choice(("square", "chamfer", "radius", "radius", "ball"))
    shape = Shape(form, tooth * chance.uniform(0.02, 0.7) if form in ("chamfer", "radius") else 0.0)
    if form in ("square", "chamfer") or chance.random() < 0.25:
        return shape, Spot(tooth, tooth * chance.uniform(0.001, 0.3), tooth * chance.uniform(0.001, 3))
    arc = tooth if form == "ball" or chance.random() < 0.2 else tooth * chance.uniform(0.02, 0.7)
    start, to = sorted(math.radians(chance.choice((0, 90, chance.uniform(0, 90)))) for _ in range(2))
    return shape, Spot(tooth, arc * chance.uniform(0.001, 0.9), 0.0, arc, start, to)


@pytest.mark.parametrize("seed", range(4))
def test_at_its_need_a_mark_is_just_gone(seed):
    chance, told = random.Random(seed), 0
    for _ in range(SHAPES // 4):
        shape, spot = _draw(chance)
        least = shape.size_mm / spot.tooth_mm
        sides = spot.tooth_mm * chance.choice((1.0, chance.uniform(max(0.7, least), 1.0)))
        need, (z, x) = find_largest_need(shape, sides, spot), _points(spot)
        assert not _is_left(shape, sides, max(need, -100) + GAP, z, x).any(), (shape, sides, spot)
        if need > -math.inf:
            told += 1
            # between two of the points the largest may hide: they are that far apart
            hidden = 1e-6 + (spot.to_rad - spot.start_rad) / 4000 * spot.tooth_mm * 2
            assert _is_left(shape, sides, need - hidden, z, x).any() or _at_side(sides, x), (shape, sides, spot)
    assert told > SHAPES // 8


def _at_side(sides: float, x: np.ndarray) -> bool:
    """The need rises steeply just before the sides' own radius, where the points may pass it by."""
    return bool((np.abs(x - sides) < 0.01 * sides).any())


@pytest.mark.parametrize("seed", range(4))
def test_at_its_radius_a_mark_is_just_gone(seed):
    chance, told = random.Random(seed), 0
    for _ in range(SHAPES // 4):
        shape, spot = _draw(chance)
        end = spot.depth_mm * chance.choice((0.0, chance.uniform(0, 3)))
        most, (z, x) = find_least_radius(shape, end, spot), _points(spot)
        if most == math.inf:
            assert (z <= end + 1e-9).all()
            continue
        sides = most - GAP
        if sides <= shape.size_mm or sides <= 0:
            continue
        told += 1
        assert not _is_left(shape, sides, end, z, x).any(), (shape, end, spot)
        hidden = 1e-6 + (spot.to_rad - spot.start_rad) / 4000 * spot.tooth_mm * 4
        beyond = most + hidden if shape.form != "ball" else most * (1 + 1e-3) + hidden
        near_end = bool((np.abs(z - end) < 0.01 * spot.tooth_mm).any())
        assert _is_left(shape, beyond, end, z, x).any() or near_end, (shape, end, spot)
    assert told > SHAPES // 8


@pytest.mark.parametrize("seed", range(2))
def test_a_sharper_corner_lies_within_the_old_metal_from_its_need_on(seed):
    chance = random.Random(seed)
    for _ in range(SHAPES // 4):
        tooth = chance.uniform(1, 15)
        form = chance.choice(("chamfer", "radius", "ball"))
        old = Shape(form, 0.0 if form == "ball" else tooth * chance.uniform(0.1, 0.6))
        room = tooth if form == "ball" else old.size_mm
        new = Shape("chamfer" if form == "chamfer" else "radius", room * chance.uniform(0.1, 1.2))
        sides = tooth - room * chance.choice((0.0, chance.uniform(0, 0.3)))
        need = find_put_on_need(old, new, tooth, sides)
        z, x = _outline(new, sides)
        assert _is_left(old, tooth + GAP, -GAP, z + max(need, 0.0) + GAP, x - GAP).all(), (old, new, sides)
        if need > 1e-4:
            assert not _is_left(old, tooth, 0.0, z + need - 1e-4, x).all(), (old, new, sides)


def _outline(shape: Shape, sides: float) -> tuple[np.ndarray, np.ndarray]:
    """The corner's own outline on an end that is not cut back."""
    share = np.linspace(0, 1, 2001)
    if shape.form == "chamfer":
        return shape.size_mm * share, sides - shape.size_mm * (1 - share)
    angles = share * math.pi / 2
    return shape.size_mm * (1 - np.cos(angles)), sides - shape.size_mm * (1 - np.sin(angles))


@pytest.mark.parametrize("seed", range(2))
def test_slopes_agree_with_small_steps(seed):
    """Away from kinks: where steps of two widths give the same."""
    chance, compared = random.Random(seed), 0
    for _ in range(SHAPES // 2):
        shape, spot = _draw(chance)
        old = shape if shape.form in ("radius", "ball") and spot.arc_mm is not None else Shape("square")
        if old.form == "radius":
            arc = shape.size_mm
            spot = Spot(spot.tooth_mm, arc * chance.uniform(0.01, 0.8), 0.0, arc, spot.start_rad, spot.to_rad)
        if old.form == "ball":
            spot = Spot(spot.tooth_mm, spot.depth_mm, 0.0, spot.tooth_mm, spot.start_rad, spot.to_rad)
        sides, end = spot.tooth_mm * chance.uniform(0.85, 0.999), spot.depth_mm * chance.uniform(0, 0.8)
        for find, follow, other in ((find_largest_need, follow_need, sides), (find_least_radius, follow_radius, end)):
            if not math.isfinite(find(shape, other, spot)):
                continue
            slopes, *_ = follow(old, shape, other, spot, same=old == shape)
            want = differentiate(_moved(find, old, shape, spot), (spot.depth_mm, spot.tooth_mm, old.size_mm, other))
            got = (slopes.by_depth, slopes.by_tooth, slopes.by_corner if old.form == "radius" else 0.0, slopes.by_other)
            steep = max(map(abs, want)) > 30
            compared += not steep
            assert steep or got == pytest.approx(want, rel=1e-3, abs=1e-4), (old, shape, other, spot)
    assert compared > SHAPES // 4


def _moved(find, old: Shape, shape: Shape, spot: Spot):
    def answer(depth: float, tooth: float, corner: float, other: float) -> float:
        arc = None if spot.arc_mm is None else tooth if old.form == "ball" else corner
        moved = Shape("radius", corner) if old.form == "radius" else shape
        return find(moved, other, Spot(tooth, depth, spot.to_mm, arc, spot.start_rad, spot.to_rad))

    return answer


@pytest.mark.parametrize(
    ("old", "new", "sides"),
    [
        (Shape("radius", 1.0), Shape("radius", 0.6), 4.95),
        (Shape("ball"), Shape("radius", 2.0), 4.9),
        (Shape("chamfer", 0.8), Shape("chamfer", 0.5), 4.9),
        (Shape("radius", 1.0), Shape("radius", 0.6), 5.0),
        (Shape("ball"), Shape("radius", 2.0), 5.0),
    ],
)
def test_slopes_of_the_old_corner_agree_with_small_steps(old, new, sides):
    if sides == 5.0:  # the sides are left: they move with the tooth

        def whole(tooth):
            return find_put_on_need(old, new, tooth, tooth)

        by_tooth, _, by_sides = follow_put_on(old, new, 5.0, 5.0)
        assert by_tooth + by_sides == pytest.approx((whole(5.00001) - whole(4.99999)) / 2e-5, abs=1e-6)
        return
    want = differentiate(
        lambda tooth, size, side: find_put_on_need(Shape(old.form, size), new, tooth, side), (5.0, old.size_mm, sides)
    )
    assert follow_put_on(old, new, 5.0, sides) == pytest.approx(want, abs=1e-5)


DEGREES = [
    # ball, radius 6.35, depth 0.15: an independent numeric model's figures, to its printed digits
    (Shape("ball"), 6.35, 6.35, 0.15, 0, 0, 0.15),
    (Shape("ball"), 6.35, 6.35, 0.15, 0, 30, 0.17253),
    (Shape("ball"), 6.35, 6.35, 0.15, 0, 45, 0.20968),
    (Shape("ball"), 6.35, 6.35, 0.15, 0, 60, 0.29006),
    (Shape("ball"), 6.35, 6.35, 0.15, 0, 90, 1.37204),
    (Shape("ball"), 6.3375, 6.3375, 0.1524, 0, 66.496, 0.36050),
    (Shape("radius", 1.0), 5, 1.0, 0.08, 20, 70, 0.18794),
    (Shape("radius", 0.5), 5, 1.0, 0.08, 20, 70, 0.52758),
    (Shape("radius", 1.2), 5, 1.0, 0.08, 20, 70, 0.03924),
    (Shape("radius", 1.5), 5, 1.0, 0.08, 20, 70, -0.10502),
]


@pytest.mark.parametrize(("shape", "tooth", "arc", "depth", "start", "to", "need"), DEGREES)
def test_worked_examples(shape, tooth, arc, depth, start, to, need):
    spot = Spot(tooth, depth, 0.0, arc, math.radians(start), math.radians(to))
    assert find_largest_need(shape, tooth, spot) == pytest.approx(need, abs=5.1e-6)


def test_worked_examples_of_a_radius_and_a_chamfer():
    spot = Spot(5.0, 0.08, 0.0, 1.0, math.radians(20), math.radians(70))
    assert find_least_radius(Shape("radius", 1.0), 0.0, spot) == pytest.approx(4.81206, abs=5e-6)
    assert find_largest_need(Shape("chamfer", 0.5), 5.0, Spot(5.0, 0.15, 0.3)) == pytest.approx(-0.05)
