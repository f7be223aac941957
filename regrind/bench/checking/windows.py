"""What a kind with a plan of its own is held against at the check."""

import json
from collections.abc import Mapping
from typing import Any

from regrind.geometry.limits import judge
from regrind.record.models import Line

from ..grinding.prefill import option_of, root_of
from ..kinds.kind import Window
from ..kinds.registry import kind_of
from ..models import Plan


def find_windows(line: Line, plan: Plan | None) -> tuple[Window, ...]:
    """None where nothing was worked out, or nothing is ground."""
    planner = kind_of(line.family).planner
    option = option_of(plan) if plan and planner else {}
    if not (plan and planner and option.get("grind")):
        return ()
    tool: Mapping[str, Any] = json.loads(root_of(plan).case)["tool"]
    return tuple(planner.windows(tool, option))


def judge_angle(window: Window, cdeg: int) -> dict[str, Any]:
    """An angle against its window; no gauge tells its uncertainty."""
    least, most = window.least or 0, window.most or 0
    margin = min(cdeg - least, most - cdeg)
    return {
        "what": window.quantity,
        "cdeg": cdeg,
        "least_cdeg": least,
        "most_cdeg": most,
        "margin_cdeg": margin,
        "expanded_cdeg": 0,
        "half_digit_cdeg": 0,
        "state": judge(margin, 0),
        "source": window.source,
    }
