"""Options with another corner and on the face are explained: each step holds by its own formula and stored result."""

import math

import pytest

from regrind.bench.planning.step_words import LIMITS, PARTS, STEPS
from regrind.geometry.bibliography import UNNAMED, short_reference
from regrind.geometry.case import read
from regrind.geometry.example import CORNER_CASE
from regrind.geometry.explain import list_steps
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from tests.geometry.tool_strategies import change

WEAR = {"tooth": 2, "from": "0 mm", "to": "9 mm", "wear_land": "0.2 mm"}
SQUARE = {"form": "square"}


def _list_cases():
    chamfer = change(CORNER_CASE, "tool.corner", {"form": "chamfer", "width": "0.6 mm"})
    chamfer["damage"][0] = {"tooth": 2, "from": "0 mm", "to": "0.8 mm", "depth": "0.08 mm"}
    chamfer["accept"] = [{"form": "chamfer", "width": "0.4 mm"}, {"form": "chamfer", "width": "1.2 mm"}]
    square = change(chamfer, "tool.corner", SQUARE)
    square["accept"] = [{"form": "chamfer", "width": "1 mm"}, {"form": "radius", "radius": "1 mm"}]
    face = change(square, "damage", [WEAR, {"end_depth": "0.1 mm", "tooth": 4}])
    face |= {"ways": ["flank", "face"], "accept": []}
    face["tool"]["tooth_width"] = "2 mm"
    return {
        "radius": CORNER_CASE,
        "sharper": change(CORNER_CASE, "accept", [{"form": "radius", "radius": "0.5 mm"}]),
        "chamfer": chamfer,
        "ball": change(CORNER_CASE, "tool.corner", {"form": "ball"}),
        "square": square,
        "face": face,
        "spiral": change(face, "tool.relief_form", "spiral"),
        "past": change(face, "damage", [WEAR | {"wear_land": "0.5 mm"}]),
    }


def _explain_all():
    for name, case in _list_cases().items():
        answer = as_dict(work_out(read(case)))
        for index, option in enumerate(answer["options"]):
            yield pytest.param(option, list_steps(case, answer, index), id=f"{name}-{index}")


EXPLAINED = list(_explain_all())
FLANK, FACE = ([row for row in EXPLAINED if row.values[0]["way"] == way] for way in ("flank", "face"))


def _numbers(step):
    return {number.symbol: number.value for number in step.numbers}


def _named(steps, *names):
    return [step for step in steps if step.name in names]


def _tan(degrees):
    return math.tan(math.radians(degrees))


def test_every_form_and_both_ways_are_among_the_cases():
    options = [row.values[0] for row in EXPLAINED]
    assert {option["corner_form"] for option in options} == {"square", "chamfer", "radius", "ball"}
    assert {option["way"] for option in options} == {"flank", "face"}
    names = {step.name for row in EXPLAINED for step in row.values[1]}
    assert names >= {"radius_of_mark", "need_of_mark", "need_of_corner", "back_of_mark", "gash_left", "end_need"}


@pytest.mark.parametrize(("option", "steps"), EXPLAINED)
def test_every_step_has_its_words_and_its_source(option, steps):
    for step in steps:
        named = LIMITS if step.name.startswith("limit_") else STEPS
        assert step.name.removeprefix("limit_") in named
        assert step.name in PARTS or named is LIMITS
        assert short_reference(step.source) is not UNNAMED
        assert step.formula


def _find_need(form, n):
    """The least cut-back that takes the point (z, x), written out again from the notes."""
    z, x, sides = n["z"], n["x"], n["R"]
    if form == "chamfer":
        return z - max(0, n["w"] - (sides - x))
    arc = sides if form == "ball" else n.get("ρ", 0.0)
    inside = x - (sides - arc)
    return z if inside <= 0 else z - arc + math.sqrt(arc**2 - inside**2)


def _find_radius(form, n):
    """The largest radius of the sides that takes the point (z, x) with the end cut at e."""
    behind, x = n["z"] - n["e"], n["x"]
    if form == "chamfer":
        return x + max(0, n["w"] - behind)
    if form == "ball":
        return x if x < behind else (behind**2 + x**2) / (2 * behind)
    before = n.get("ρ", 0.0) - behind
    return x if before <= 0 else x + n["ρ"] - math.sqrt(n["ρ"] ** 2 - before**2)


def _find_put_on(n):
    """The least cut-back at which a sharper corner lies within the old one."""
    if "w" in n:
        return n["w"] - n["w'"] - (n["r_i"] - n["R"])
    inside = n["Δ"] - (n["r_i"] - n["R"])
    return n["Δ"] - math.sqrt(n["Δ"] ** 2 - inside**2)


@pytest.mark.parametrize(("option", "steps"), FLANK)
def test_what_marks_and_corner_need_follows_from_their_numbers(option, steps):
    form = option["corner_form"]
    for step in _named(steps, "need_of_mark"):
        if step.result is not None and "x" in _numbers(step):
            assert step.result == pytest.approx(_find_need(form, _numbers(step)), abs=1e-9)
    for step in _named(steps, "radius_of_mark"):
        if step.result is not None and "z" in _numbers(step):
            assert step.result == pytest.approx(_find_radius(form, _numbers(step)), abs=1e-9)
    for step in _named(steps, "need_of_corner"):
        if step.result is not None:
            assert step.result == pytest.approx(_find_put_on(_numbers(step)), abs=1e-9)


@pytest.mark.parametrize(("option", "steps"), [row for row in FLANK if row.values[0]["corner_form"] != "square"])
def test_the_cut_back_is_the_largest_need_and_the_finish(option, steps):
    cut = _named(steps, "cut_back")[0]
    needs = [step.result for step in _named(steps, "need_of_mark", "need_of_corner", "end_need")]
    largest = max((need for need in needs if need is not None), default=-math.inf)
    finish = _numbers(cut)["finish_end"]
    assert cut.result == option["cut_back_mm"] == pytest.approx(max(0.0, largest + finish), abs=1e-9)


@pytest.mark.parametrize(("option", "steps"), FLANK)
def test_the_diameter_follows_from_what_holds_the_sides(option, steps):
    diameter = _named(steps, "diameter_after")[0]
    n = _numbers(diameter)
    expected = n["min"] - n["finish"] if option["sides"] else n["r_max"]
    assert diameter.result == option["diameter_mm"] == pytest.approx(2 * expected, abs=1e-9)
    usable = _named(steps, "usable_length_after")[0]
    n = _numbers(usable)
    assert usable.result == option["usable_length_mm"] == pytest.approx(n["flute"] - n["c"] - n["stylus"], abs=1e-9)


@pytest.mark.parametrize(("option", "steps"), FACE)
def test_how_far_back_the_edge_goes_follows_from_the_mark(option, steps):
    for step in _named(steps, "back_of_mark"):
        n = _numbers(step)
        if "VB" in n:
            assert step.result == pytest.approx(n["VB"] + n["d"] * _tan(n["γ"]), abs=1e-9)
    back = _named(steps, "back_after")[0]
    n = _numbers(back)
    if n:
        tilt = math.cos(math.radians(n["α"])) / math.cos(math.radians(n["α"] + n["γ"]))
        assert back.result == pytest.approx(n["b"] + n["f"] * tilt, abs=1e-9)


@pytest.mark.parametrize(("option", "steps"), FACE)
def test_diameter_and_relief_follow_from_the_new_edge(option, steps):
    diameter, relief = _named(steps, "diameter_after", "face_relief")
    n = _numbers(diameter)
    flat = math.hypot(n["b'"], n["r"] - n["D_b"]) if "D_b" in n else n["r"] - n["b'"] * _tan(n["α"])
    assert diameter.result == option["diameter_mm"] == pytest.approx(2 * flat, abs=1e-9)
    n = _numbers(relief)
    if "φ" in n:
        expected = n.get("α₂", n.get("α")) - n["φ"]
    else:
        expected = math.degrees(math.atan2(n["r"] * _tan(n["α"]), n["r'"]))
    assert relief.result == option["face_relief_deg"] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("option", "steps"), FACE)
def test_the_setup_of_the_face_follows_from_its_numbers(option, steps):
    over, rake, turn, stock = (
        _numbers(step) for step in _named(steps, "set_over", "face_rake", "face_turn", "face_stock")
    )
    leaning = math.degrees(math.asin(rake["e"] / rake["r'"]))
    assert option["set_over_mm"] == pytest.approx(over["r"] * math.sin(math.radians(over["γ"])), abs=1e-9)
    assert option["face_rake_deg"] == pytest.approx(leaning, abs=1e-9)
    assert option["face_turn_deg"] == pytest.approx(turn["φ"] - leaning + turn["γ"], abs=1e-9)
    tilted = math.sin(math.radians(stock["τ"] - stock["γ"]))
    assert option["face_stock_mm"] == pytest.approx(stock["e"] + stock["r"] * tilted, abs=1e-9)


def test_a_face_past_the_primary_land_stands_on_the_secondary():
    reliefs = [_named(row.values[1], "face_relief")[0] for row in FACE if row.id.startswith("past")]
    assert reliefs
    assert all("α₂" in _numbers(relief) for relief in reliefs)
