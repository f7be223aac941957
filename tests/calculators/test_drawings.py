"""The bench book's drawings: true to scale, upright figures, nothing over another or outside the picture."""

import html
import math
import re
from itertools import combinations

import pytest
from django.urls import reverse

from regrind.calculators.pages import PAGES
from regrind.calculators.svg_canvas import LETTER

WAYS = [(what, way.code, unit, {}) for what, page in PAGES.items() for way in page.ways for unit in ("in", "mm")]
OTHERS = [
    ("relief", "aim", "mm", {"way": "arc", "relief": "30", "distance": "2.0", "diameter": "6.0", "land": ""}),
    ("relief", "aim", "mm", {"way": "land"}),
    ("relief", "aim", "mm", {"way": "traversed"}),
    ("relief", "drop", "mm", {"drop": "-0.010"}),
    ("stylus", "cup", "mm", {"hand": "left"}),
    ("stylus", "cup", "mm", {"gap": "0", "helix": "0"}),
    ("stylus", "cup", "mm", {"diameter": "25.0", "helix": "45", "gap": "3.0"}),
    ("stylus", "straight", "mm", {"diameter": "50.0", "wheel": "60.0", "edge_above": "-4.0"}),
    ("odd-flute", "vee", "mm", {"teeth": "7"}),
    ("odd-flute", "vee", "mm", {"teeth": "99"}),
    ("odd-flute", "chord", "mm", {"teeth": "9", "steps": "4"}),
    ("zero-rake", "face", "mm", {"rake": "-5"}),
    ("zero-rake", "face", "mm", {"after": "6.350"}),
    ("wheel-speed", "rpm", "mm", {"marked": "20000"}),
    ("wheel-speed", "surface", "mm", {"rpm": "50"}),
    ("witness", "strip", "mm", {"at": "edge", "feed": "0.1"}),
    ("witness", "strip", "in", {"land": "", "feed": "0"}),
]


@pytest.fixture
def draw(client, bench_hand):
    """draw(what, code, unit, changed) -> the page's drawings, as their SVG."""
    client.force_login(bench_hand)

    def ask(what, code, unit, changed):
        typed = {"by": code, "unit": unit, **PAGES[what].way(code).form.example(unit), **changed}
        page = client.get(reverse("calculators:page", args=[what]), typed)
        assert page.status_code == 200, page.context["form"].errors
        return re.findall(r"<svg.*?</svg>", page.content.decode(), re.DOTALL)

    return ask


def boxes(svg):
    """The words of a drawing with the room that they take: left, top, right, bottom."""
    for x, y, size, anchor, words in re.findall(
        r'<text x="([-\d.]+)" y="([-\d.]+)" font-size="(\d+)" text-anchor="(\w+)"[^>]*>([^<]*)<', svg
    ):
        wide = len(html.unescape(words)) * LETTER * 0.9 * int(size) / 15
        left = float(x) - {"start": 0, "middle": wide / 2, "end": wide}[anchor]
        yield html.unescape(words), (left, float(y) - 0.75 * int(size), left + wide, float(y) + 0.2 * int(size))


@pytest.mark.parametrize(("what", "code", "unit", "changed"), WAYS + OTHERS)
def test_no_words_lie_over_others_or_outside(draw, what, code, unit, changed):
    for svg in draw(what, code, unit, changed):
        width, height = map(float, re.search(r'viewBox="0 0 (\d+) (\d+)"', svg).groups())
        said = list(boxes(svg))
        assert said
        for words, (left, top, right, bottom) in said:
            assert left >= 0, words
            assert top >= -2, words
            assert right <= width, words
            assert bottom <= height, words
        for (first, a), (second, b) in combinations(said, 2):
            apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
            assert apart, f"{first} lies over {second}"


@pytest.mark.parametrize(("what", "code", "unit", "changed"), WAYS + OTHERS)
def test_a_drawing_has_a_title_and_only_attributes(draw, what, code, unit, changed):
    for svg in draw(what, code, unit, changed):
        assert re.search(r'role="img" aria-label="[^"]{10,}"', svg)
        assert not re.search(r"style=|<style|transform=|nan|inf", svg)


def test_a_relief_is_drawn_at_its_own_angle(draw):
    """The heavy line falls from the edge at the angle that was asked for."""
    for relief in (5, 10, 25):
        [svg] = draw("relief", "aim", "mm", {"relief": str(relief), "land": ""})
        points = re.search(r'<path d="M([^"]*)" class="will"', svg).group(1).split(" L")
        (x1, y1), (x2, y2) = (map(float, point.split()) for point in points[1:])
        assert math.degrees(math.atan2(y2 - y1, x1 - x2)) == pytest.approx(relief, abs=0.1)


def test_circles_are_drawn_in_proportion(draw):
    """A pin of 8 mm over a tool of 10 mm: their circles as 8 to 10."""
    [svg] = draw("odd-flute", "pin", "mm", {})
    pin = float(re.search(r'r="([\d.]+)" class="was"', svg).group(1))
    tool = float(re.search(r'r="([\d.]+)" class="centre"', svg).group(1))
    assert pin / tool == pytest.approx(0.8, abs=0.001)


def test_the_scale_bar_is_as_long_as_it_says(draw):
    """On the V-anvil's drawing the circle of 10 mm is five times the bar of 2 mm."""
    [svg] = draw("odd-flute", "vee", "mm", {})
    radius = float(re.search(r'r="([\d.]+)" class="centre"', svg).group(1))
    said = re.search(r"to scale: ([\d.]+)\u202fmm", svg).group(1)
    bar = re.findall(r'<path d="M([\d.]+) [\d.]+ L\1 [\d.]+ L([\d.]+) [\d.]+ L\2', svg)[-1]
    assert (float(bar[1]) - float(bar[0])) / float(said) == pytest.approx(2 * radius / 10, rel=0.001)
