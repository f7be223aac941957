"""Compares the program's answer with the slow model's, key by key, and runs the program as a stranger would."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LENGTH_TOLERANCE_MM = 1e-9
RELATIVE = 1e-7
UNCERTAINTY_RELATIVE = 1e-5
# Small steps leave a little noise where the slopes of several inputs cancel.
UNCERTAINTY_NOISE = 2e-7
# The interface names this reason, but no key of a case says how deep the end is gashed.
OPEN_REASONS = {"gash_again"}


def run_plan(text: str, directory: Path) -> tuple[int, dict[int, dict], list[str]]:
    """Exit status, answers by line, and the lines on standard error of one run over `text`."""
    path = directory / "cases.jsonl"
    path.write_text(text, encoding="utf-8")
    command = [sys.executable, "manage.py", "plan", str(path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=600, check=False)
    answers = [json.loads(line) for line in done.stdout.splitlines()]
    return done.returncode, {answer["line"]: answer for answer in answers}, done.stderr.splitlines()


def as_lines(cases: Iterable[dict]) -> str:
    return "".join(json.dumps(case) + "\n" for case in cases)


def differences(got: dict, want: dict) -> list[str]:
    """Every difference between two answers to one case; empty where they agree."""
    if len(got["options"]) != len(want["options"]):
        return [f"options: {_cuts(got)} but the model has {_cuts(want)}"]
    found = []
    for i, (mine, theirs) in enumerate(zip(got["options"], want["options"], strict=True)):
        found += [f"options[{i}].{text}" for text in _option_differences(mine, theirs)]
    if not any(_on_edge(line) for option in want["options"] for line in option["limits"]):
        found += [
            f"{key}: {got[key]} but the model has {want[key]}"
            for key in ("recommended", "verdict")
            if got[key] != want[key]
        ]
        found += _case_reason_differences(got, want)
    return found


def _cuts(answer: dict) -> list[tuple[float, float]]:
    return [(option["cut_back_mm"], option["diameter_mm"]) for option in answer["options"]]


def _case_reason_differences(got: dict, want: dict) -> list[str]:
    if want["recommended"] is None:
        return [] if got["reasons"] == ["no_option_left"] else [f"reasons: {got['reasons']}"]
    return _reason_differences(got["reasons"], want["options"][want["recommended"]])


def _option_differences(got: dict, want: dict) -> list[str]:
    skipped = {"limits", "verdict", "reasons", "may_reasons"}
    found = [
        f"{key}: {got.get(key, 'missing')} but the model has {value}"
        for key, value in want.items()
        if key not in skipped and not _same(got.get(key, "missing"), value)
    ]
    found += _limit_differences(got["limits"], want["limits"])
    if not any(_on_edge(line) for line in want["limits"]):
        if got["verdict"] != want["verdict"]:
            found.append(f"verdict: {got['verdict']} but the model has {want['verdict']}")
        found += _reason_differences(got["reasons"], want)
    return found


def _same(got: object, want: object) -> bool:
    if isinstance(want, list):
        return isinstance(got, list) and len(got) == len(want) and all(map(_same, got, want))
    if isinstance(want, dict):
        return isinstance(got, dict) and set(got) == set(want) and all(_same(got[key], want[key]) for key in want)
    if isinstance(want, float) and isinstance(got, float | int) and not isinstance(got, bool):
        return abs(got - want) <= LENGTH_TOLERANCE_MM + RELATIVE * abs(want)
    return type(got) is type(want) and got == want


def _limit_differences(got: list[dict], want: list[dict]) -> list[str]:
    mine, theirs = ({line["limit"]: line for line in lines} for lines in (got, want))
    if list(mine) != list(theirs):
        return [f"limits: {list(mine)} but the model has {list(theirs)}"]
    return [f"limits.{name}.{text}" for name in theirs for text in _line_differences(mine[name], theirs[name])]


def _line_differences(got: dict, want: dict) -> list[str]:
    # Where a measured arc ends above the new radius there is no rake: the papers ask only for the verdict.
    if want["value"] is None:
        return [] if got["verdict"] == "outside" else [f"verdict: {got['verdict']} but there is no rake"]
    found = [
        f"{key}: {got[key]} but the model has {want[key]}"
        for key in ("value", "at_least", "margin")
        if not _same(got[key], want[key])
    ]
    mine, theirs = got["expanded_uncertainty"], want["expanded_uncertainty"]
    if mine is None or abs(mine - theirs) > UNCERTAINTY_RELATIVE * theirs + UNCERTAINTY_NOISE:
        found.append(f"expanded_uncertainty: {mine} but the model has {theirs}")
    if got["verdict"] != want["verdict"] and not _on_edge(want):
        found.append(f"verdict: {got['verdict']} but the model has {want['verdict']}")
    return found


def _on_edge(line: dict) -> bool:
    """Whether margin and uncertainty are so near that small steps cannot tell which side they are on."""
    spread = line["expanded_uncertainty"]
    return bool(spread) and abs(abs(line["margin"]) - spread) <= UNCERTAINTY_RELATIVE * spread + UNCERTAINTY_NOISE


def _reason_differences(got: list[str], want: dict) -> list[str]:
    must, may = set(want["reasons"]), set(want["may_reasons"]) | OPEN_REASONS
    if must <= set(got) <= must | may:
        return []
    return [f"reasons: {sorted(got)} but the model has {sorted(must)} and allows {sorted(may)}"]
