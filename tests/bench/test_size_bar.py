"""The bar of pieces: where each stands, and which come clean at the size that is taken."""

import re
from itertools import pairwise

from regrind.bench.drawings.size_bar import BLOCK, NUMBER, PAD, WIDTH, draw_size_bar, find_track
from regrind.geometry.common_size import Bounds, CleanAt, Piece, list_sizes

INCH = 25_400_000
PIECES = [
    Piece("1-1", (CleanAt(0, round(0.2410 * INCH)), CleanAt(10**6, round(0.2440 * INCH)))),
    Piece("1-2", (CleanAt(0, round(0.2360 * INCH)),)),
    Piece("1-3", (CleanAt(0, round(0.2360 * INCH)),)),
    Piece("1-4", ()),
]
SIZES = list_sizes(PIECES, Bounds(round(0.25 * INCH), round(0.005 * INCH), None, None))


def drawn(*taken: float) -> str:
    return str(draw_size_bar(PIECES, SIZES, {round(t * INCH) for t in taken}, "in"))


def test_the_sizes_are_those_at_which_more_pieces_come_clean():
    assert [(round(s.diameter_nm / INCH, 4), len(s.clean)) for s in SIZES] == [(0.24, 1), (0.235, 3)]


def test_what_comes_clean_is_filled_and_counted_and_the_rest_is_open_with_a_bar():
    for taken, clean in ((0.24, 1), (0.235, 3)):
        html = drawn(taken)
        assert (html.count('class="dye"'), len(re.findall(r'<rect[^>]*class="was"', html))) == (clean, 4 - clean)
        assert f"{clean} of 4 pieces come clean at .{round(taken * 10_000)}" in html


def test_pieces_stand_by_their_largest_clean_diameter_and_one_that_has_none_stands_apart():
    html = drawn(0.235)
    left = sorted(float(x) + BLOCK / 2 for x in re.findall(r'<rect x="([\d.]+)"', html))
    low, high = 0.2350, 0.2440
    place = [2 * PAD + (d - low) / (high - low) * (WIDTH - 3 * PAD) for d in (0.2360, 0.2360, 0.2440)]
    assert [round(x, 1) for x in left] == [14.0, *(round(x, 1) for x in place)]
    assert "at none" in html
    rows = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)"', html)
    assert len(set(rows)) == 4  # like pieces stand on each other, not over each other


def test_two_sizes_are_two_lines():
    assert drawn(0.24, 0.235).count('class="line"') == 2
    assert "3 of 4 pieces come clean at .2400\u202fin, .2350\u202fin" in drawn(0.24, 0.235)


def test_every_number_below_the_bar_stands_inside_it_and_beside_the_next():
    """Six steps of .005 in are too near each other for six figures of 66 units in 360."""
    pieces = [Piece(str(n), (CleanAt(0, round((0.22 + n / 200) * INCH) + 1),)) for n in range(6)]
    sizes = list_sizes(pieces, Bounds(round(0.25 * INCH), round(0.005 * INCH), None, None))
    html = str(draw_size_bar(pieces, sizes, set(), "in"))
    places = sorted(float(x) for x in re.findall(r'<text x="([\d.]+)"[^>]*>\.', html))
    assert len(sizes) == html.count('class="dim"') == 6
    assert 2 <= len(places) < 6
    assert places[0] - NUMBER / 2 >= 0
    assert places[-1] + NUMBER / 2 <= WIDTH
    assert all(after - before >= NUMBER for before, after in pairwise(places))


def test_the_slider_lies_below_the_ticks():
    first, last = find_track(PIECES, SIZES)
    ticks = sorted(float(x) for x in re.findall(r'<line x1="([\d.]+)"[^>]*class="dim"', drawn(0.24)))
    assert (first, last) == (round(100 * ticks[0] / WIDTH, 2), round(100 * ticks[-1] / WIDTH, 2))
