"""The plan from outside: every spoiled case is refused on a line of its own, and the good ones between are answered."""

from __future__ import annotations

import json
import re
import subprocess
import sys

import pytest

from tests.geometry.case_spoiler import BASE, Spoiled, spoiled_cases
from tests.geometry.end_spoiler import spoiled_ends
from tests.geometry.slow_compare import ROOT, run_plan

SPOILED = [*spoiled_cases(), *spoiled_ends()]
REFUSAL = re.compile(r"(?P<file>.+?):(?P<line>\d+): (?P<field>[^:]*): (?P<message>.+)")


@pytest.fixture(scope="module")
def outcome(tmp_path_factory) -> tuple[int, dict[int, dict], dict[int, list[str]]]:
    """One run over all spoiled cases, with the good case after each: status, answers, refusals by line."""
    good = json.dumps(BASE)
    text = "".join(f"{spoiled.text.replace(chr(10), ' ')}\n{good}\n" for spoiled in SPOILED)
    status, answers, errors = run_plan(text, tmp_path_factory.mktemp("refusals"))
    refusals: dict[int, list[str]] = {}
    for error in errors:
        found = REFUSAL.match(error)
        assert found, f"no refusal of the form FILE:LINE: field: message: {error[:300]}"
        refusals.setdefault(int(found["line"]), []).append(error)
    return status, answers, refusals


def test_status_tells_that_cases_were_refused(outcome) -> None:
    assert outcome[0] == 2


def test_good_cases_between_are_answered_and_bad_ones_print_nothing(outcome) -> None:
    assert sorted(outcome[1]) == [2 * i + 2 for i in range(len(SPOILED))]
    assert {answer["verdict"] for answer in outcome[1].values()} <= {"grind", "ask"}


def test_every_spoiled_case_is_refused_once_and_no_good_one(outcome) -> None:
    wrong = [
        f"{s.label}: {outcome[2].get(2 * i + 1, [])}"
        for i, s in enumerate(SPOILED)
        if len(outcome[2].get(2 * i + 1, [])) != 1
    ]
    assert not wrong, f"{len(wrong)} not refused with one line:\n" + "\n".join(wrong[:20])
    assert all(line % 2 for line in outcome[2])


def test_every_refusal_names_the_field_and_says_what_is_allowed(outcome) -> None:
    wrong = [text for i, s in enumerate(SPOILED) for text in _faults(s, outcome[2].get(2 * i + 1, []))]
    assert not wrong, f"{len(wrong)} refusals name the wrong field:\n" + "\n".join(wrong[:20])


def _faults(spoiled: Spoiled, refusals: list[str]) -> list[str]:
    faults = []
    for refusal in refusals:
        found = REFUSAL.match(refusal)
        named = re.findall(r"\w+", found["field"])
        if spoiled.field and not set(spoiled.field.split("|")) & set(named):
            faults.append(f"{spoiled.label}: {spoiled.field} not named in {refusal[:300]}")
        if spoiled.word not in found["message"]:
            faults.append(f"{spoiled.label}: no {spoiled.word!r} in {refusal[:300]}")
    return faults


def test_standard_input_and_a_single_object_over_many_lines() -> None:
    command = [sys.executable, "manage.py", "plan", "-"]
    text = json.dumps(BASE, indent=2)
    done = subprocess.run(command, cwd=ROOT, input=text, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["line"] == 1


def test_several_files_each_count_their_own_lines(tmp_path) -> None:
    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(BASE))
    bad.write_text("{}\n" + json.dumps(BASE) + "\n")
    command = [sys.executable, "manage.py", "plan", str(good), str(bad)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 2
    assert [json.loads(line)["line"] for line in done.stdout.splitlines()] == [1, 2]
    assert done.stderr.startswith(f"{bad}:1: ")


def test_null_is_allowed_for_the_secondary_relief_alone(tmp_path) -> None:
    case = json.loads(json.dumps(BASE))
    case["tool"]["secondary_relief_deg"] = None
    status, answers, _ = run_plan(json.dumps(case) + "\n", tmp_path)
    assert status == 0
    assert answers[1]["options"][0]["primary_land_mm"] == pytest.approx(0.4)
