"""The life chart: a followed tool's diameter over its visits, drawn true."""

import re
from datetime import date

from regrind.bench.drawings.life import HEIGHT, Visit, draw_life

MM = 1_000_000
VISITS = [
    Visit(date(2025, 1, 7), 10 * MM, 9_900_000),
    Visit(date(2025, 6, 3), 9_890_000, 9_700_000),
    Visit(date(2026, 2, 9), 9_690_000, None),
]


def spots(drawing: str) -> list[tuple[float, float, str]]:
    return [
        (float(x), float(y), look)
        for x, y, look in re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="6.00" class="(spot|dye)"', drawing)
    ]


def test_each_visit_has_its_diameters_under_one_another_and_the_tool_only_shrinks():
    found = spots(draw_life(VISITS, 9_500_000, "mm"))
    assert [look for _, _, look in found] == ["spot", "dye", "spot", "dye", "spot"]
    assert [x for x, _, _ in found] == sorted(x for x, _, _ in found)
    heights = [y for _, y, _ in found]
    assert heights == sorted(heights)
    # the scale is one and the same: 0.1 mm down is a third of 0.3 mm down
    fall = heights[3] - heights[0]
    assert abs((heights[1] - heights[0]) / fall - 1 / 3) < 1e-3


def test_the_limit_is_drawn_dashed_below_and_said():
    drawing = draw_life(VISITS, 9_500_000, "mm")
    lowest = max(y for _, y, _ in spots(drawing))
    [limit] = re.findall(r'y1="([\d.]+)" x2="[\d.]+" y2="\1" class="limit"', drawing)
    assert lowest < float(limit) < HEIGHT
    assert "smallest 9.500\u202fmm" in drawing
    assert "limit" not in draw_life(VISITS, None, "mm")


def test_nothing_is_drawn_where_there_is_nothing_to_compare():
    assert draw_life([Visit(date(2025, 1, 7), 10 * MM, None)], None, "mm") is None
    assert draw_life([Visit(date(2025, 1, 7), 10 * MM, 10 * MM)], None, "mm") is None
