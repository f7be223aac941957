"""What a kind with a plan of its own is held against at the check."""

import json
from collections.abc import Mapping
from typing import Any

from regrind.geometry.limits import judge
from regrind.record.models import Line

from ..grinding.prefill import option_of, root_of
from ..kinds.kind import Hold
from ..kinds.registry import kind_of
from ..models import Plan


def find_holds(line: Line, plan: Plan | None) -> tuple[Hold, ...]:
    """None where nothing was worked out, or nothing is ground."""
    planner = kind_of(line.family).planner
    option = option_of(plan) if plan and planner else {}
    if not (plan and planner and option.get("grind")):
        return ()
    tool: Mapping[str, Any] = json.loads(root_of(plan).case)["tool"]
    return tuple(planner.holds(tool, option))


def judge_angle(hold: Hold, cdeg: int) -> dict[str, Any]:
    """An angle against its bounds; no gauge tells its uncertainty."""
    least, most = hold.least or 0, hold.most or 0
    margin = min(cdeg - least, most - cdeg)
    return {
        "what": hold.quantity,
        "cdeg": cdeg,
        "least_cdeg": least,
        "most_cdeg": most,
        "margin_cdeg": margin,
        "expanded_cdeg": 0,
        "half_digit_cdeg": 0,
        "state": judge(margin, 0),
        "source": hold.source,
    }
