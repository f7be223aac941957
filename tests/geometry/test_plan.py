"""The plan whole: the worked example, and what must hold for any tool at all."""

import copy
import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from regrind.geometry.case import read
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE
from regrind.geometry.handbook import find_handbook_relief
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.geometry.units import parse
from tests.geometry.tool_strategies import cases, change, mm
from tests.long_form import FULL

MANY = settings(max_examples=2_000 if FULL else 100, deadline=None)
LENGTHS = ("nominal_diameter", "core_diameter", "primary_land", "flute_length", "face_arc_radius")


def _plan(case):
    try:
        return as_dict(work_out(read(case)))
    except Refused:
        return None


def _numbers(value):
    if isinstance(value, dict):
        for part in value.values():
            yield from _numbers(part)
    elif isinstance(value, list):
        for part in value:
            yield from _numbers(part)
    elif isinstance(value, float):
        yield value


def test_the_worked_example():
    """Source: geometry paper, section 9, and the shape of the plan interface."""
    answer = _plan(CASE)
    first, second, third = answer["options"]
    for option, cut_back, diameter, usable, rake in (
        (first, 0.3048, 6.1163, 17.221, 3.225),
        (second, 1.5748, 6.2629, 15.951, 6.172),
        (third, 7.6708, 6.3551, 11.379, 8.000),
    ):
        assert option["cut_back_mm"] == pytest.approx(cut_back, abs=5e-5)
        assert option["diameter_mm"] == pytest.approx(diameter, abs=5e-5)
        assert option["usable_length_mm"] == pytest.approx(usable, abs=5e-4)
        assert option["rake_deg"] == pytest.approx(rake, abs=5e-4)
    assert first["removal_radial_mm"] == pytest.approx([0.1194, 0.1143, 0.1092], abs=5e-5)
    assert first["zero_rake_diameter_mm"] == pytest.approx(5.959, abs=5e-4)
    assert first["flute_depth_mm"] == pytest.approx(1.153, abs=5e-4)
    assert first["core_ratio"] == pytest.approx(0.623, abs=5e-4)
    line = first["limits"][0]
    assert (line["limit"], line["verdict"], line["at_least"]) == ("diameter", "inside", 5.842)
    assert (line["margin"], line["expanded_uncertainty"]) == pytest.approx((0.2743, 0.0066), abs=5e-5)
    assert (first["regrinds_left"], first["verdict"], first["reasons"]) == (1, "grind", [])
    assert (first["sides"], first["end"], third["sides"], third["end"]) == (True, True, False, True)
    assert third["secondary_needed"] is False


@MANY
@given(cases(whole=False))
def test_numbers_are_finite_stock_never_negative_and_every_verdict_has_its_margin(case):
    answer = _plan(case)
    if answer is None:
        return
    json.dumps(answer, allow_nan=False)
    assert all(math.isfinite(number) for number in _numbers(answer))
    for option in answer["options"]:
        stock = option["removal_radial_mm"] or option["removal_radial_range_mm"]
        assert all(part >= 0 for part in stock)
        assert option["cut_back_mm"] >= 0
        assert option["usable_length_mm"] > 0
        assert option["diameter_worst_mm"] <= option["diameter_best_mm"] + 1e-9
        assert all(line["expanded_uncertainty"] >= 0 and line["margin"] is not None for line in option["limits"])
    rests = {default["field"] for default in answer["defaults"]}
    if {"core_diameter", "rake_deg"} <= rests:
        assert all(option["verdict"] != "scrap" for option in answer["options"])


@MANY
@given(cases(uncertain=False))
def test_without_uncertainty_nothing_is_too_close_to_call(case):
    answer = _plan(case)
    for option in answer["options"] if answer else ():
        assert all(line["verdict"] != "too_close" for line in option["limits"])
        assert all(line["expanded_uncertainty"] == 0 for line in option["limits"])


def _largest(answer, most_cut_back=math.inf):
    return max(
        (option["diameter_mm"] for option in answer["options"] if option["cut_back_mm"] <= most_cut_back), default=0.0
    )


@MANY
@given(cases(), st.data())
def test_more_damage_never_gives_a_larger_diameter(case, data):
    worse = copy.deepcopy(case)
    sides = [mark for mark in worse["damage"] if "depth" in mark or "wear_land" in mark]
    if not sides:
        return
    mark = data.draw(st.sampled_from(sides))
    key = "depth" if "depth" in mark else "wear_land"
    mark[key] = mm(parse(mark[key]).nm + data.draw(st.integers(1, 200_000)))
    before, after = _plan(case), _plan(worse)
    if before is None or after is None:
        return
    for most in {math.inf, *(option["cut_back_mm"] for option in before["options"] + after["options"])}:
        assert _largest(after, most) <= _largest(before, most) + 1e-9


@MANY
@given(cases())
def test_more_cut_back_never_gives_a_smaller_diameter(case):
    answer = _plan(case)
    diameters = [option["diameter_mm"] for option in answer["options"]] if answer else []
    assert diameters == sorted(diameters)


@MANY
@given(cases(), st.integers(1, 7))
def test_rotating_the_order_of_the_teeth_changes_nothing(case, by):
    teeth = case["tool"]["teeth"]
    turned = copy.deepcopy(case)
    if "tooth_readings" in turned["measured"]:
        readings = turned["measured"]["tooth_readings"]
        turned["measured"]["tooth_readings"] = [readings[(tooth - by) % teeth] for tooth in range(teeth)]
    for mark in turned["damage"]:
        if "tooth" in mark:
            mark["tooth"] = (mark["tooth"] - 1 + by) % teeth + 1
    before, after = _plan(case), _plan(turned)
    if before is None:
        assert after is None
        return
    for answer in (before, after):
        for option in answer["options"]:
            option["removal_radial_mm"] = sorted(option["removal_radial_mm"] or ())
    assert after == before


@MANY
@given(cases(), st.sampled_from([2, 3, 10]))
def test_scaling_every_length_scales_every_length_of_the_answer(case, factor):
    case["limits"].pop("published_reduction")
    before, after = _plan(case), _plan(_scale(case, factor))
    if before is None:
        assert after is None
        return
    assert [option["verdict"] for option in after["options"]] == [option["verdict"] for option in before["options"]]
    for small, large in zip(before["options"], after["options"], strict=True):
        for key in ("cut_back_mm", "diameter_mm", "usable_length_mm", "primary_land_mm", "heel_drop_mm"):
            if small[key] is not None and large[key] is not None:
                assert large[key] == pytest.approx(factor * small[key], rel=1e-6, abs=1e-9)
        assert large["rake_deg"] == pytest.approx(small["rake_deg"], abs=1e-6)
        assert large["regrinds_left"] == small["regrinds_left"]


def _scale(value, factor):
    if isinstance(value, dict):
        return {key: part if key == "what" else _scale(part, factor) for key, part in value.items()}
    if isinstance(value, list):
        return [_scale(part, factor) for part in value]
    if isinstance(value, str) and value.endswith(" mm"):
        return mm(parse(value).nm * factor)
    return value


@MANY
@given(cases())
def test_inch_and_millimetre_entry_agree_to_the_nanometre(case):
    """Lengths moved to the nearest 1/100,000 in, spelled once in inches and once in millimetres."""
    inches, metric = _respell(case, inch=True), _respell(case, inch=False)
    assert _plan(inches) == _plan(metric)


def _respell(value, *, inch):
    if isinstance(value, dict):
        return {key: _respell(part, inch=inch) for key, part in value.items()}
    if isinstance(value, list):
        return [_respell(part, inch=inch) for part in value]
    if isinstance(value, str) and value.endswith(" mm"):
        steps = parse(value).nm // 254
        return f"{'-' if steps < 0 else ''}{abs(steps) / 100_000:.5f} in" if inch else mm(steps * 254)
    return value


def test_the_secondary_is_needed_where_the_land_passes_the_handbooks_widest():
    """Source: shared/01 (memory), the row of the largest diameter not above the new one; none below 1/16 in."""
    first = _plan(CASE)["options"][0]
    assert find_handbook_relief(first["diameter_mm"]).widest_land_mm == pytest.approx(0.381)
    assert first["primary_land_mm"] > 0.381
    assert first["secondary_needed"] is True
    thin = _plan(change(CASE, "tool.primary_land", "0 in"))["options"][1]
    assert thin["primary_land_mm"] < 0.381
    assert thin["secondary_needed"] is False
    small = change(CASE, "tool", CASE["tool"] | {"nominal_diameter": "1.5 mm", "core_diameter": "0.8 mm"})
    small["measured"] = {"diameter": "1.5 mm", "method": "swept"}
    assert _plan(small)["options"][0]["secondary_needed"] is None


def test_with_one_relief_the_land_stays_and_the_heel_decides():
    case = change(CASE, "tool.secondary_relief_deg", None)
    option = _plan(case)["options"][0]
    assert option["primary_land_mm"] == pytest.approx(0.254)
    assert (option["secondary_needed"], option["heel_drop_mm"] > 0) == (False, True)
    wide = _plan(change(case, "tool.primary_land", "1.4 mm"))["options"][0]
    assert (wide["secondary_needed"], wide["heel_drop_mm"] < 0) == (True, True)
    assert _plan(change(case, "tool.primary_land", "1.4 mm"))["options"][2]["secondary_needed"] is False


def test_notes_tell_what_changes_no_verdict():
    case = change(CASE, "measured.shank_tir", "1 thou")
    case["tool"]["primary_relief_deg"] = 5
    option = _plan(case)["options"][0]
    assert {"relief_outside_table", "shank_runout"} <= set(option["notes"])
    assert option["verdict"] == "grind"


@pytest.mark.parametrize(
    ("runout", "notes"),
    [
        ("0.0005 in", ()),
        ("0.0006 in", ("shank_runout",)),
        ("0.00225 in", ("shank_runout",)),
        ("0.0023 in", ("shank_runout", "shank_runout_over_half_the_stock")),
    ],
)
def test_a_shanks_runout_is_set_beside_the_stock_that_is_to_come_off(runout, notes):
    """Three teeth alike: each gives .004 in of chip and .0005 in of finish: half of that is .00225 in."""
    case = change(CASE, "measured", {"diameter": "0.2498 in", "method": "v-anvil", "shank_tir": runout})
    case["damage"] = case["damage"][:1]
    sides, end = _plan(case)["options"]
    assert tuple(note for note in sides["notes"] if note.startswith("shank")) == notes
    assert tuple(note for note in end["notes"] if note.startswith("shank")) == notes[:1]


def test_with_a_total_reading_the_stock_is_a_range():
    case = change(CASE, "measured", {"diameter": "0.2498 in", "method": "v-anvil", "tir": "4 tenths"})
    first, *_, last = _plan(case)["options"]
    assert first["removal_radial_mm"] is None
    low, high = first["removal_radial_range_mm"]
    assert 0 <= low < high
    assert first["diameter_worst_mm"] == first["diameter_mm"] < first["diameter_best_mm"]
    assert last["removal_radial_range_mm"] == [0, 0]
