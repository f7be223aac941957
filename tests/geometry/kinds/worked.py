"""What tests start from: the examples of each kind, the worked drill's answer as printed, plans and refusals."""

import copy
import json

from regrind.geometry.json_cli import answer_cases
from regrind.geometry.kinds.example import COUNTERSINK, CUTTER, DRILL, REAMER, TAP

DRILL_OPTION = {
    "grind": ["point"],
    "cut_back_mm": 1.3,
    "length_lost_mm": 1.3,
    "diameter_mm": 9.98585,
    "usable_length_mm": 85.7,
    "point_length_mm": 3.000052006,
    "hole_depth_mm": 70.7225,
    "web_mm": 1.5208,
    "chisel_edge_mm": 1.985263406,
    "thin_web": True,
    "lip_relief_deg": 12,
    "lip_height_most_mm": 0.030043031,
    "limits": [
        {
            "limit": "diameter",
            "value": 9.98585,
            "at_least": 9.96,
            "margin": 0.02585,
            "expanded_uncertainty": 0.004043427,
            "verdict": "inside",
        },
        {
            "limit": "hole_depth",
            "value": 70.7225,
            "at_least": 60.0,
            "margin": 10.7225,
            "expanded_uncertainty": 0.100179838,
            "verdict": "inside",
        },
    ],
    "verdict": "grind",
    "reasons": [],
    "regrinds_left": 7,
}
CASES = {"drill": DRILL, "reamer": REAMER, "cutter": CUTTER, "countersink": COUNTERSINK, "tap": TAP}


def change(case, *changes):
    """A copy of `case` with each (dotted path, value) set; the value None takes the key out."""
    changed = copy.deepcopy(case)
    for path, value in changes:
        *parents, last = path.split(".")
        place = changed
        for key in parents:
            place = place[int(key)] if isinstance(place, list) else place.setdefault(key, {})
        if value is None:
            del place[last]
        else:
            place[int(last) if isinstance(place, list) else last] = value
    return changed


def plan(case):
    """The answer to a case."""
    (result,) = answer_cases(json.dumps(case).encode())
    assert result.refused is None, str(result.refused)
    return result.answer


def refusals(case):
    """The fields that a case is refused for."""
    (result,) = answer_cases(json.dumps(case).encode())
    assert result.answer is None
    return [result.refused.field, *(other.field for other in result.refused.others)]
