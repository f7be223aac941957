"""The plan from outside: the command's answers to generated cases against the slow model's, key by key.

The slow model is written from the papers alone, by other methods than the program (vectors, bisection, small steps,
every option tried). `start.py test --full` tries some ten times as many.
"""

from __future__ import annotations

import json

import pytest

from tests.geometry.case_maker import CaseMaker
from tests.geometry.slow_compare import as_lines, differences, run_plan
from tests.geometry.slow_model import answer
from tests.geometry.slow_section import (
    draw_face,
    heel_drop,
    land_after,
    rake_deg,
    worn_depth,
    worn_past_heel,
    zero_rake_radius,
)
from tests.long_form import FULL

BATCHES, CASES_IN_BATCH = (4, 1000) if FULL else (1, 200)


def test_slow_model_gives_the_papers_worked_examples() -> None:
    face = draw_face(3.175, 8, 1.905, None)
    assert face.arc_radius == pytest.approx(1.3745, abs=5e-5)
    assert 2 * zero_rake_radius(face) == pytest.approx(5.9551, abs=5e-5)
    assert rake_deg(face, 3.048) == pytest.approx(2.903, abs=5e-4)
    assert rake_deg(face, 2.921) == pytest.approx(-2.381, abs=5e-4)
    assert not worn_past_heel(0.1016, 0.254, 12, 8)
    width = land_after(face, 3.175 - 0.0508, 0.254, 12, 24)
    assert width == pytest.approx(0.4695, abs=5e-5)
    assert heel_drop(3.1242, width, 12) == pytest.approx(0.0630, abs=5e-5)
    assert worn_depth(0.1016, 0.254, 12, None, 8) == pytest.approx(0.02226, abs=5e-6)


@pytest.mark.parametrize("seed", range(BATCHES))
def test_program_agrees_with_slow_model(seed: int, tmp_path) -> None:
    maker = CaseMaker(seed)
    cases = [maker.case() for _ in range(CASES_IN_BATCH)]
    status, answers, errors = run_plan(as_lines(cases), tmp_path)
    assert (status, errors[:3]) == (0, [])
    assert sorted(answers) == list(range(1, len(cases) + 1))
    _expect_none(_all_differences(cases, answers, with_defaults=False))


@pytest.mark.parametrize("seed", range(100, 100 + BATCHES))
def test_program_agrees_where_it_takes_its_own_defaults(seed: int, tmp_path) -> None:
    maker = CaseMaker(seed)
    cases = [maker.case_with_gaps() for _ in range(CASES_IN_BATCH // 3)]
    status, answers, errors = run_plan(as_lines(cases), tmp_path)
    assert (status, errors[:3]) == (0, [])
    _expect_none(_all_differences(cases, answers, with_defaults=True))


# A small measured arc ends above the new radius, and that radius rests on the default secondary relief through a
# wear land past the heel: nothing that rests on a default may be scrapped.
ARC_ENDS_ABOVE_A_RADIUS_BY_DEFAULT = {
    "tool": {
        "kind": "end mill",
        "teeth": 4,
        "material": "carbide",
        "nominal_diameter": "10 mm",
        "hand_of_cut": "right",
        "hand_of_helix": "right",
        "helix_deg": 30,
        "core_diameter": "5.78 mm",
        "rake_deg": 8,
        "primary_relief_deg": 12,
        "primary_land": "223 um",
        "face_arc_radius": "595 um",
        "flute_length": "28 mm",
    },
    "measured": {"diameter": "10 mm", "method": "swept"},
    "damage": [{"tooth": 4, "from": "3 mm", "to": "28 mm", "wear_land": "347 um", "what": "wear land"}],
    "allow": {"finish_radial": "1.128 mm", "stylus_distance": "0.473 mm", "finish_end": "50 um"},
    "limits": {"rake_deg": 0},
}
# On a large measured arc the rake falls under its limit at the first regrind and is above it again at the ninth.
RAKE_FALLS_AND_RISES = {
    "tool": {
        "kind": "end mill",
        "teeth": 4,
        "material": "carbide",
        "nominal_diameter": "57.15 mm",
        "hand_of_cut": "right",
        "hand_of_helix": "right",
        "helix_deg": 0,
        "core_diameter": "33.88 mm",
        "rake_deg": 7.9,
        "primary_relief_deg": 12,
        "secondary_relief_deg": 24,
        "primary_land": "0.955 mm",
        "face_arc_radius": "174.2 mm",
        "flute_length": "75 mm",
    },
    "measured": {"diameter": "57.15 mm", "method": "swept"},
    "damage": [{"end_depth": "1 mm", "what": "end wear"}],
    "allow": {"finish_radial": "0 mm", "stylus_distance": "1.5 mm", "finish_end": "0 mm"},
    "limits": {"rake_deg": 7.9},
    "typical": {"stock_radial": "1.24 mm"},
}


def test_an_arc_that_ends_above_a_radius_resting_on_a_default_asks(tmp_path) -> None:
    _expect_agreement(ARC_ENDS_ABOVE_A_RADIUS_BY_DEFAULT, tmp_path)


def test_regrinds_are_counted_up_to_the_first_that_fails(tmp_path) -> None:
    _expect_agreement(RAKE_FALLS_AND_RISES, tmp_path)


def _expect_agreement(case: dict, directory) -> None:
    _, answers, _ = run_plan(as_lines([case]), directory)
    _expect_none(differences(answers[1], answer(case, answers[1]["defaults"])))


def _all_differences(cases: list[dict], answers: dict[int, dict], *, with_defaults: bool) -> list[str]:
    found = []
    for line, case in enumerate(cases, start=1):
        got = answers[line]
        assert with_defaults or got["defaults"] == []
        texts = differences(got, answer(case, got["defaults"]))
        found += [f"case {line}: {text}\n  {json.dumps(case)}" for text in texts]
    return found


def _expect_none(found: list[str]) -> None:
    assert not found, f"{len(found)} differences, among them:\n" + "\n".join(found[:5])
