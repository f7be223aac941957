"""Each step of an explanation holds by its own formula, and its results are the stored ones."""

import math

import pytest

from regrind.geometry.case import read
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE
from regrind.geometry.explain import list_steps
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from tests.geometry.tool_strategies import change


def _steps(case, option=0):
    answer = as_dict(work_out(read(case)))
    return answer, list_steps(case, answer, option)


def _numbers(step):
    return {number.symbol: number.value for number in step.numbers}


def _named(steps, name):
    return [step for step in steps if step.name == name]


def test_the_steps_come_in_the_order_a_colleague_would_check_them():
    _, steps = _steps(CASE)
    names = list(dict.fromkeys(step.name for step in steps))
    assert names == [
        "tooth_radius",
        "face_arc",
        "depth_of_mark",
        "end_need",
        "cut_back",
        "diameter_after",
        "removal_radial",
        "usable_length_after",
        "rake_on_face",
        "zero_rake_diameter",
        "flute_depth_after",
        "core_ratio",
        "helix_after",
        "land_after",
        "heel_drop",
        "limit_diameter",
        "limit_rake_deg",
        "limit_flute_depth",
        "limit_usable_length",
        "regrinds_left",
        "verdict",
    ]
    assert all(step.formula and step.source for step in steps)


def test_the_numbers_of_each_step_give_its_result():
    answer, steps = _steps(CASE)
    readings = [_numbers(step)["h_i"] for step in _named(steps, "tooth_radius")]
    for step in _named(steps, "tooth_radius"):
        n = _numbers(step)
        assert step.result == pytest.approx(n["D"] / 2 - sum(readings) / 3 + n["h_i"], abs=1e-9)
    arc = _named(steps, "face_arc")[0]
    n = _numbers(arc)
    expected = (n["r"] ** 2 - n["r_c"] ** 2) / (2 * (n["r_c"] + n["r"] * math.sin(math.radians(n["γ"]))))
    assert arc.result == pytest.approx(expected)
    wear = _named(steps, "depth_of_mark")[1]
    n = _numbers(wear)
    tangent = math.tan(math.radians(n["α₁"]))
    assert wear.result == pytest.approx(n["VB"] * tangent / (1 - tangent * math.tan(math.radians(n["γ"]))))
    n = _numbers(_named(steps, "diameter_after")[0])
    assert 2 * (n["min"] - n["finish"]) == pytest.approx(answer["options"][0]["diameter_mm"])
    n = _numbers(_named(steps, "usable_length_after")[0])
    assert n["flute"] - n["c"] - n["stylus"] == pytest.approx(answer["options"][0]["usable_length_mm"])


def test_stored_numbers_are_given_as_they_were_stored():
    answer = as_dict(work_out(read(CASE)))
    answer["options"][0]["rake_deg"] = 3.2
    answer["options"][0]["limits"][0]["margin"] = 0.5
    steps = list_steps(CASE, answer, 0)
    assert _named(steps, "rake_on_face")[0].result == 3.2
    assert _numbers(_named(steps, "limit_diameter")[0])["margin"] == 0.5


def test_a_bare_tool_with_a_total_reading_explains_its_range_and_its_carried_rake():
    case = change(CASE, "measured", {"diameter": "0.2498 in", "method": "v-anvil", "tir": "4 tenths"})
    case["tool"] = {key: CASE["tool"][key] for key in ("kind", "teeth", "nominal_diameter", "flute_length")}
    answer, steps = _steps(case)
    low, high = (_named(steps, name)[0].result for name in ("low_tooth_lowest", "low_tooth_highest"))
    assert low == pytest.approx(3.17246 - 0.01016 * 2 / 3)
    assert high == pytest.approx(3.17246 - 0.01016 / 3)
    assert len(_named(steps, "rake_carried")) == 1
    assert _named(steps, "removal_radial_most")[0].result == answer["options"][0]["removal_radial_range_mm"][1]


def test_a_straight_and_a_measured_face_say_so():
    straight = change(CASE, "tool.rake_deg", -30)
    straight["tool"]["core_diameter"] = "1 mm"
    assert "straight" in _named(_steps(straight)[1], "face_arc")[0].formula
    measured = change(CASE, "tool.face_arc_radius", "1.4 mm")
    assert _named(_steps(measured)[1], "face_arc")[0].result == pytest.approx(1.4)


def test_sides_left_alone_explain_no_stock():
    _, steps = _steps(CASE, 2)
    assert [step.result for step in _named(steps, "removal_radial")] == [0, 0, 0]
    assert _named(steps, "diameter_after")[0].result == pytest.approx(6.35508)


def test_an_option_that_is_not_there_is_refused():
    answer = as_dict(work_out(read(CASE)))
    for option in (-1, 3):
        with pytest.raises(Refused):
            list_steps(CASE, answer, option)
    answer["options"][0]["cut_back_mm"] = 0.1
    with pytest.raises(Refused):
        list_steps(CASE, answer, 0)
