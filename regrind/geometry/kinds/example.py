"""One case of each way to grind a kind, as JSON gives it: for examples and tests."""

from typing import Any

from regrind.geometry.kinds.kind import Terms
from regrind.geometry.kinds.reading import read_case

DRILL: dict[str, Any] = {
    "tool": {
        "kind": "drill",
        "nominal_diameter": "10 mm",
        "material": "HSS",
        "flute_length": "87 mm",
        "point_angle_deg": 118,
        "lip_relief_deg": 12,
        "helix_deg": 30,
        "web": "1.5 mm",
        "chisel_angle_deg": 130,
    },
    "measured": {"diameter": "9.985 mm", "diameter_at": "3 mm"},
    "damage": [
        {"lip": 1, "worn_margin": "1.2 mm"},
        {"lip": 2, "lip_chip": "0.5 mm", "at": "1 mm"},
        {"lip": 1, "wear_land": "0.3 mm"},
    ],
    "allow": {"finish": "0.1 mm"},
    "limits": {"hole_depth": "60 mm", "diameter": "9.96 mm", "oversize": "0.05 mm"},
    "uncertainty": {"diameter": "2 um", "damage": "0.05 mm"},
    "typical": {"cut_back": "1.5 mm"},
}
REAMER: dict[str, Any] = {
    "tool": {
        "kind": "reamer",
        "nominal_diameter": "10 mm",
        "flute_length": "40 mm",
        "chamfer_angle_deg": 45,
        "chamfer_length": "1 mm",
        "chamfer_relief_deg": 7,
    },
    "measured": {"diameter": "10.009 mm", "diameter_at": "3 mm"},
    "damage": [{"worn_margin": "0.6 mm"}],
    "allow": {"finish": "0.1 mm"},
}
CUTTER: dict[str, Any] = {
    "tool": {
        "kind": "side-and-face cutter",
        "teeth": 16,
        "nominal_diameter": "100 mm",
        "gullet_depth": "10 mm",
        "neck_diameter": "40 mm",
        "rake_deg": 10,
        "primary_relief_deg": 6,
        "secondary_relief_deg": 14,
        "primary_land": "0.8 mm",
    },
    "measured": {"diameter": "99.6 mm", "width": "10 mm"},
    "damage": [
        {"surface": "periphery", "tooth": 3, "depth": "0.1 mm"},
        {"surface": "left", "tooth": 5, "reach": "1.2 mm", "depth": "0.2 mm"},
    ],
    "allow": {"finish_radial": "0.02 mm", "finish_side": "0.03 mm"},
}
COUNTERSINK: dict[str, Any] = {
    "tool": {
        "kind": "countersink",
        "teeth": 3,
        "nominal_diameter": "12 mm",
        "included_angle_deg": 90,
        "tooth_thickness": "3 mm",
    },
    "measured": {"diameter": "12 mm"},
    "damage": [{"wear_land": "0.2 mm"}],
    "allow": {"finish": "0.1 mm"},
}
TAP: dict[str, Any] = {
    "tool": {"kind": "tap", "thread": "M8 x 1.25", "thread_length": "20 mm", "chamfer_length": "5 mm"},
    "damage": [{"worn": "0.5 mm"}],
    "allow": {"finish": "0.1 mm"},
}
CASES: dict[str, dict[str, Any]] = {case["tool"]["kind"]: case for case in (DRILL, REAMER, CUTTER, COUNTERSINK, TAP)}


def read_example(name: str) -> tuple[Any, Terms]:
    """The example of a kind, read, with its terms.

    Source: worked examples of the plan's notes (docs/plan.md).

    >>> read_example("tap")[0].chamfer_length_mm
    5.0
    """
    from regrind.geometry.kinds.registry import BY_NAME  # not at the top: the kinds' own examples read this

    return read_case(CASES[name], BY_NAME[name])
