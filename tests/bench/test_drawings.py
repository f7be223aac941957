"""The drawings of a plan: the figures that they show, that they stay on their sheet, and what they say."""

import math
import re

import pytest

from regrind.bench.drawings.flank import draw_flank
from regrind.bench.drawings.section import draw_section, radius_before
from regrind.bench.drawings.tooth import draw_in, grind, outline, place, run_face, shape_tooth, worn
from regrind.bench.drawings.tradeoff import draw_trade
from regrind.geometry.case import read
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict

BASE = {
    "tool": {
        "kind": "end mill",
        "teeth": 3,
        "nominal_diameter": "1/4 in",
        "core_diameter": "0.150 in",
        "rake_deg": 8,
        "primary_relief_deg": 12,
        "secondary_relief_deg": 24,
        "primary_land": "0.010 in",
        "flute_length": "0.750 in",
    },
    "measured": {"diameter": "0.2500 in", "method": "v-anvil"},
    "damage": [{"tooth": n, "from": "0 in", "to": "0.060 in", "depth": "1.5 thou", "what": "chip"} for n in (1, 2, 3)],
    "allow": {"finish_radial": "5 tenths", "finish_end": "2 thou", "stylus_distance": "0.060 in"},
    "limits": {"diameter": "0.230 in", "usable_length": "0.500 in"},
}


def answered(**parts):
    case = {
        **BASE,
        **{name: {**BASE[name], **part} if isinstance(part, dict) else part for name, part in parts.items()},
    }
    return case, as_dict(work_out(read(case)))


@pytest.mark.parametrize("floor", [0.2300, 0.2440, 0.2460, 0.2465, 0.2470, 0.2475])
def test_the_names_of_the_limits_lie_over_no_point(floor):
    """However near the smallest diameter lies to an option: measured back from the drawing."""
    _case, answer = answered(limits={"diameter": f"{floor} in", "usable_length": "0.680 in"})
    drawing = str(draw_trade(answer["options"], 0, "in"))
    points = [(float(x), float(y)) for x, y in re.findall(r'cx="([\d.]+)" cy="([\d.]+)" r="13(?:\.0+)?"', drawing)]
    names = re.findall(r'<text x="([\d.]+)" y="([\d.]+)"[^>]*>(smallest|shortest)<', drawing)
    assert points
    assert names or floor < 0.244
    for left, baseline, _name in names:
        for x, y in points:
            across = max(float(left) - x, 0, x - float(left) - 60)
            down = max(float(baseline) - 14 - y, 0, y - float(baseline) - 4)
            assert math.hypot(across, down) >= 13


def test_the_new_land_is_drawn_as_long_as_the_plan_says():
    """The plan's closed formula against two lines that meet on the sheet; the worked example: .002 in off the radius
    makes a land of .254 mm one of .4695 mm."""
    case, answer = answered()
    option = answer["options"][0]
    before = radius_before(option)
    tooth = shape_tooth(case, answer, before)
    new, _stock = grind(tooth, 0.0, before, option["diameter_mm"] / 2)
    assert math.dist(new[0], new[1]) == pytest.approx(option["primary_land_mm"], abs=1e-9)
    assert math.dist(new[0], new[1]) == pytest.approx(0.4695, abs=5e-5)


def test_the_face_leaves_the_edge_at_its_rake_and_touches_the_core():
    case, answer = answered()
    tooth = shape_tooth(case, answer, 3.175)
    face = run_face(tooth, 0.0, 3.175, 3.174)
    slope = math.degrees(math.atan2(face[0][0] - face[-1][0], face[0][1] - face[-1][1]))
    assert slope == pytest.approx(8, abs=0.05)
    whole = run_face(tooth, 0.0, 3.175, tooth.core_mm * 1.002)
    assert math.hypot(*whole[-1]) == pytest.approx(1.905, rel=0.003)


def test_every_old_edge_stands_at_its_own_radius_and_every_new_one_at_the_same():
    case, answer = answered(measured={"tooth_readings": ["0 in", "-2 tenths", "-4 tenths"]})
    option = answer["options"][0]
    before, after = radius_before(option), option["diameter_mm"] / 2
    tooth = shape_tooth(case, answer, before)
    for n, radius in enumerate((before, before - 0.00508, before - 0.01016)):
        assert max(math.hypot(*p) for p in outline(tooth, n * tooth.pitch_rad, radius)) == pytest.approx(radius)
        new, stock = grind(tooth, n * tooth.pitch_rad, radius, after)
        assert math.hypot(*new[0]) == pytest.approx(after)
        assert max(math.hypot(*p) for p in stock) == pytest.approx(radius)


def test_worn_stock_reaches_as_deep_as_the_damage():
    case, answer = answered()
    tooth = shape_tooth(case, answer, 3.175)
    for depth in (0.01, 0.0381, 0.2):
        gone = worn(tooth, 0.0, 3.175, depth)
        assert min(y for _, y in gone) == pytest.approx(3.175 - depth, abs=depth * 0.05 + 1e-6)
        assert all(math.hypot(*p) <= 3.175 + 1e-9 for p in gone)
    assert place(1.0, 0.0) == (0.0, 1.0)


CASES = {
    "as measured": {},
    "two teeth, nothing known": {
        "tool": {"teeth": 2},
        "measured": {"method": "micrometer"},
        "damage": [{"tooth": 2, "from": "0 in", "to": ".1 in", "wear_land": ".01 in"}],
    },
    "many teeth": {"tool": {"teeth": 12}, "measured": {"method": "micrometer"}},
    "one relief": {"tool": {"secondary_relief_deg": None, "primary_land": ".05 in"}},
    "measured arc": {"tool": {"face_arc_radius": "3 mm"}},
    "negative rake": {"tool": {"rake_deg": -10}},
    "total reading": {"measured": {"tir": "4 tenths"}},
    "sound": {"damage": []},
    "the end alone": {"damage": [{"end_depth": ".01 in"}]},
    "deep": {"damage": [{"tooth": 1, "from": "0 in", "to": ".06 in", "depth": ".03 in"}]},
}


@pytest.mark.parametrize("enlarged", [False, True])
@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_every_option_of_any_tool_is_drawn_on_its_sheet(name, unit, enlarged):
    case, answer = answered(**CASES[name])
    for index, option in enumerate(answer["options"]):
        for drawing in (
            draw_section(case, answer, option, unit, enlarged),
            draw_flank(case, option, unit),
            draw_trade(answer["options"], index, unit),
        ):
            assert "nan" not in drawing
            assert "inf" not in drawing.replace("inform", "")
            width, height = (float(n) for n in re.search(r'viewBox="0 0 (\d+) (\d+)"', drawing).groups())
            for x, y in re.findall(r"[ML ](-?[\d.]+) (-?[\d.]+)", " ".join(re.findall(r'd="([^"]*)"', drawing))):
                assert -1 <= float(x) <= width + 1
                assert -1 <= float(y) <= height + 1


def test_the_section_names_both_sizes_and_its_scale():
    case, answer = answered()
    plain = draw_section(case, answer, answer["options"][0], "in", False)
    for words in (".2500\u202fin as received", ".2460\u202fin after", ".0020\u202fin off the radius", "drawn 16 : 1"):
        assert words in plain
    assert "8× as thick" not in plain
    assert "8× as thick" in draw_section(case, answer, answer["options"][0], "in", True)


def test_an_option_that_leaves_the_sides_shows_no_stock_on_them():
    case, answer = answered()
    end = answer["options"][-1]
    assert not end["sides"]
    section = draw_section(case, answer, end, "in", True)
    assert "sides left as they are" in section
    assert 'class="hatch"' not in section
    assert 'class="hatch"' in draw_flank(case, end, "in")


def test_the_trade_links_each_option_and_shows_the_customers_limits():
    _case, answer = answered(limits={"diameter": "0.2455 in", "usable_length": "0.685 in"})
    chart = draw_trade(answer["options"], 0, "in", "?group=7&option=")
    assert chart.count("<a href") == len(answer["options"]) == 2
    assert "?group=7&amp;option=1" in chart
    assert "smallest" in chart
    assert "shortest" in chart


def test_what_is_typed_as_damage_cannot_break_out_of_a_drawing():
    case, answer = answered(
        damage=[{"tooth": 1, "from": "0 in", "to": ".06 in", "depth": "2 thou", "what": '"><script>x</script>'}]
    )
    assert "<script" not in draw_flank(case, answer["options"][0], "in")


def test_every_line_of_the_section_is_named_and_no_heel_leaves_the_new_circle():
    """As it is and with the stock drawn thicker: a flank behind its edge stays inside the circle that the edge runs on,
    as it does on the tool."""
    case, answer = answered()
    option = answer["options"][0]
    for words in ("as received", "after", "off the radius", "core .1500", ".2300\u202fin smallest"):
        assert words in draw_section(case, answer, option, "in", False)
    assert "core" not in draw_section(case, answer, option, "in", True)  # it would seem nearer than it is
    for times in range(1, 9):
        before, after = radius_before(option), option["diameter_mm"] / 2
        tooth = shape_tooth(case, answer, before)
        new, _stock = grind(tooth, 0.0, before, after)
        edge = run_face(tooth, 0.0, before, before - (before - after) * times)[-1]
        drawn = draw_in(new, edge)
        assert math.dist(drawn[0], edge) < 1e-9
        assert all(math.hypot(*point) < math.hypot(*edge) for point in drawn[1:])
