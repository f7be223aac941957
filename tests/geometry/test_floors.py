"""The floors that stand where the customer named nothing, the order of options, and what regrinds are counted to."""

import pytest

from regrind.geometry.case import read
from regrind.geometry.cleanup import is_beyond_reach, list_options
from regrind.geometry.errors import DamageAtCore, Refused
from regrind.geometry.example import CASE
from regrind.geometry.floors import find_diameter_floor, find_published
from regrind.geometry.plan import work_out
from regrind.geometry.tool_state import build_state
from tests.geometry.tool_strategies import change

ALLOW = {"finish_radial": "0.013 mm", "finish_end": "0.05 mm", "stylus_distance": "1.5 mm"}
# 25 mm high-speed steel, worn along 40 of its 45 mm.
LARGE = {
    "tool": {
        "kind": "end mill",
        "teeth": 4,
        "material": "HSS",
        "nominal_diameter": "25 mm",
        "helix_deg": 30,
        "core_diameter": "14 mm",
        "rake_deg": 10,
        "primary_relief_deg": 8,
        "secondary_relief_deg": 18,
        "primary_land": "0.8 mm",
        "flute_length": "45 mm",
    },
    "measured": {"diameter": "25 mm", "method": "micrometer"},
    "damage": [{"tooth": 1, "from": "0 mm", "to": "40 mm", "wear_land": "0.3 mm", "what": "wear land"}],
    "allow": ALLOW,
    "typical": {"stock_radial": "0.113 mm"},
}


def _plan(case):
    return work_out(read(case))


def _line(option, name):
    return next((line for line in option.limits if line.limit == name), None)


@pytest.mark.parametrize(
    ("nominal_in", "share"),
    [
        (0.2499, 0.90),
        (0.125, 0.90),
        (0.250, 0.85),
        (0.500, 0.85),
        (0.530, 0.88),
        (0.625, 0.88),
        (0.700, 0.90),
        (1.0, 0.90),
        (1.25, 0.92),
    ],
)
def test_the_diameter_floor_is_the_published_share_and_a_tenth_below_a_quarter_inch(nominal_in, share):
    """Source: shared/18_practice_and_tolerances.csv (read); below 1/4 in common practice."""
    floor = find_diameter_floor(round(nominal_in * 25_400_000))
    assert floor.at_least_mm == pytest.approx(nominal_in * 25.4 * share, abs=1e-9)
    assert floor.source


def test_forty_of_forty_five_millimetres_off_the_end_are_asked_about_and_not_recommended():
    answer = _plan(LARGE)
    sides, end = answer.options
    assert (sides.sides, sides.cut_back_mm, end.sides, end.cut_back_mm) == (True, 0, False, 40.05)
    assert (answer.recommended, sides.verdict) == (0, "grind")
    assert (end.verdict, end.reasons) == ("ask", ("outside_flute_floor",))
    line = _line(end, "flute_floor")
    assert (line.value, line.at_least) == pytest.approx((4.95, 33.75))
    assert _line(sides, "flute_floor") is None


def test_a_soft_rake_does_not_buy_an_amputation():
    """Both options ask for a rake on an assumed arc; 20 of 60 mm off the end leaves more regrinds, past its floor."""
    case = change(LARGE, "limits", {"rake_deg": 12})
    case["tool"]["flute_length"] = "60 mm"
    case["damage"][0]["to"] = "20 mm"
    answer = _plan(case)
    sides, end = answer.options
    assert (sides.verdict, end.verdict) == ("ask", "ask")
    assert "rake_from_assumed_arc" in sides.reasons
    assert "outside_flute_floor" in end.reasons
    assert sides.regrinds_left < end.regrinds_left
    assert answer.recommended == 0
    case["limits"]["usable_length"] = "30 mm"  # the customer named one: then the most regrinds
    assert _plan(case).recommended == 1


def test_a_diameter_below_its_floor_is_asked_about_though_it_is_cheap():
    """Taken off one inch: .652 in is left of the sides, and the floor is .900 in."""
    case = change(LARGE, "tool.nominal_diameter", "1 in")
    case["tool"] |= {"core_diameter": "0.5 in"}
    case["measured"]["diameter"] = "1 in"
    case["damage"] = [{"tooth": 1, "from": "0 mm", "to": "12 mm", "depth": "0.1735 in", "what": "chip"}]
    answer = _plan(case)
    sides, end = answer.options
    assert sides.reasons == ("outside_diameter_floor",)
    assert _line(sides, "diameter_floor").at_least == pytest.approx(22.86)
    assert end.reasons == ("outside_flute_floor",)
    assert answer.verdict == "ask"


@pytest.mark.parametrize(
    ("new_flute", "cut", "at_least", "verdict"),
    [
        (None, "5.575 mm", 16.875, "inside"),  # three quarters of what is there: 22.5 - 5.625
        (None, "5.576 mm", 16.875, "outside"),
        ("36 mm", "4.45 mm", 18.0, "inside"),  # half of the new flute is more
        ("36 mm", "4.451 mm", 18.0, "outside"),
    ],
)
def test_the_flute_keeps_three_quarters_of_its_length_and_half_of_the_new(new_flute, cut, at_least, verdict):
    case = change(LARGE, "damage", [{"end_depth": cut}])
    case["tool"] |= {"nominal_diameter": "10 mm", "core_diameter": "6 mm", "flute_length": "22.5 mm"}
    case["measured"]["diameter"] = "10 mm"
    if new_flute:
        case["tool"]["new_flute_length"] = new_flute
    line = _line(_plan(case).options[0], "flute_floor")
    assert (line.at_least, line.verdict) == (pytest.approx(at_least), verdict)


def test_a_short_flute_keeps_one_diameter():
    case = change(LARGE, "tool.flute_length", "28 mm")
    case["damage"] = [{"end_depth": "3 mm"}]
    line = _line(_plan(case).options[0], "flute_floor")
    assert (line.value, line.at_least, line.verdict) == (pytest.approx(24.95), 25, "outside")


def test_what_the_customer_names_takes_the_place_of_the_floors():
    case = change(LARGE, "limits", {"diameter": "20 mm", "usable_length": "4 mm"})
    assert [[line.limit for line in option.limits] for option in _plan(case).options] == [
        ["diameter", "usable_length"]
    ] * 2
    assert {option.verdict for option in _plan(case).options} == {"grind"}


def test_the_lines_come_in_one_order():
    case = change(LARGE, "limits", {"rake_deg": 0, "flute_depth": "1 mm"})
    assert [line.limit for line in _plan(case).options[1].limits] == [
        "diameter_floor",
        "rake_deg",
        "flute_depth",
        "flute_floor",
    ]
    case["limits"] |= {"published_reduction": True}
    assert [line.limit for line in _plan(case).options[1].limits] == [
        "rake_deg",
        "flute_depth",
        "flute_floor",
        "published_reduction",
    ]


def test_below_a_quarter_inch_the_floor_takes_the_place_of_a_rule_that_is_not_published():
    assert find_published(6_349_999) is None
    case = change(LARGE, "limits", {"published_reduction": True})
    case["tool"] |= {
        "nominal_diameter": "4 mm",
        "core_diameter": "2.2 mm",
        "flute_length": "11 mm",
        "primary_land": "0.2 mm",
    }
    case["measured"]["diameter"] = "4 mm"
    case["damage"] = [{"tooth": 1, "from": "0 mm", "to": "2 mm", "depth": "0.05 mm"}]
    option = _plan(case).options[0]
    assert [(line.limit, line.at_least) for line in option.limits] == [("diameter_floor", pytest.approx(3.6))]
    assert (option.verdict, option.reasons) == ("grind", ())
    case["damage"][0]["depth"] = "0.2 mm"
    assert _plan(case).options[0].reasons == ("outside_diameter_floor",)


def test_regrinds_are_counted_to_the_published_tenth_and_not_to_the_core():
    """0.226 mm a regrind off 25 mm: 48 down to a core of 14 mm, but 11 to the published 22.5 mm."""
    sound = change(LARGE, "damage", [])
    option = _plan(sound).options[0]
    assert option.regrinds_left == 11
    assert (option.counted_to.diameter_mm, option.counted_to.usable_length_mm, option.counted_to.flute_mm) == (
        22.5,
        None,
        25,
    )
    sound["limits"] = {"diameter": "0 mm", "usable_length": "0 mm"}
    option = _plan(sound).options[0]
    assert option.regrinds_left == 48
    assert option.counted_to.flute_mm is None


def test_regrinds_by_cut_back_are_counted_to_the_flute_to_keep_without_the_stylus_distance():
    case = change(LARGE, "damage", [{"end_depth": "0.95 mm"}])
    case["typical"] = {"stock_radial": "0.001 mm", "cut_back": "2 mm"}
    option = _plan(case).options[0]
    assert (option.usable_length_mm, option.regrinds_left) == (44, 9)  # 44 - 9 x 2 = 26, one more is below 25


def test_all_of_the_flute_is_within_reach_where_the_sides_were_ground_before():
    case = change(CASE, "tool.sides_ground_before", True)
    case["tool"]["flute_length"] = "20 mm"
    case["allow"]["stylus_distance"] = "1 mm"
    case["damage"] = [{"tooth": 1, "from": "19.2 mm", "to": "19.5 mm", "depth": "0.1 mm"}]
    tool_state = build_state(read(case))
    assert not is_beyond_reach(tool_state, 0)
    sides = list_options(tool_state)[0]
    assert (sides.sides, sides.leaves_marks) == (True, False)
    case["tool"]["sides_ground_before"] = False
    assert is_beyond_reach(build_state(read(case)), 0)


@pytest.mark.parametrize("construction", ["tipped", "indexable"])
def test_tipped_and_indexable_tools_are_refused_by_hand(construction):
    with pytest.raises(Refused, match="by hand") as refused:
        read(change(CASE, "tool.construction", construction))
    assert refused.value.field == "tool.construction"
    assert read(change(CASE, "tool.construction", "solid")) == read(CASE)
    with pytest.raises(Refused, match=r"tool\.construction"):
        read(change(CASE, "tool.construction", "brazed"))


def test_a_new_flute_is_at_least_the_present_one():
    assert read(change(CASE, "tool.new_flute_length", "0.75 in")).tool.new_flute_length_nm == 19_050_000
    with pytest.raises(Refused, match="at least the present flute length"):
        read(change(CASE, "tool.new_flute_length", "0.749 in"))


def test_damage_past_the_core_says_so_by_its_own_kind_of_refusal():
    """60 thousandths on a quarter inch, with the usual core and with one that was measured."""
    case = change(CASE, "damage.0.depth", "60 thou")
    with pytest.raises(DamageAtCore, match="reaches the core"):
        build_state(read(case))
    del case["tool"]["core_diameter"]
    with pytest.raises(DamageAtCore, match=r"reaches the core \(the usual one, assumed\)"):
        build_state(read(case))
