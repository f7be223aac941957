"""Uncertainties against the plan itself, moved a little by every input in turn (central differences)."""

import dataclasses
import math
import random

import pytest

from regrind.geometry.case import read
from regrind.geometry.cleanup import list_options
from regrind.geometry.errors import Refused
from regrind.geometry.example import CASE
from regrind.geometry.inputs import Case
from regrind.geometry.limits import check_limits
from regrind.geometry.tool_state import build_state
from regrind.geometry.uncertainty import find_standard_uncertainties
from tests.geometry.case_maker import CaseMaker
from tests.geometry.tool_strategies import change
from tests.long_form import FULL

STEP_NM = 200


def _values(case: Case) -> dict[tuple[int, str], float]:
    """Every limit's value, by the option's depth of cut and the limit's name."""
    tool_state = build_state(case)
    inputs = find_standard_uncertainties(tool_state)
    return {
        (cut_option.cut_back_nm, line.limit): line.value
        for cut_option in list_options(tool_state)
        for line in check_limits(tool_state, cut_option, inputs)
    }


def _movable(case: Case):
    """(standard uncertainty in nm or degrees, step, function that moves the case) for every input that is given."""
    u, replace = case.uncertainty, dataclasses.replace
    measured, tool = case.measured, case.tool

    def reading(index):
        def moved(by):
            readings = list(measured.tooth_readings_nm)
            readings[index] += by
            return replace(case, measured=replace(measured, tooth_readings_nm=tuple(readings)))

        return moved

    def mark(index, key):
        def moved(by):
            marks = list(case.marks)
            marks[index] = replace(marks[index], **{key: getattr(marks[index], key) + by})
            return replace(case, marks=tuple(marks))

        return moved

    def part(key):
        return lambda by: replace(case, tool=replace(tool, **{key: getattr(tool, key) + by}))

    yield (
        u.diameter_nm,
        STEP_NM,
        lambda by: replace(case, measured=replace(measured, diameter_nm=measured.diameter_nm + by)),
    )
    for index in range(len(measured.tooth_readings_nm or ())):
        yield u.tooth_reading_nm, STEP_NM, reading(index)
    for index, item in enumerate(case.marks):
        key = "depth_radial_nm" if item.wear_land_nm is None else "wear_land_nm"
        yield u.depth_nm if item.wear_land_nm is None else u.wear_land_nm, STEP_NM, mark(index, key)
    yield u.core_diameter_nm, STEP_NM, part("core_diameter_nm")
    yield u.rake_deg, 1e-4, part("rake_deg")


def _no_ties(case: Case) -> bool:
    """Differences say nothing at a tie: teeth, pairs and edges must be apart by more than the steps."""
    readings = case.measured.tooth_readings_nm or ()
    half = len(readings) // 2
    sums = [readings[i] + readings[i + half] for i in range(half)]
    return len(set(readings)) == len(readings) and len(set(sums)) == len(sums)


def test_the_expanded_uncertainty_is_that_of_small_steps():
    compared, seed = 0, 0
    while compared < (1500 if FULL else 60):
        case = read(CaseMaker(seed).case())
        seed += 1
        if not _no_ties(case) or case.measured.tir_nm is not None:
            continue
        compared += _compare(case)


def _compare(case: Case) -> int:
    tool_state = build_state(case)
    inputs, cut_options = find_standard_uncertainties(tool_state), list_options(tool_state)
    if any(len(cut_option.worst.edges) > 1 for cut_option in cut_options):
        return 0
    before = _values(case)
    squares = dict.fromkeys(before, 0.0)
    for uncertainty, step, moved in _movable(case):
        try:
            up, down = _values(moved(step)), _values(moved(-step))
        except Refused:
            return 0
        if up.keys() != before.keys() or down.keys() != before.keys() or _has_kink(before, up, down):
            return 0
        for key in before:
            squares[key] += ((up[key] - down[key]) / (2 * step) * uncertainty) ** 2
    for cut_option in cut_options:
        for line in check_limits(tool_state, cut_option, inputs):
            if line.limit not in ("usable_length", "flute_floor") and line.value > -89:
                expected = 2 * math.sqrt(squares[cut_option.cut_back_nm, line.limit])
                assert line.expanded_uncertainty == pytest.approx(expected, rel=2e-3, abs=2e-6), (case, line)
    return 1


def _has_kink(before, up, down) -> bool:
    """Whether a bend lies within a step, as where wear reaches past the land or another mark becomes the worst: the
    slope of either side is then right, and the mean of both is of neither."""
    return any(
        abs((up[key] - before[key]) - (before[key] - down[key])) > 1e-2 * abs(up[key] - down[key]) + 1e-9
        for key in before
    )


def test_the_worked_example_gives_the_papers_uncertainty():
    """Source: plan interface: 0.0066 on the diameter; by hand 2 sqrt(u_D^2 + 4 (2/3) u_h^2)."""
    tool_state = build_state(read(CASE))
    line = check_limits(tool_state, list_options(tool_state)[0], find_standard_uncertainties(tool_state))[0]
    assert line.expanded_uncertainty == pytest.approx(0.0066, abs=5e-5)
    assert line.expanded_uncertainty == pytest.approx(2 * math.sqrt(0.00254**2 + 4 * 2 / 3 * 0.00127**2), abs=1e-9)


def test_the_usable_length_follows_the_flute_and_the_ends_own_damage():
    case = change(CASE, "uncertainty", {"flute_length": "0.02 mm", "depth": "0.03 mm"})
    tool_state = build_state(read(case))
    inputs = find_standard_uncertainties(tool_state)
    found = [
        next(line for line in check_limits(tool_state, cut_option, inputs) if line.limit == "usable_length")
        for cut_option in list_options(tool_state)
    ]
    assert found[0].expanded_uncertainty == pytest.approx(2 * math.hypot(0.02, 0.03), abs=1e-9)
    assert found[1].expanded_uncertainty == pytest.approx(0.04, abs=1e-9)  # a mark's far end carries none


def test_a_random_draw_of_the_inputs_spreads_as_far_as_said():
    """Monte Carlo over diameter and readings: the spread of the clean diameter is the standard uncertainty."""
    chance = random.Random(5)
    case = read(CASE)
    drawn = []
    for _ in range(4000):
        readings = tuple(round(h + chance.gauss(0, 1270)) for h in case.measured.tooth_readings_nm)
        measured = dataclasses.replace(
            case.measured,
            tooth_readings_nm=readings,
            diameter_nm=round(case.measured.diameter_nm + chance.gauss(0, 2540)),
        )
        drawn.append(2 * list_options(build_state(dataclasses.replace(case, measured=measured)))[0].worst.radius_mm)
    mean = sum(drawn) / len(drawn)
    spread = math.sqrt(sum((value - mean) ** 2 for value in drawn) / len(drawn))
    tool_state = build_state(case)
    line = check_limits(tool_state, list_options(tool_state)[0], find_standard_uncertainties(tool_state))[0]
    assert 2 * spread == pytest.approx(line.expanded_uncertainty, rel=0.06)


def test_what_would_settle_a_line_comes_largest_first_and_says_what_is_left():
    tool_state = build_state(read(CASE))
    line = check_limits(tool_state, list_options(tool_state)[0], find_standard_uncertainties(tool_state))[0]
    assert [item.measure for item in line.settle] == ["diameter", "tooth_reading"]
    assert line.settle[0].now == pytest.approx(line.expanded_uncertainty, abs=1e-9)
    assert line.settle[0].then == pytest.approx(2 * math.sqrt(4 * 2 / 3) * 0.00127, abs=1e-9)
