"""What the slow models of all kinds share: small steps for the uncertainty, regrinds one after the other, verdicts.

Written from the specification, by other ways than the program: nothing of it is imported here.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Callable
from pathlib import Path

from tests.geometry.slow_lengths import length_mm

SHARED = Path(__file__).resolve().parents[3] / "shared"
STEP = 1e-4
SAME = 1e-9
ORDER = ("usable_length", "diameter", "hole_depth", "width", "gullet_depth", "reach", "tooth_thickness")
BEST_FIRST = ("sound", "grind", "ask", "scrap")

Inputs = dict[str, float]
Rule = Callable[[Inputs], float]


def table(name: str) -> list[dict[str, str]]:
    with (SHARED / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def mm(text: str | None, without: float = 0.0) -> float:
    return without if text is None else float(length_mm(text))


def least(holds: Callable[[float], bool], low: float, high: float) -> float:
    """The least number for which `holds` is true, by halving; it must be true at `high`."""
    if holds(low):
        return low
    assert holds(high)
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def wear_depth(width: float, relief: float, rake: float) -> float:
    """Depth at which a flat across the edge is `width` wide between the line of the face and that of the flank."""

    def wide(depth: float) -> bool:
        return depth / math.tan(relief) - depth * math.tan(rake) >= width

    if relief == 0:
        return 0.0
    high = 1.0
    while not wide(high):
        high *= 2
    return least(wide, 0.0, high)


def spread(rule: Rule, inputs: Inputs, uncertainty: Inputs) -> float:
    """Twice the root of the sum of squares of slope times standard uncertainty, slopes by small steps."""
    total = 0.0
    for name, known in uncertainty.items():
        if known and name in inputs:
            up, down = {**inputs, name: inputs[name] + STEP}, {**inputs, name: inputs[name] - STEP}
            total += ((rule(up) - rule(down)) / (2 * STEP) * known) ** 2
    return 2 * math.sqrt(total)


class Option:
    """One way to grind, as the model sees it: figures for the answer and rules for the limits."""

    def __init__(self, grind: list[str], figures: dict, rules: dict[str, list[Rule]]) -> None:
        self.grind, self.figures, self.rules = grind, figures, rules
        self.hard: set[str] = set()
        self.line_asks: dict[str, list[str]] = {}
        self.asks: list[str] = []
        self.tells: list[str] = []
        self.bounds: list[tuple[str, str, float]] = []
        self.after: Callable[[int], dict[str, float]] = lambda count: {}
        self.floors: dict[str, float] = {}
        self.own: list[str] = []

    def lines(self, limits: Inputs, inputs: Inputs, uncertainty: Inputs) -> list[dict]:
        wanted = [(name, name, "at_least", limits[name]) for name in ORDER if name in limits and name in self.rules]
        wanted += [(name, "diameter", side, value) for name, side, value in self.bounds]
        return [self._line(*item, inputs, uncertainty) for item in wanted]

    def _line(self, name: str, of: str, side: str, limit: float, inputs: Inputs, uncertainty: Inputs) -> dict:
        value = self.rules[of][0](inputs)
        margin = round(value - limit if side == "at_least" else limit - value, 9)
        expanded = round(max(spread(rule, inputs, uncertainty) for rule in self.rules[of]), 9)
        verdict = "inside" if margin >= expanded else "outside" if margin <= -expanded else "too_close"
        return {
            "limit": name,
            "value": value,
            side: limit,
            "margin": margin,
            "expanded_uncertainty": expanded,
            "verdict": verdict,
        }

    def judge(self, lines: list[dict]) -> tuple[str, list[str]]:
        doubtful = [line for line in lines if line["verdict"] != "inside"]
        named = {name for name, _, _ in self.bounds}
        if not self.grind and all(line["limit"] not in named for line in doubtful):
            return "sound", []
        reasons = [f"{line['verdict']}_{line['limit']}" for line in doubtful]
        for line in doubtful:
            reasons += [reason for reason in self.line_asks.get(line["limit"], []) if reason not in reasons]
        reasons += self.asks
        scrap = any(line["limit"] in self.hard and line["verdict"] == "outside" for line in lines)
        return "scrap" if scrap else "ask" if reasons else "grind", reasons + self.tells

    def regrinds(self, limits: Inputs, typical: float) -> int | None:
        """One regrind after the other until a limit breaks or nothing is left."""
        if not typical:
            return None
        count = 0
        while self._stands(count, limits):
            count += 1
        return max(0, count - 1)

    def _stands(self, count: int, limits: Inputs) -> bool:
        values = self.after(count)
        for name, value in values.items():
            floor = max(limits.get(name, -math.inf), self.floors.get(name, -math.inf))
            if round(value - floor, 9) < -SAME:
                return False
            if name != "hole_depth" and round(value, 9) <= 0:
                return False
        return True


def answer(options: list[Option], case: dict, inputs: Inputs, uncertainty: Inputs, typical_key: str) -> dict:
    if case["measured"].get("cracked"):
        return {"options": [], "recommended": None, "verdict": "scrap", "reasons": ["cracked"]}
    limits = {name: mm(text) for name, text in case.get("limits", {}).items()}
    typical = mm(case.get("typical", {}).get(typical_key))
    rows = []
    for option in options:
        lines = option.lines(limits, inputs, uncertainty)
        verdict, reasons = option.judge(lines)
        rows.append(
            {
                "grind": option.grind,
                **option.figures,
                "limits": lines,
                "verdict": verdict,
                "reasons": reasons,
                "regrinds_left": option.regrinds(limits, typical),
            }
        )
    if not rows:
        return {"options": [], "recommended": None, "verdict": "scrap", "reasons": ["no_option_left"]}
    best = 0
    for index in range(1, len(rows)):
        if _place(rows[index]) < _place(rows[best]):
            best = index
    return {"options": rows, "recommended": best, "verdict": rows[best]["verdict"], "reasons": rows[best]["reasons"]}


def _place(row: dict) -> tuple:
    left = row["regrinds_left"]
    return (
        BEST_FIRST.index(row["verdict"]),
        any(line["verdict"] == "outside" for line in row["limits"]),
        left is None,
        -(left or 0),
        -round(row.get("diameter_mm", 0.0), 9),
        -round(row.get("width_mm", 0.0), 9),
    )


def differences(got: dict, want: dict) -> list[str]:
    """Every difference between the program's answer and a model's; lines within a hair of their verdict excepted."""
    if len(got["options"]) != len(want["options"]):
        return [f"options {len(got['options'])} but the model has {len(want['options'])}"]
    edge = any(_on_edge(line) for option in want["options"] for line in option["limits"])
    found = []
    for index, (mine, theirs) in enumerate(zip(got["options"], want["options"], strict=True)):
        found += _compare(f"options[{index}]", mine, theirs, edge)
    for key in ("recommended", "verdict", "reasons"):
        if not edge and got[key] != want[key]:
            found.append(f"{key}: {got[key]} but the model has {want[key]}")
    return found


def _on_edge(line: dict) -> bool:
    return abs(abs(line["margin"]) - line["expanded_uncertainty"]) <= 3e-7 and line["expanded_uncertainty"] > 0


def _compare(path: str, got: object, want: object, edge: bool) -> list[str]:
    if isinstance(want, dict) and isinstance(got, dict):
        if list(got) != list(want):
            return [f"{path}: keys {list(got)} but the model has {list(want)}"]
        return [text for key in want for text in _compare(f"{path}.{key}", got[key], want[key], edge)]
    if isinstance(want, list) and isinstance(got, list) and len(got) == len(want) and not path.endswith("reasons"):
        pairs = enumerate(zip(got, want, strict=True))
        return [text for index, (mine, his) in pairs for text in _compare(f"{path}[{index}]", mine, his, edge)]
    if edge and path.endswith(("verdict", "reasons")):
        return []
    if _same(path, got, want):
        return []
    return [f"{path}: {got} but the model has {want}"]


def _same(path: str, got: object, want: object) -> bool:
    if isinstance(got, bool) or not isinstance(want, float) or not isinstance(got, int | float):
        return got == want
    rough = path.endswith("expanded_uncertainty")
    return math.isclose(got, want, rel_tol=1e-5 if rough else 1e-9, abs_tol=2e-7 if rough else 3e-9)
