"""The verdict: inside first, then outside, else too close; what may scrap, what may only ask."""

import copy

import pytest

from regrind.geometry.case import read
from regrind.geometry.example import CASE
from regrind.geometry.floors import find_published
from regrind.geometry.limits import judge
from regrind.geometry.plan import work_out
from tests.geometry.tool_strategies import change

EXACT = change(CASE, "uncertainty", {})


def _first(case):
    return work_out(read(case)).options[0]


def _line(option, name):
    return next(line for line in option.limits if line.limit == name)


@pytest.mark.parametrize(
    ("margin", "u", "verdict"),
    [
        (0.0, 0.0, "inside"),
        (0.01, 0.01, "inside"),
        (0.009999999, 0.01, "too_close"),
        (0.0, 0.01, "too_close"),
        (-0.009999999, 0.01, "too_close"),
        (-0.01, 0.01, "outside"),
        (-1e-9, 0.0, "outside"),
    ],
)
def test_a_margin_is_inside_first_then_outside_else_too_close(margin, u, verdict):
    assert judge(margin, u) == verdict


@pytest.mark.parametrize(
    ("nominal_in", "percent", "between"),
    [
        (0.250, 15, False),
        (0.500, 15, False),
        (0.5625, 12, False),
        (0.562, 12, False),
        (0.625, 12, False),
        (0.750, 10, False),
        (1.0, 10, False),
        (1.001, 8, False),
        (2.0, 8, False),
        (0.530, 12, True),
        (0.700, 10, True),
    ],
)
def test_the_published_reduction_is_that_of_its_band_the_stricter_between_two(nominal_in, percent, between):
    """Source: shared/18_practice_and_tolerances.csv (read)."""
    published = find_published(round(nominal_in * 25_400_000))
    assert (published.percent, published.between) == (percent, between)
    assert published.least_diameter_mm == pytest.approx(nominal_in * 25.4 * (1 - percent / 100))


def test_the_published_reduction_is_a_line_of_its_own_and_only_asks():
    case = change(EXACT, "limits", {"published_reduction": True, "usable_length": "1 mm"})
    case["tool"]["nominal_diameter"] = "0.300 in"
    option = _first(case)
    assert [line.limit for line in option.limits] == ["usable_length", "published_reduction"]
    line = option.limits[1]
    assert line.at_least == pytest.approx(0.3 * 25.4 * 0.85)
    assert line.value == option.diameter_mm
    assert (option.verdict, option.reasons) == ("ask", ("outside_published_reduction",))


def test_limits_left_out_are_not_checked_except_as_floors():
    assert [line.limit for line in _first(change(EXACT, "limits", {})).limits] == ["diameter_floor", "flute_floor"]
    assert _first({key: value for key, value in EXACT.items() if key != "limits"}).verdict == "grind"


@pytest.mark.parametrize(
    ("limits", "verdict", "reasons"),
    [
        ({"diameter": "6.2 mm"}, "ask", ("outside_diameter",)),
        ({"usable_length": "18 mm"}, "ask", ("outside_usable_length",)),
        ({"flute_depth": "1.3 mm"}, "scrap", ("outside_flute_depth",)),
        ({"rake_deg": 4}, "ask", ("outside_rake_deg", "rake_from_assumed_arc")),
        ({"rake_deg": 3}, "grind", ()),
    ],
)
def test_only_the_tooth_itself_scraps_a_tool_and_a_soft_rake_asks(limits, verdict, reasons):
    option = _first(change(EXACT, "limits", limits))
    assert (option.verdict, option.reasons) == (verdict, reasons)


def test_a_rake_on_a_measured_face_scraps():
    case = change(EXACT, "limits", {"rake_deg": 4})
    case["tool"]["face_arc_radius"] = "1.3745 mm"
    assert (_first(case).verdict, _first(case).reasons) == ("scrap", ("outside_rake_deg",))


@pytest.mark.parametrize(
    ("left_out", "limits"), [("core_diameter", {"flute_depth": "2.5 mm"}), ("rake_deg", {"rake_deg": 30})]
)
def test_nothing_that_rests_on_a_default_is_scrapped(left_out, limits):
    case = change(EXACT, "limits", limits)
    case["tool"]["face_arc_radius"] = "1.3745 mm"
    del case["tool"][left_out]
    option = _first(case)
    assert option.verdict == "ask"
    assert f"rests_on_default_{left_out}" in option.reasons


def test_an_arc_that_ends_above_a_radius_scraps_unless_that_radius_rests_on_a_default():
    case = change(EXACT, "limits", {"rake_deg": 0})
    case["damage"] = [case["damage"][1] | {"to": "0.750 in"}]
    case["tool"]["face_arc_radius"] = "0.03 mm"
    known = _first(case)
    assert (known.rake_deg, known.verdict, _line(known, "rake_deg").rests_on) == (None, "scrap", ())
    del case["tool"]["primary_relief_deg"]
    option = _first(case)
    assert (option.rake_deg, option.verdict) == (None, "ask")
    assert _line(option, "rake_deg").rests_on == ("primary_relief_deg",)
    assert option.reasons == ("outside_rake_deg", "rests_on_default_primary_relief_deg")


def test_a_wear_land_that_rests_on_a_default_relief_carries_it_into_the_diameter():
    case = change(EXACT, "limits", {"flute_depth": "1.25 mm"})
    case["damage"] = [case["damage"][1] | {"to": "0.750 in"}]
    assert _first(case).verdict == "scrap"
    del case["tool"]["primary_relief_deg"]
    option = _first(case)
    line = _line(option, "flute_depth")
    assert (line.verdict, option.verdict) == ("outside", "ask")
    assert line.rests_on == ("primary_relief_deg",)
    assert line.expanded_uncertainty > 0


def test_a_measured_face_that_does_not_reach_down_is_outside_with_a_margin():
    case = change(EXACT, "limits", {"rake_deg": -20})
    case["tool"]["face_arc_radius"] = "0.03 mm"
    option = _first(case)
    line = _line(option, "rake_deg")
    assert (option.rake_deg, option.primary_land_mm, line.verdict, option.verdict) == (None, None, "outside", "scrap")
    assert (line.value, line.margin, line.expanded_uncertainty) == (-90, -70, 0)


def test_too_close_asks_and_says_what_to_measure():
    case = change(CASE, "limits", {"diameter": "6.117 mm"})
    option = _first(case)
    assert (option.verdict, option.reasons) == ("ask", ("too_close_diameter",))
    assert option.limits[0].settle[0].measure == "diameter"


def test_a_total_reading_whose_best_is_inside_asks_to_measure_tooth_by_tooth():
    case = change(EXACT, "measured", {"diameter": "0.2498 in", "method": "v-anvil", "tir": "4 tenths"})
    worst = _first(case)
    depth = worst.flute_depth_mm
    between = change(case, "limits", {"flute_depth": f"{depth + 0.002:.6f} mm"})
    option = _first(between)
    assert (option.verdict, option.reasons) == ("ask", ("outside_flute_depth", "measure_per_tooth"))
    assert _line(option, "flute_depth").settle[0].measure == "tooth_readings"
    beyond = change(case, "limits", {"flute_depth": f"{depth + 0.2:.6f} mm"})
    assert (_first(beyond).verdict, _first(beyond).reasons) == ("scrap", ("outside_flute_depth",))


def test_gashing_again_is_said_per_option_and_asks_nothing():
    case = change(EXACT, "limits", {"usable_length": "1 mm"})
    case["tool"]["gash_length"] = "1 mm"
    assert [option.reasons for option in work_out(read(case)).options] == [(), ("gash_again",), ("gash_again",)]
    assert {option.verdict for option in work_out(read(case)).options} == {"grind"}


def test_a_sound_tool_is_sound_whatever_the_limits():
    case = change(CASE, "damage", [])
    case["limits"] = {"diameter": "7 mm", "rake_deg": 20, "flute_depth": "3 mm", "usable_length": "30 mm"}
    answer = work_out(read(case))
    (option,) = answer.options
    assert (answer.verdict, option.sides, option.end, option.reasons) == ("sound", False, False, ())
    assert {line.verdict for line in option.limits} == {"outside"}


def test_no_option_left_is_scrap():
    answer = work_out(read(change(EXACT, "damage.2.end_depth", "0.750 in")))
    assert (answer.options, answer.recommended, answer.verdict, answer.reasons) == (
        (),
        None,
        "scrap",
        ("no_option_left",),
    )


def test_the_recommended_option_has_the_best_verdict_then_the_most_regrinds_then_the_diameter():
    answer = work_out(read(EXACT))
    assert (answer.recommended, answer.verdict) == (1, "grind")
    lived = copy.deepcopy(EXACT)
    lived["limits"] = {"usable_length": "0.625 in"}
    lived["typical"] = {"cut_back": "0.015 in"}
    assert work_out(read(lived)).recommended == 0  # three more against none
    bare = {key: value for key, value in EXACT.items() if key != "typical"}
    assert work_out(read(bare)).recommended == 0  # the smallest cut-back before the diameter
    assert work_out(read(EXACT | {"typical": {}})).recommended == 0
