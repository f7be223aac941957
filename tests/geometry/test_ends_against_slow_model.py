"""Corners, end teeth and faces from outside: the command's answers to generated cases against the slow model's.

The slow model is written from the papers alone, by other formulas (angles and looking closer instead of squares and
roots, vectors instead of angles, small steps instead of derivatives). `start.py test --full` tries some ten times as
many.
"""

from __future__ import annotations

import json

import pytest

from regrind.geometry.case import read
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from tests.geometry.end_maker import EndMaker
from tests.geometry.slow_compare import as_lines, differences, run_plan
from tests.geometry.slow_end_answer import answer
from tests.long_form import FULL

BATCHES, CASES_IN_BATCH = (12, 250) if FULL else (1, 100)


@pytest.mark.parametrize("face", [False, True])
@pytest.mark.parametrize("seed", range(BATCHES))
def test_program_agrees_with_slow_model(seed: int, face: bool, tmp_path) -> None:
    maker = EndMaker(seed)
    cases = [maker.case(face) for _ in range(CASES_IN_BATCH)]
    _, answers, errors = run_plan(as_lines(cases), tmp_path)
    assert errors[:3] == []
    found = []
    for line, case in enumerate(cases, start=1):
        texts = _compare(answers[line], answer(case))
        found += [f"case {line}: {text}\n  {json.dumps(case)}" for text in texts]
    assert not found, f"{len(found)} differences, among them:\n" + "\n".join(found[:8])


@pytest.mark.parametrize(
    ("seed", "number", "face"), [(3, 153, True), (4, 107, False), (15, 149, False), (17, 16, True)]
)
def test_small_steps_are_small_enough_where_a_need_bends_and_large_enough_where_slopes_cancel(
    seed: int, number: int, face: bool
) -> None:
    maker = EndMaker(seed)
    case = [maker.case(face) for _ in range(number)][-1]
    assert _compare(as_dict(work_out(read(case))), answer(case)) == []


@pytest.mark.parametrize(("seed", "number"), [(10, 177), (11, 35), (11, 216), (12, 230)])
def test_ties_along_an_arc_and_on_the_end_take_the_largest_uncertainty(seed: int, number: int) -> None:
    """Marks of one depth whose whole arc, or whose end marks, need the same: each end of the tie counts by itself."""
    maker = EndMaker(seed)
    case = [maker.case(False) for _ in range(number)][-1]
    assert _compare(as_dict(work_out(read(case))), answer(case)) == []


def _compare(got: dict, want: dict) -> list[str]:
    """As the plain comparison, but what the whole case lacks is told after the recommended option's reasons."""
    lacks = want.get("lacks", [])
    if want["recommended"] is None:
        same = not got["options"] and got["reasons"] == want["reasons"] and got["verdict"] == "scrap"
        return [] if same else [f"{got['reasons']} {len(got['options'])} options but the model has {want['reasons']}"]
    told = got["reasons"][len(got["reasons"]) - len(lacks) :]
    if told != lacks:
        return [f"reasons: {got['reasons']} do not end in {lacks}"]
    return differences({**got, "reasons": got["reasons"][: len(got["reasons"]) - len(lacks)]}, want)
