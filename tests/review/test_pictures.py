"""The pictures with few, many and no data: each has its table, says its numbers, draws nothing that is not there."""

import csv
import re
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as some

from regrind.review.charts.bars import MOST, draw_bars
from regrind.review.charts.frame import BOTTOM, HEIGHT, axis, round_step
from regrind.review.charts.life import draw_family_life
from regrind.review.charts.points import Point, draw_points
from regrind.review.charts.spread import MOST_BINS, draw_spread
from regrind.review.family_charts import MOST_POINTS, WEAR_BIN_NM, by_size, merge_bins, wear
from regrind.review.overview import mark_rate
from regrind.review.sums import Tallied

SERIES = Path(settings.BASE_DIR) / "shared" / "24_milling_wear_labels.csv"
ISO_8688_2_MM = 0.3  # mean wear land at which an end mill's life is over (ISO 8688-2:1989, from memory)


def numbers(picture: str) -> list[float]:
    return [float(n) for n in re.findall(r'(?:x|y|cx|cy|x1|y1|x2|y2|width|height)="(-?[\d.]+)"', picture)]


def test_nothing_is_drawn_of_nothing_and_it_says_what_to_do():
    for chart in (
        draw_bars("Why", [], 0, noun="reason", empty="Nothing was scrapped."),
        draw_spread({}, {}, "in"),
        draw_family_life({}, [], [], "mm"),
        wear([], "in", "?"),
        wear([Tallied("", 4, 4, 0, 0)], "in", "?"),
    ):
        assert chart.picture is None
        assert chart.empty
        assert chart.rows == ()


def test_the_rest_of_many_reasons_stand_together_and_the_table_holds_all():
    counts = [(f"reason {n:02}", n) for n in range(1, 41)]
    chart = draw_bars("Why", counts, 820, noun="reason", empty="")
    assert len(chart.rows) == 40
    assert chart.rows[0] == ("reason 40", "40", "5\u202f%")
    assert f"{40 - MOST} others" in chart.picture
    assert sum(int(n) for n in re.findall(r'font-size="14"[^>]*>(\d+)</text>', chart.picture)) == 820


def test_a_hostile_reason_is_escaped():
    chart = draw_bars("Why", [('"><script>x</script>', 3)], 3, noun="reason", empty="")
    assert "<script>" not in chart.picture


@given(
    some.dictionaries(some.integers(-5, 400).map(lambda k: k * 10_000), some.integers(1, 50), min_size=1),
    some.dictionaries(some.integers(-5, 400).map(lambda k: k * 10_000), some.integers(1, 50)),
    some.sampled_from(["in", "mm"]),
)
def test_the_spread_shows_every_case_once_in_a_readable_number_of_bars(taken, predicted, unit):
    chart = draw_spread(taken, predicted, unit)
    assert sum(int(row[1]) for row in chart.rows) == sum(taken.values())
    assert sum(int(row[2]) for row in chart.rows) == sum(predicted.values())
    assert chart.picture.count('class="bar"') <= MOST_BINS + 1
    assert all(-1 <= n <= 469 for n in numbers(chart.picture))


@given(some.lists(some.floats(-1e9, 1e9), min_size=1, max_size=20), some.sampled_from([1.0, 1e6, 25.4e6]))
def test_an_axis_holds_its_values_between_round_marks(values, scale):
    found = axis(values, 0, 100, scale=scale)
    slack = 1e-6 * scale + 1e-8 * (found.high - found.low)
    assert found.low <= min(values) + slack
    assert found.high >= max(values) - slack
    assert 2 <= len(found.marks) <= 12
    assert all(-1e-3 <= found.place(value) <= 100.001 for value in values)


def test_the_words_of_the_hourly_rate_stand_below_the_dots():
    [words] = re.findall(r"<text.*?</text>", "".join(mark_rate(158, axis([0, 300], HEIGHT - BOTTOM, 20))))
    assert "1.58 a minute" in words
    assert min(numbers(words)[1:2]) > HEIGHT - BOTTOM


@pytest.mark.parametrize(
    ("rows", "words"), [((), "1 is open."), ((SimpleNamespace(cause="chatter"),), "1 more is open.")]
)
def test_complaints_without_a_cause_make_no_table(rows, words):
    page = render_to_string("review/_causes.html", {"causes": SimpleNamespace(rows=rows, outcomes=(), open=1)})
    assert ("<table" in page) == bool(rows)
    assert words in page


@pytest.mark.parametrize(("least", "step"), [(0.03, 0.05), (1, 1), (1.01, 2), (3, 5), (7, 10), (0.5, 0.5)])
def test_a_step_is_one_two_or_five(least, step):
    assert round_step(least) == pytest.approx(step)


def test_a_life_draws_the_middle_the_reach_and_the_limits_it_nears():
    chart = draw_family_life(
        {1: [6_340_000, 6_345_000, 6_350_000], 2: [6_200_000]},
        [[(1, 6_345_000), (2, 6_200_000)]],
        [(6_350_000, "nominal"), (5_842_000, "smallest, Brookfield")],
        "mm",
    )
    assert chart.rows == (
        ("1", "3", "6.345\u202fmm", "6.340\u202fmm", "6.350\u202fmm"),
        ("2", "1", "6.200\u202fmm", "6.200\u202fmm", "6.200\u202fmm"),
    )
    assert chart.picture.count('class="limit"') == 2
    assert chart.picture.count('class="thread"') == 1
    assert chart.picture.count('class="dye"') == 2


def test_a_share_is_drawn_between_the_ends_of_its_interval():
    drawn = draw_points("Good", [Point("a", 0.5, 4, 0.15, 0.85)], say=str, across="", top=1.0)
    dot = float(re.search(r'cy="([\d.]+)" r="6.00" class="dye"', drawn)[1])
    whisker = re.search(r'y1="([\d.]+)" x2="[\d.]+" y2="([\d.]+)" class="whisker"', drawn)
    low, high = (float(y) for y in whisker.groups())
    assert high < dot < low


@given(
    some.dictionaries(
        some.integers(0, 80).map(lambda k: k * WEAR_BIN_NM),
        some.integers(1, 60).flatmap(lambda n: some.tuples(some.just(n), some.integers(0, n))),
        min_size=1,
        max_size=60,
    )
)
def test_merged_bins_lose_no_case_and_do_not_overlap(counts):
    bins = merge_bins(counts)
    assert len(bins) <= MOST_POINTS + 1
    assert sum(n for _, _, n, _ in bins) == sum(n for n, _ in counts.values())
    assert sum(good for *_, good in bins) == sum(good for _, good in counts.values())
    assert all(one[1] <= following[0] for one, following in pairwise(bins))


def test_groups_by_size_part_no_diameter():
    sizes = [6_000_000] * 30 + [6_100_000] * 2 + list(range(6_200_000, 6_200_020))
    facts = [SimpleNamespace(came_nm=nm) for nm in sizes]
    groups = by_size(facts)
    assert sum(map(len, groups)) == len(facts)
    assert len(groups) <= 6
    assert all(one[-1].came_nm < following[0].came_nm for one, following in pairwise(groups))


def test_a_published_wear_series_makes_a_picture_that_falls_where_the_standard_ends_a_tools_life():
    """NASA/UC Berkeley milling data (Agogino, Goebel), flank wear over runs: good is what ISO 8688-2 still lets cut."""
    with SERIES.open(encoding="utf-8") as file:
        worn = [float(row["VB_mm"]) for row in csv.DictReader(file) if row["VB_mm"]]
    bins: dict[int, list[int]] = {}
    for mm in worn:
        n = bins.setdefault(round(mm * 1e6) // WEAR_BIN_NM * WEAR_BIN_NM, [0, 0])
        n[0], n[1] = n[0] + 1, n[1] + (mm <= ISO_8688_2_MM)
    chart = wear([Tallied(str(start), n, good, 0, 0) for start, (n, good) in bins.items()], "mm", "?")
    shares = [row[2] for row in chart.rows]
    assert sum(int(row[1]) for row in chart.rows) == len(worn) > 140
    assert shares[0] == "100\u202f%"
    assert shares[-1] == "0\u202f%"
    percents = [int(share.rstrip("\u202f%")) for share in shares]
    assert percents == sorted(percents, reverse=True)
    assert chart.picture.count('class="dye"') == len(chart.rows) > 3


def test_the_words_of_a_limit_stand_over_what_is_drawn():
    life = draw_family_life(
        {3: [6_100_000, 6_350_000], 4: [6_100_000]},
        [[(3, 6_350_000), (4, 6_100_000)]],
        [(6_200_000, "smallest, Someone")],
        "mm",
    ).picture
    points = draw_points("t", [Point("6.1", 1.0, 3, 0.5, 1.5)], say=str, across="mm", levels=[(1.1, "the rate")])
    for picture, words in ((life, "smallest, Someone"), (points, "the rate")):
        drawn = [picture.rindex(f'class="{look}"') for look in ("whisker", "dye")]
        assert picture.index(words) > max(drawn)
