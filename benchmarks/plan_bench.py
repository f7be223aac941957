"""How long a plan takes: medians for 1, 10 and 100 marks as ratios, and 10,000 JSON Lines in one process.

Medians are of the processor's time, so that what else runs on the machine counts less; on a core that is not idle they
still come out higher. The ratios hold on any machine.

Run: python benchmarks/plan_bench.py
"""
# ruff: noqa: T201

import copy
import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from regrind.geometry.case import read
from regrind.geometry.example import CASE, CORNER_CASE
from regrind.geometry.json_cli import answer_cases
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict

ROUNDS, LINES = 300, 10_000
MOST_MS, MOST_SECONDS = 1.0, 15.0


def make_case(marks: int) -> dict[str, Any]:
    """The worked case with `marks` marks, each reaching a little further back and a little less deep."""
    case = copy.deepcopy(CASE)
    case["damage"] = [
        {"tooth": 1, "from": "0 in", "to": f"{index + 1} thou", "depth": f"{300 - 2 * index} um"}
        for index in range(marks)
    ]
    case["allow"]["stylus_distance"] = "0 in"  # or clearing every mark by the end would beat the last few options
    return case


def take_median(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Median of the processor's time for `work`, in ms."""
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return statistics.median(times) * 1000


def time_marks(marks: int) -> tuple[float, int]:
    """Median ms from JSON-shaped dict to JSON-shaped answer, and how many options came out."""
    data = make_case(marks)
    options = len(work_out(read(data)).options)
    return take_median(lambda: as_dict(work_out(read(data)))), options


def time_lines() -> float:
    """Seconds for JSON Lines in, JSON Lines out."""
    line = json.dumps(CASE).encode()
    start = time.perf_counter()
    for result in answer_cases(b"\n".join([line] * LINES)):
        json.dumps(result.answer)
    return time.perf_counter() - start


def main() -> int:
    """Print the figures; 1 where one is over its bound."""
    whole = take_median(lambda: as_dict(work_out(read(CASE))))
    print(f"worked case, dict to dict: median {whole:.3f} ms (at most {MOST_MS} ms)")
    corner = take_median(lambda: as_dict(work_out(read(CORNER_CASE))))
    options = len(work_out(read(CORNER_CASE)).options)
    print(f"corner radius, {options} options: median {corner:.3f} ms (at most {MOST_MS} ms)")
    spelled = take_median(lambda: json.loads(json.dumps(as_dict(work_out(read(CORNER_CASE))))))
    print(f"a corner costs {corner / whole:.2f} worked cases; as JSON and back {spelled / corner:.2f} of itself")
    first = 0.0
    for marks in (1, 10, 100):
        median, options = time_marks(marks)
        first = first or median
        print(f"{marks:4} marks, {options:3} options: median {median:.3f} ms, {median / first:.1f} times one mark")
    seconds = time_lines()
    print(f"{LINES} JSON Lines cases: {seconds:.2f} s (at most {MOST_SECONDS:g} s)")
    return int(max(whole, corner) > MOST_MS or seconds > MOST_SECONDS)


if __name__ == "__main__":
    sys.exit(main())
