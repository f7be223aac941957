"""A worked case, for the examples of this module and for a first try of the command."""

from typing import Any

from regrind.geometry.case import read
from regrind.geometry.inputs import Case
from regrind.geometry.plan import work_out
from regrind.geometry.result import as_dict
from regrind.geometry.tool_state import ToolState, build_state

CASE: dict[str, Any] = {
    "tool": {
        "kind": "end mill",
        "teeth": 3,
        "material": "carbide",
        "nominal_diameter": "1/4 in",
        "hand_of_cut": "right",
        "hand_of_helix": "right",
        "helix_deg": 30,
        "core_diameter": "0.150 in",
        "rake_deg": 8,
        "primary_relief_deg": 12,
        "secondary_relief_deg": 24,
        "primary_land": "0.010 in",
        "flute_length": "0.750 in",
    },
    "measured": {
        "diameter": "0.2498 in",
        "method": "v-anvil",
        "tooth_readings": ["0 in", "-2 tenths", "-4 tenths"],
        "shank_tir": "2 tenths",
    },
    "damage": [
        {"tooth": 2, "from": "0 in", "to": "0.060 in", "depth": "4 thou", "what": "chip"},
        {"tooth": 1, "from": "0 in", "to": "0.300 in", "wear_land": "6 thou", "what": "wear land"},
        {"end_depth": "0.010 in", "what": "end wear"},
    ],
    "allow": {"finish_radial": "5 tenths", "finish_end": "2 thou", "stylus_distance": "0.060 in"},
    "limits": {"diameter": "0.230 in", "rake_deg": 0, "flute_depth": "0.030 in", "usable_length": "0.500 in"},
    "uncertainty": {"diameter": "1 tenth", "tooth_reading": "0.00005 in"},
    "typical": {"stock_radial": "5 thou", "cut_back": "0.015 in"},
}


CORNER_CASE: dict[str, Any] = {
    "tool": {
        "kind": "end mill",
        "teeth": 4,
        "material": "carbide",
        "nominal_diameter": "10 mm",
        "hand_of_cut": "right",
        "hand_of_helix": "right",
        "helix_deg": 30,
        "core_diameter": "5.6 mm",
        "rake_deg": 8,
        "primary_relief_deg": 12,
        "secondary_relief_deg": 22,
        "primary_land": "0.3 mm",
        "flute_length": "22 mm",
        "corner": {"form": "radius", "radius": "1 mm"},
        "gash_length": "0.9 mm",
    },
    "measured": {
        "diameter": "9.990 mm",
        "method": "micrometer",
        "tooth_readings": ["0 mm", "-0.004 mm", "-0.002 mm", "-0.006 mm"],
    },
    "damage": [
        {"tooth": 2, "from_deg": 20, "to_deg": 70, "depth": "0.080 mm", "what": "chip"},
        {"tooth": 1, "from": "1 mm", "to": "13 mm", "wear_land": "0.15 mm", "what": "wear land"},
        {"end_depth": "0.060 mm", "what": "end wear"},
    ],
    "accept": [{"form": "radius", "radius": "1.5 mm"}],
    "allow": {"finish_radial": "0.013 mm", "finish_end": "0.050 mm", "stylus_distance": "1.5 mm"},
    "typical": {"stock_radial": "0.060 mm", "cut_back": "0.250 mm"},
}


def read_example() -> Case:
    """The worked case, read.

    Source: the worked example of the plan's notes (docs/plan.md).

    >>> read_example().tool.teeth
    3
    """
    return read(CASE)


def work_first(data: dict[str, Any]) -> tuple[ToolState, dict[str, Any]]:
    """A case's tool and its first option, as the answer holds it; lengths of the option in mm, angles in degrees.

    data: a case as JSON has it. Raises Refused as reading and planning do.
    Source: `plan.work_out`.

    >>> work_first(CASE)[1]["sides"]
    True
    """
    case = read(data)
    option: dict[str, Any] = as_dict(work_out(case))["options"][0]
    return build_state(case), option
