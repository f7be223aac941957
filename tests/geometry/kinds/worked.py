"""The worked case of the specification, digit for digit, and small cases of each kind to start from."""

import copy
import json

from regrind.geometry.headless import answer_cases

DRILL = {
    "tool": {"kind": "drill", "nominal_diameter": "10 mm", "material": "HSS", "flute_length": "87 mm",
             "point_angle_deg": 118, "lip_relief_deg": 12, "helix_deg": 30, "web": "1.5 mm", "chisel_angle_deg": 130},
    "measured": {"diameter": "9.985 mm", "diameter_at": "3 mm"},
    "damage": [{"lip": 1, "worn_margin": "1.2 mm"}, {"lip": 2, "lip_chip": "0.5 mm", "at": "1 mm"},
               {"lip": 1, "wear_land": "0.3 mm"}],
    "allow": {"finish": "0.1 mm"},
    "limits": {"hole_depth": "60 mm", "diameter": "9.96 mm", "oversize": "0.05 mm"},
    "uncertainty": {"diameter": "2 um", "damage": "0.05 mm"},
    "typical": {"cut_back": "1.5 mm"},
}
DRILL_OPTION = {
    "grind": ["point"], "cut_back_mm": 1.3, "length_lost_mm": 1.3, "diameter_mm": 9.98585, "usable_length_mm": 85.7,
    "point_length_mm": 3.000052006, "hole_depth_mm": 70.7225, "web_mm": 1.5208, "chisel_edge_mm": 1.985263406,
    "thin_web": True, "lip_relief_deg": 12, "lip_height_most_mm": 0.030043031,
    "limits": [
        {"limit": "diameter", "value": 9.98585, "at_least": 9.96, "margin": 0.02585,
         "expanded_uncertainty": 0.004043427, "verdict": "inside"},
        {"limit": "hole_depth", "value": 70.7225, "at_least": 60.0, "margin": 10.7225,
         "expanded_uncertainty": 0.100179838, "verdict": "inside"},
    ],
    "verdict": "grind", "reasons": [], "regrinds_left": 7,
}
REAMER = {
    "tool": {"kind": "reamer", "nominal_diameter": "10 mm", "flute_length": "40 mm", "chamfer_angle_deg": 45,
             "chamfer_length": "1 mm", "chamfer_relief_deg": 7},
    "measured": {"diameter": "10.009 mm", "diameter_at": "3 mm"},
    "damage": [{"worn_margin": "0.6 mm"}],
    "allow": {"finish": "0.1 mm"},
}
CUTTER = {
    "tool": {"kind": "side-and-face cutter", "teeth": 16, "nominal_diameter": "100 mm", "gullet_depth": "10 mm",
             "neck_diameter": "40 mm", "rake_deg": 10, "primary_relief_deg": 6, "secondary_relief_deg": 14,
             "primary_land": "0.8 mm"},
    "measured": {"diameter": "99.6 mm", "width": "10 mm"},
    "damage": [{"surface": "periphery", "tooth": 3, "depth": "0.1 mm"},
               {"surface": "left", "tooth": 5, "reach": "1.2 mm", "depth": "0.2 mm"}],
    "allow": {"finish_radial": "0.02 mm", "finish_side": "0.03 mm"},
}
COUNTERSINK = {
    "tool": {"kind": "countersink", "teeth": 3, "nominal_diameter": "12 mm", "included_angle_deg": 90,
             "tooth_thickness": "3 mm"},
    "measured": {"diameter": "12 mm"},
    "damage": [{"wear_land": "0.2 mm"}],
    "allow": {"finish": "0.1 mm"},
}
TAP = {
    "tool": {"kind": "tap", "thread": "M8 x 1.25", "thread_length": "20 mm", "chamfer_length": "5 mm"},
    "damage": [{"worn": "0.5 mm"}],
    "allow": {"finish": "0.1 mm"},
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
