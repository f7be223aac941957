"""Spoils valid cases of the headless plan in one place at a time, and names the field that the refusal must name.

Each spoiled case is (text of the case, name of the field, a word the message must hold or ""). The list follows the
interface's own words: keys, nulls, types, numbers, spellings of lengths, ranges, kinds, teeth and methods.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass

BASE = {
    "tool": {
        "kind": "end mill", "teeth": 4, "material": "carbide", "nominal_diameter": "10 mm", "hand_of_cut": "right",
        "hand_of_helix": "right", "helix_deg": 30, "core_diameter": "6 mm", "rake_deg": 8, "primary_relief_deg": 12,
        "secondary_relief_deg": 24, "primary_land": "0.4 mm", "face_arc_radius": "2.5 mm", "flute_length": "22 mm",
        "sides_ground_before": False, "unequal_index": False,
    },
    "measured": {
        "diameter": "9.98 mm", "method": "micrometer", "tooth_readings": ["0 mm", "-2 um", "-4 um", "0 mm"],
        "shank_tir": "5 um",
    },
    "damage": [
        {"tooth": 2, "from": "0 mm", "to": "1.5 mm", "depth": "0.1 mm", "what": "chip"},
        {"tooth": 1, "from": "0 mm", "to": "8 mm", "wear_land": "0.15 mm", "what": "wear land"},
        {"end_depth": "0.25 mm", "what": "end wear"},
    ],
    "allow": {"finish_radial": "0.01 mm", "finish_end": "0.05 mm", "stylus_distance": "1.5 mm"},
    "limits": {
        "diameter": "9.2 mm", "rake_deg": 0, "flute_depth": "0.8 mm", "usable_length": "12 mm",
        "published_reduction": False,
    },
    "uncertainty": {
        "diameter": "2 um", "tooth_reading": "1 um", "depth": "5 um", "wear_land": "10 um", "core_diameter": "20 um",
        "rake_deg": 0.5, "flute_length": "50 um",
    },
    "typical": {"stock_radial": "0.12 mm", "cut_back": "0.4 mm"},
}
TOTAL_READING = ("measured", "tir")
REQUIRED = (
    ("tool",), ("tool", "kind"), ("tool", "teeth"), ("tool", "nominal_diameter"), ("tool", "flute_length"),
    ("measured",), ("measured", "diameter"), ("measured", "method"), ("allow",), ("allow", "finish_radial"),
    ("allow", "finish_end"), ("allow", "stylus_distance"), ("damage", 0, "tooth"), ("damage", 0, "from"),
    ("damage", 0, "to"), ("damage", 0, "depth"), ("damage", 1, "wear_land"), ("damage", 2, "end_depth"),
)
BAD_LENGTHS = (
    "", " ", "mm", "5", "5.0", "5 furlong", "five mm", "--5 mm", "+-5 mm", "1/0 in", "1/ in", "/4 in", "1e1 mm",
    "1E-3 in", "1,000 mm", "1,000.5 mm", "1_0 mm", "0x10 mm", "5 mm mm", "5 mm 3", "5..0 mm", "5.0.0 mm", "nan mm",
    "inf mm", "NaN", "Infinity mm", "10001 mm", "394 in", "99999999999999999999 mm", "5 mm\n6 mm", "5\x00 mm",
    "mm 5", "٣ mm",
)
HUGE_DIGITS = "9" * 5000 + " mm"
WRONG_KINDS = ("rougher", "step drill", "spot drill", "router", "form")
NOT_KINDS = ("endmill!", "", "lathe tool", "teapot")


@dataclass(frozen=True)
class Spoiled:
    """One refused case: what was done, its text, the field to be named, and a word that the message must hold."""

    what: str
    text: str
    field: str
    word: str = ""


def spoiled_cases() -> Iterator[Spoiled]:
    """Every spoiled case, in a fixed order."""
    for source in (
        _missing, _unknown_keys, _nulls, _wrong_types, _not_finite, _bad_lengths, _negative_lengths, _angles, _counts,
        _marks, _radii, _readings, _methods, _kinds, _doubled_keys, _broken_text,
    ):
        yield from source()


def _changed(path: tuple, value: object, *, drop: bool = False) -> dict:
    case = copy.deepcopy(BASE)
    if path == TOTAL_READING:
        del case["measured"]["tooth_readings"]
    holder = case
    for step in path[:-1]:
        holder = holder[step]
    if drop:
        del holder[path[-1]]
    else:
        holder[path[-1]] = value
    return case


def _field(path: tuple) -> str:
    names = [step for step in path if isinstance(step, str)]
    return names[-1]


def _spoil(what: str, path: tuple, value: object, word: str = "") -> Spoiled:
    told = f"{what}: {'.'.join(map(str, path))} = {value!r:.60}"
    return Spoiled(told, json.dumps(_changed(path, value)), _field(path), word)


def _places(node: object = BASE, path: tuple = ()) -> Iterator[tuple[tuple, object]]:
    """Every place of the base case with what stands there, objects and lists included."""
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in inner:
        yield (*path, key), value
        yield from _places(value, (*path, key))


def _leaves(keep: Callable[[object], bool]) -> Iterator[tuple]:
    yield from (path for path, value in _places() if keep(value))


def _is_length(value: object) -> bool:
    return isinstance(value, str) and value.split(" ")[-1] in ("mm", "um")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _missing() -> Iterator[Spoiled]:
    for path in REQUIRED:
        field = _field(path)
        if field in ("depth", "wear_land", "end_depth"):
            field = "damage|depth|wear_land|end_depth|tooth"
        yield Spoiled(f"missing: {path}", json.dumps(_changed(path, None, drop=True)), field)


def _unknown_keys() -> Iterator[Spoiled]:
    objects = [()] + [path for path, value in _places() if isinstance(value, dict)]
    for path in objects:
        yield _spoil("unknown key", (*path, "colour_of_tube"), "1 mm")
        yield _spoil("unknown key", (*path, "Diameter"), "1 mm")


def _nulls() -> Iterator[Spoiled]:
    for path, _ in _places():
        if _field(path) != "secondary_relief_deg":
            yield _spoil("null", path, None)
    yield _spoil("null", TOTAL_READING, None)


def _wrong_types() -> Iterator[Spoiled]:
    for path in _leaves(_is_length):
        for value in (5, 0.25, True, ["1 mm"], {"mm": 1}):
            yield _spoil("not a length", path, value)
    for path in _leaves(_is_number):
        for value in ("8", "8 deg", True, False, [8], {}):
            yield _spoil("not a number", path, value)
    for path in _leaves(lambda value: isinstance(value, bool)):
        for value in (0, 1, "true", "", []):
            yield _spoil("not true or false", path, value)
    for path in _leaves(lambda value: isinstance(value, dict)):
        for value in ([], "x", 3, True):
            yield _spoil("not an object", path, value)
    for path in _leaves(lambda value: isinstance(value, list)):
        for value in ({}, "0 mm", 3, True):
            yield _spoil("not a list", path, value)
    for key in ("kind", "material", "hand_of_cut", "hand_of_helix"):
        for value in (5, True, [], {}):
            yield _spoil("not a word", ("tool", key), value)
    for value in (5, True, ["micrometer"], {}):
        yield _spoil("not a word", ("measured", "method"), value)
        yield _spoil("not a word", ("damage", 0, "what"), value)


def _not_finite() -> Iterator[Spoiled]:
    for path in _leaves(_is_number):
        for text in ("NaN", "Infinity", "-Infinity", "1e999", "-1e999"):
            case = json.dumps(_changed(path, "@@")).replace('"@@"', text)
            yield Spoiled(f"not finite: {path} = {text}", case, _field(path))


def _bad_lengths() -> Iterator[Spoiled]:
    for path in (*_leaves(_is_length), TOTAL_READING):
        for text in (*BAD_LENGTHS, HUGE_DIGITS):
            yield _spoil("not a length", path, text)


def _negative_lengths() -> Iterator[Spoiled]:
    for path in (*_leaves(_is_length), TOTAL_READING):
        if "tooth_readings" not in path and "limits" not in path:
            yield _spoil("negative", path, "-1 um")
    for key in ("nominal_diameter", "flute_length", "face_arc_radius"):
        yield _spoil("nought", ("tool", key), "0 mm")
    yield _spoil("nought", ("measured", "diameter"), "0 mm")


def _angles() -> Iterator[Spoiled]:
    for key in ("primary_relief_deg", "secondary_relief_deg"):
        for value in (-0.001, -12, 45.001, 90, 1e300):
            yield _spoil("relief", ("tool", key), value, "45")
    for value in (-30.001, -90, 40.001, 180):
        yield _spoil("rake", ("tool", "rake_deg"), value, "40")
    for value in (-0.001, -30, 70.001, 90):
        yield _spoil("helix", ("tool", "helix_deg"), value, "70")
    for value in (12, 11.999, 0):
        yield _spoil("secondary not above primary", ("tool", "secondary_relief_deg"), value, "12")
    yield _spoil("negative", ("uncertainty", "rake_deg"), -0.1)


def _counts() -> Iterator[Spoiled]:
    for value in (1, 0, -3, 100, 3.5, 2.0000001, 10**30):
        yield _spoil("teeth", ("tool", "teeth"), value, "99")
    for value in (0, 5, -1, 1.5, 10**30):
        yield _spoil("tooth", ("damage", 0, "tooth"), value)


def _marks() -> Iterator[Spoiled]:
    yield _spoil("beyond the flute", ("damage", 0, "to"), "22.001 mm")
    case = _changed(("damage", 0, "from"), "1.501 mm")
    yield Spoiled("from beyond to", json.dumps(case), "from|to")
    case = _changed(("damage", 0, "wear_land"), "0.1 mm")
    yield Spoiled("depth and wear land", json.dumps(case), "depth|wear_land")
    case = _changed(("damage", 2, "depth"), "0.1 mm")
    yield Spoiled("end depth and depth", json.dumps(case), "depth|end_depth")
    case = _changed(("damage", 2, "tooth"), 1)
    yield Spoiled("end depth on a tooth", json.dumps(case), "tooth|end_depth")
    yield Spoiled("empty mark", json.dumps(_changed(("damage", 0), {})), "damage")


def _radii() -> Iterator[Spoiled]:
    # As the case stands the highest tooth's radius is 4.991 mm, the core's 3 mm.
    for text in ("9.984 mm", "12 mm", "1 in"):
        yield _spoil("core not inside", ("tool", "core_diameter"), text)
    small = json.dumps(_changed(("measured", "diameter"), "5.9 mm"))
    yield Spoiled("core not inside", small, "core_diameter|diameter")
    yield _spoil("depth beyond the core", ("damage", 0, "depth"), "2 mm")
    yield _spoil("wear beyond the core", ("damage", 1, "wear_land"), "8 mm")


def _readings() -> Iterator[Spoiled]:
    bad = {
        "too few": ["0 mm", "-1 um", "-2 um"], "too many": ["0 mm"] * 5, "none at nought": ["-1 um"] * 4,
        "above nought": ["0 mm", "1 um", "0 mm", "0 mm"], "empty": [],
        "a number among them": ["0 mm", 0, "0 mm", "0 mm"],
    }
    for what, readings in bad.items():
        yield _spoil(what, ("measured", "tooth_readings"), readings)
    case = _changed(("measured", "shank_tir"), "1 um")
    case["measured"]["tir"] = "4 um"
    yield Spoiled("readings and tir", json.dumps(case), "tir|tooth_readings")


def _methods() -> Iterator[Spoiled]:
    for value in ("v-anvil", "caliper", "", "V ANVIL"):
        yield _spoil("method", ("measured", "method"), value)
    for teeth, method in ((3, "micrometer"), (9, "micrometer"), (2, "v-anvil"), (6, "v-anvil")):
        yield Spoiled(f"{method} with {teeth} teeth", _alike(teeth, method, {}), "method")
    for teeth, method in ((4, "micrometer"), (3, "v-anvil")):
        text = _alike(teeth, method, {"unequal_index": True})
        yield Spoiled(f"{method}, unequal index", text, "method|unequal_index")
    for key in ("hand_of_cut", "hand_of_helix"):
        yield _spoil("hand", ("tool", key), "upper")


def _alike(teeth: int, method: str, more: dict) -> str:
    case = copy.deepcopy(BASE)
    case["tool"] |= {"teeth": teeth} | more
    del case["measured"]["tooth_readings"]
    case["measured"]["method"] = method
    return json.dumps(case)


def _kinds() -> Iterator[Spoiled]:
    for kind in WRONG_KINDS:
        yield _spoil("kind not computed", ("tool", "kind"), kind, "not computed")
    for kind in NOT_KINDS:
        yield _spoil("no such kind", ("tool", "kind"), kind)


def _doubled_keys() -> Iterator[Spoiled]:
    text = json.dumps(BASE)
    for old, field in (
        ('"teeth": 4', "teeth"), ('"method": "micrometer"', "method"), ('"to": "1.5 mm"', "to"),
        ('"finish_end": "0.05 mm"', "finish_end"), ('"stock_radial": "0.12 mm"', "stock_radial"),
    ):
        assert text.count(old) == 1
        yield Spoiled(f"doubled: {field}", text.replace(old, f"{old}, {old}"), field)
    yield Spoiled("doubled: tool", '{"tool": {}, ' + text[1:], "tool")


def _broken_text() -> Iterator[Spoiled]:
    text = json.dumps(BASE)
    for broken in (
        text[:-1], text[:200], text + "}", text[:-1] + ",}", text.replace('"', "'"), "{", "[", "nonsense", "{]",
        text + text, text.replace("true", "True") + " # note", '{"tool"', "[" * 100_000,
    ):
        yield Spoiled(f"broken text: {broken[:20]}...{broken[-10:]}", broken, "")
    for whole in ("[]", "[1]", '"case"', "3", "true", "null", f"[{text}]"):
        yield Spoiled(f"no object: {whole[:20]}", whole, "")
