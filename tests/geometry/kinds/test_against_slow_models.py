"""Every kind against a slow model of its own: points and lines, halving, small steps, every set of marks tried.

`start.py test --full` tries 3,000 cases a kind.
"""

from __future__ import annotations

import json

import pytest

from regrind.geometry.json_cli import answer_cases
from tests.geometry.kinds.kind_cases import KindCases
from tests.geometry.kinds.slow_common import differences
from tests.geometry.kinds.slow_cutter import SlowCutter
from tests.geometry.kinds.slow_drill import SlowDrill
from tests.geometry.kinds.slow_face_and_front import answer_countersink, answer_tap
from tests.geometry.kinds.slow_reamer import SlowReamer
from tests.long_form import FULL

CASES = 3_000 if FULL else 100
MODELS = {
    "drill": (lambda case: SlowDrill(case).answer(), ("usable_length", "diameter", "hole_depth")),
    "reamer": (lambda case: SlowReamer(case).answer(), ("usable_length", "diameter")),
    "cutter": (lambda case: SlowCutter(case).answer(), ("diameter", "width", "gullet_depth", "reach")),
    "countersink": (answer_countersink, ("diameter", "tooth_thickness")),
    "tap": (answer_tap, ()),
}


@pytest.mark.parametrize("kind", MODELS)
def test_program_agrees_with_slow_model(kind: str) -> None:
    model, names = MODELS[kind]
    maker = KindCases(sum(map(ord, kind)))
    cases = []
    for _ in range(CASES):
        case = getattr(maker, kind)()
        options = model(case)["options"]
        cases.append(maker.limits(case, maker.rng.choice(options or [None]), names))
    results = list(answer_cases("".join(json.dumps(case) + "\n" for case in cases).encode()))
    assert len(results) == len(cases)
    found, grounds = [], set()
    for case, result in zip(cases, results, strict=True):
        assert result.refused is None, f"{result.refused}\n{json.dumps(case)}"
        want = model(case)
        grounds |= {tuple(option["grind"]) for option in want["options"]}
        found += [f"{text}\n  {json.dumps(case)}" for text in differences(result.answer, want)]
    assert not found, f"{len(found)} differences, among them:\n" + "\n".join(found[:5])
    assert len(grounds) > 1, "only sound tools, or none of them"
