"""What cannot be is refused by name, for every kind: ranges, missing and unknown keys, wrong types, null."""

import json
import math
from random import Random

import pytest

from regrind.geometry.json_cli import answer_cases
from regrind.geometry.kinds.registry import BY_NAME
from tests.geometry.kinds.kind_cases import KindCases
from tests.geometry.kinds.worked import CASES, COUNTERSINK, CUTTER, DRILL, REAMER, TAP, change, refusals

NEEDED = {
    "drill": [
        "tool.nominal_diameter",
        "tool.flute_length",
        "tool.point_angle_deg",
        "tool.lip_relief_deg",
        "measured.diameter",
        "allow.finish",
        "measured",
        "allow",
    ],
    "reamer": [
        "tool.nominal_diameter",
        "tool.flute_length",
        "tool.chamfer_angle_deg",
        "tool.chamfer_length",
        "measured.diameter",
        "allow.finish",
        "measured",
        "allow",
    ],
    "cutter": [
        "tool.teeth",
        "tool.nominal_diameter",
        "measured.diameter",
        "measured.width",
        "allow.finish_radial",
        "allow.finish_side",
        "measured",
        "allow",
        "damage.0.surface",
        "damage.0.tooth",
        "damage.0.depth",
        "damage.1.reach",
        "damage.1.depth",
    ],
    "countersink": [
        "tool.teeth",
        "tool.nominal_diameter",
        "tool.included_angle_deg",
        "measured.diameter",
        "allow.finish",
        "measured",
        "allow",
    ],
    "tap": ["tool.thread", "tool.thread_length", "tool.chamfer_length", "allow.finish", "allow", "damage.0.worn"],
}


def as_field(path):
    """A dotted path as a refusal writes it: list places in brackets."""
    return "".join(f"[{part}]" if part.isdigit() else f".{part}" for part in path.split(".")).lstrip(".")


@pytest.mark.parametrize(("name", "path"), [(name, path) for name, paths in NEEDED.items() for path in paths])
def test_what_is_needed_is_named_where_it_is_missing(name, path):
    assert refusals(change(CASES[name], (path, None)))[0] == as_field(path)


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize(
    "part", ["", "tool.", "measured.", "allow.", "limits.", "uncertainty.", "typical.", "damage.0."]
)
def test_unknown_keys_are_refused_by_name(name, part):
    assert refusals(change(CASES[name], (f"{part}spoon", 1))) == [as_field(f"{part}spoon")]


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("construction", ["tipped", "indexable", "wood"])
def test_only_solid_tools_are_planned(name, construction):
    assert refusals(change(CASES[name], ("tool.construction", construction))) == ["tool.construction"]


RANGES = [
    (DRILL, "tool.point_angle_deg", 79.9),
    (DRILL, "tool.point_angle_deg", 170.1),
    (DRILL, "tool.helix_deg", 50.1),
    (DRILL, "tool.grind_point_angle_deg", 79),
    (DRILL, "tool.lip_relief_deg", 0.9),
    (DRILL, "tool.helix_deg", -1),
    (DRILL, "tool.chisel_angle_deg", 151),
    (DRILL, "tool.chisel_angle_deg", 94),
    (DRILL, "tool.work", "brass"),
    (DRILL, "tool.coolant_holes", "yes"),
    (DRILL, "tool.flute_length", "0 mm"),
    (DRILL, "tool.web", "10 mm"),
    (DRILL, "tool.teeth", 2),
    (DRILL, "measured.width", "1 mm"),
    (DRILL, "measured.method", "swept"),
    (DRILL, "limits.width", "1 mm"),
    (DRILL, "typical.stock_radial", "1 mm"),
    (DRILL, "tool.back_taper", "-1 um"),
    (DRILL, "damage.0.lip", 3),
    (DRILL, "damage.0.worn_margin", "87.001 mm"),
    (DRILL, "damage.0.at", "1 mm"),
    (DRILL, "damage.1.lip_chip", "8 mm"),
    (DRILL, "damage.0.corner_chip", "1 mm"),
    (DRILL, "tool.point_angle_deg", math.nan),
    (DRILL, "hole", {}),
    (DRILL, "setup", {}),
    (DRILL, "down_size_to", []),
    (REAMER, "tool.chamfer_angle_deg", 0.9),
    (REAMER, "tool.chamfer_angle_deg", 60.1),
    (REAMER, "tool.chamfer_length", "5.1 mm"),
    (REAMER, "tool.chamfer_relief_deg", 46),
    (REAMER, "hole.nominal", "0 mm"),
    (REAMER, "damage.0.worn_margin", "41 mm"),
    (REAMER, "limits.hole_depth", "1 mm"),
    (REAMER, "setup", {}),
    (CUTTER, "tool.teeth", 1),
    (CUTTER, "tool.teeth", 301),
    (CUTTER, "tool.teeth", 2.5),
    (CUTTER, "tool.rake_deg", 41),
    (CUTTER, "tool.rake_deg", -31),
    (CUTTER, "tool.primary_relief_deg", 46),
    (CUTTER, "tool.secondary_relief_deg", 6),
    (CUTTER, "tool.neck_diameter", "99.7 mm"),
    (CUTTER, "tool.gullet_depth", "50 mm"),
    (CUTTER, "tool.kind", "router"),
    (CUTTER, "measured.width", "0 mm"),
    (CUTTER, "damage.0.tooth", 17),
    (CUTTER, "damage.0.surface", "top"),
    (CUTTER, "damage.0.depth", "49.9 mm"),
    (CUTTER, "damage.1.depth", "10.1 mm"),
    (CUTTER, "damage.1.reach", "50 mm"),
    (CUTTER, "damage.0.reach", "1 mm"),
    (CUTTER, "damage.0.wear_land", "1 mm"),
    (CUTTER, "damage.1.wear_land", "1 mm"),
    (CUTTER, "measured.tooth_readings", ["0 mm"]),
    (CUTTER, "measured.tooth_readings", ["-1 um"] * 16),
    (CUTTER, "measured.teeth_not_read", [1]),
    (CUTTER, "measured.diameter_at", "1 mm"),
    (CUTTER, "allow.finish", "1 mm"),
    (CUTTER, "hole", {}),
    (CUTTER, "setup.wheel", "flat"),
    (COUNTERSINK, "tool.teeth", 13),
    (COUNTERSINK, "tool.teeth", 0),
    (COUNTERSINK, "tool.included_angle_deg", 19),
    (COUNTERSINK, "tool.included_angle_deg", 161),
    (COUNTERSINK, "tool.relief_deg", 0.5),
    (COUNTERSINK, "tool.relief_deg", 41),
    (COUNTERSINK, "damage.0.face_depth", "1 mm"),
    (COUNTERSINK, "limits.width", "1 mm"),
    (TAP, "tool.thread", "10-32"),
    (TAP, "tool.thread", 8),
    (TAP, "tool.chamfer_diameter", "8 mm"),
    (TAP, "tool.spiral_point", 1),
    (TAP, "damage.0.worn", "21 mm"),
    (TAP, "measured.diameter", "8 mm"),
    (TAP, "tool.nominal_diameter", "8 mm"),
    (TAP, "limits.diameter", "8 mm"),
]


@pytest.mark.parametrize("tooth", [0, 17, 1.5, "2", True, None])
def test_a_tooth_that_was_not_read_is_one_of_the_teeth(tooth):
    read = ("measured.tooth_readings", ["0 mm"] * 16)
    assert refusals(change(CUTTER, read, ("measured.teeth_not_read", [tooth])))[0] == "measured.teeth_not_read[0]"


@pytest.mark.parametrize(("case", "path", "value"), RANGES, ids=lambda item: str(item)[:40])
def test_what_is_out_of_range_is_refused_by_name(case, path, value):
    assert refusals(change(case, (path, value)))[0] == as_field(path)


@pytest.mark.parametrize(
    ("case", "changes", "field"),
    [
        (REAMER, [("hole", {"nominal": "81 mm", "class": "H7"})], "hole.nominal"),
        (REAMER, [("hole", {"nominal": "8 mm", "class": "H5"})], "hole.class"),
        (REAMER, [("hole", {"nominal": "8 mm"})], "hole.lower_deviation"),
        (
            REAMER,
            [("hole", {"nominal": "8 mm", "lower_deviation": "1 um", "upper_deviation": "1 um"})],
            "hole.upper_deviation",
        ),
        (
            REAMER,
            [("hole", {"nominal": "8 mm", "lower_deviation": "-8 mm", "upper_deviation": "1 um"})],
            "hole.lower_deviation",
        ),
        (REAMER, [("hole", {"nominal": "8 mm", "class": "H7", "upper_deviation": "1 um"})], "hole.upper_deviation"),
        (REAMER, [("down_size_to", [{"nominal": "8 mm", "class": "H7"}])], "allow.finish_radial"),
        (
            REAMER,
            [("allow.finish_radial", "1 um"), ("down_size_to", [{"nominal": "8 mm", "class": "H7"}] * 6)],
            "down_size_to",
        ),
        (REAMER, [("damage", [{"wear_land": "1 mm"}]), ("tool.chamfer_relief_deg", None)], "tool.chamfer_relief_deg"),
        (DRILL, [("tool.lip_relief_deg", 40), ("tool.helix_deg", 50)], "tool.lip_relief_deg"),
        (CUTTER, [("tool.staggered", True), ("tool.teeth", 17)], "tool.staggered"),
        (CUTTER, [("measured.tir", "1 um"), ("measured.tooth_readings", ["0 mm"] * 16)], "measured.tir"),
        (CUTTER, [("measured.tooth_readings", ["0 mm"] * 15 + ["1 um"])], "measured.tooth_readings[15]"),
        (CUTTER, [("setup", {"wheel": "straight"})], "setup.wheel_diameter"),
        (CUTTER, [("setup", {"wheel": "cup", "wheel_diameter": "100 mm"})], "setup.wheel_diameter"),
        (
            CUTTER,
            [("damage.0", {"surface": "periphery", "tooth": 1, "wear_land": "1 mm"}), ("tool.rake_deg", None)],
            "tool.rake_deg",
        ),
        (CUTTER, [("limits.gullet_depth", "1 mm"), ("tool.gullet_depth", None)], "limits.gullet_depth"),
        (CUTTER, [("limits.reach", "1 mm"), ("tool.neck_diameter", None)], "limits.reach"),
        (COUNTERSINK, [("limits.tooth_thickness", "1 mm"), ("tool.tooth_thickness", None)], "limits.tooth_thickness"),
    ],
)
def test_what_cannot_be_together_is_refused_by_name(case, changes, field):
    assert field in refusals(change(case, *changes))


def _paths(value, path=()):
    """Every place in a case, the case itself left out."""
    if path:
        yield path
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield from _paths(item, (*path, key))


JUNK = (None, True, -1, 1e400, math.nan, "", "5", "-1 mm", "1e3 mm", "99 km", [], [[]], {}, {"a": 1}, "\u202e1 mm")


@pytest.mark.parametrize("kind", CASES)
def test_junk_anywhere_is_a_refusal_or_an_answer_of_plain_numbers(kind):
    rng, maker = Random(7), KindCases(11)
    seen = set()
    for _ in range(150):
        case = getattr(maker, kind)()
        path = rng.choice(list(_paths(case)))
        if path == ("tool", "kind") or path == ("tool",):
            continue
        place = case
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] = rng.choice(JUNK)
        (result,) = answer_cases(json.dumps(case).encode())
        seen.add(result.answer is None)
        if result.answer is None:
            assert result.refused.field.split("[")[0].split(".")[0] in {*case, "allow", "measured"}
        else:
            json.dumps(result.answer, allow_nan=False)
    assert True in seen


def test_every_kind_of_the_registry_is_known_here():
    named = {case["tool"]["kind"] for case in CASES.values()}
    assert named | {"chamfer mill", "slitting saw", "keyseat cutter", "t-slot cutter"} == set(BY_NAME)
