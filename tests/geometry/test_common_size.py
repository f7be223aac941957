"""Like pieces to one size: every choice against trying all of them."""

import itertools
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.common_size import (
    Bounds,
    CleanAt,
    Piece,
    find_best_sizes,
    find_largest,
    list_sizes,
    match_set,
    size_up,
)
from regrind.geometry.errors import Refused
from tests.long_form import FULL

NOMINAL = 10_000_000


@st.composite
def trays(draw):
    """Pieces with a few options each, deeper cut-backs never smaller, and bounds."""
    pieces = []
    for number in range(draw(st.integers(1, 6))):
        diameters = sorted(draw(st.lists(st.integers(9_500_000, 10_020_000), min_size=1, max_size=3)))
        cuts = sorted(draw(st.lists(st.integers(0, 3_000_000), min_size=len(diameters), max_size=len(diameters))))
        pieces.append(Piece(str(number), tuple(map(CleanAt, cuts, diameters))))
    step = draw(st.sampled_from([25_400, 50_000, 127_000]))
    least = draw(st.sampled_from([None, 9_400_000, 9_800_000]))
    return pieces, Bounds(NOMINAL, step, least, draw(st.sampled_from([None, 1_500_000])))


def _cleans(piece, bounds, size):
    return any(
        item.diameter_nm >= size and (bounds.most_cut_back_nm is None or item.cut_back_nm <= bounds.most_cut_back_nm)
        for item in piece.cleans
    )


def _all_sizes(bounds):
    sizes = (NOMINAL - k * bounds.step_nm for k in range(60))
    return [size for size in sizes if size >= (bounds.least_diameter_nm or 1)]


@settings(max_examples=1500 if FULL else 150, deadline=None)
@given(trays())
def test_the_best_one_and_two_sizes_are_the_best_of_all(tray):
    pieces, bounds = tray
    for count in (1, 2):
        best = (0, 0)
        for sizes in itertools.combinations_with_replacement(_all_sizes(bounds), count):
            left = [max((size for size in sizes if _cleans(piece, bounds, size)), default=0) for piece in pieces]
            best = max(best, (sum(1 for size in left if size), sum(left)))
        found = find_best_sizes(pieces, bounds, count)
        assert (found.clean, found.total_nm) == best if found else best == (0, 0)


@settings(max_examples=1500 if FULL else 150, deadline=None)
@given(trays())
def test_each_step_size_says_who_comes_clean_and_why_not_the_rest(tray):
    pieces, bounds = tray
    for size in list_sizes(pieces, bounds):
        assert (NOMINAL - size.diameter_nm) % bounds.step_nm == 0
        assert {name for name, _ in size.clean} == {p.name for p in pieces if _cleans(p, bounds, size.diameter_nm)}
        assert len(size.clean) + len(size.misses) == len(pieces)
        for miss in size.misses:
            piece = next(piece for piece in pieces if piece.name == miss.name)
            assert miss.largest_nm == find_largest(piece, bounds)
            deep = all(item.diameter_nm < size.diameter_nm for item in piece.cleans)
            assert miss.why == ("too_deep" if deep else "cut_back_too_long")


@settings(max_examples=1500 if FULL else 150, deadline=None)
@given(trays(), st.sampled_from([0, 10_000, 60_000]))
def test_a_set_takes_the_largest_size_that_all_reach_within_its_tolerance(tray, tolerance):
    pieces, bounds = tray

    def largest(group):
        good = [s for s in _all_sizes(bounds) if all(_cleans(p, bounds, s - tolerance) for p in group)]
        return max(good, default=None) if group else None

    found = match_set(pieces, bounds, tolerance)
    assert found.diameter_nm == largest(pieces)
    assert found.without_nm == largest([piece for piece in pieces if piece.name != found.held_by])
    if found.cost_nm is not None:
        assert found.cost_nm == found.without_nm - found.diameter_nm >= 0


def test_the_smallest_cut_back_that_reaches_a_size_is_taken():
    piece = Piece("7", (CleanAt(0, 9_800_000), CleanAt(500_000, 9_900_000), CleanAt(2_000_000, 10_000_000)))
    assert size_up([piece], Bounds(NOMINAL, 100_000), 9_900_000).clean == (("7", 500_000),)


def test_the_order_of_the_pieces_changes_no_size():
    pieces = [Piece(str(n), (CleanAt(0, 9_600_000 + 37_001 * n),)) for n in range(9)]
    shuffled = list(pieces)
    random.Random(2).shuffle(shuffled)
    bounds = Bounds(NOMINAL, 25_400)
    assert find_best_sizes(pieces, bounds, 2) == find_best_sizes(shuffled, bounds, 2)
    assert [s.diameter_nm for s in list_sizes(pieces, bounds)] == [s.diameter_nm for s in list_sizes(shuffled, bounds)]


def test_impossible_input_is_refused_and_nothing_clean_is_no_size():
    with pytest.raises(Refused):
        match_set([], Bounds(NOMINAL, 1000))
    for step in (0, -5):
        with pytest.raises(Refused):
            list_sizes([Piece("1", (CleanAt(0, 9_000_000),))], Bounds(NOMINAL, step))
    with pytest.raises(Refused):
        list_sizes([Piece("1", (CleanAt(0, 9_000_000),)), Piece("2", (CleanAt(0, 9_900_000),))], Bounds(NOMINAL, 1))
    assert list_sizes([Piece("1", ())], Bounds(NOMINAL, 1000)) == []
    assert find_best_sizes([Piece("1", ())], Bounds(NOMINAL, 1000), 1) is None
