"""Spoils valid cases of the headless plan in one place at a time, and names the field that the refusal must name.

Each spoiled case is (text of the case, name of the field, a word the message must hold or ""). The list follows the
interface's own words: keys, nulls, types, numbers, spellings of lengths, ranges, kinds, teeth and methods.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from tests.geometry.spoiler_base import (
    BAD_LENGTHS,
    BASE,
    HUGE_DIGITS,
    NOT_KINDS,
    REQUIRED,
    TOTAL_READING,
    WRONG_KINDS,
)


@dataclass(frozen=True)
class Spoiled:
    """One refused case: what was done, its text, the field to be named, and a word that the message must hold."""

    label: str
    text: str
    field: str
    word: str = ""


def spoiled_cases() -> Iterator[Spoiled]:
    """Every spoiled case, in a fixed order."""
    for source in (
        _missing,
        _unknown_keys,
        _nulls,
        _wrong_types,
        _not_finite,
        _bad_lengths,
        _negative_lengths,
        _angles,
        _counts,
        _marks,
        _radii,
        _readings,
        _methods,
        _kinds,
        _doubled_keys,
        _broken_text,
    ):
        yield from source()


def changed(path: tuple, value: object, *, drop: bool = False) -> dict:
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


def spoil(label: str, path: tuple, value: object, word: str = "") -> Spoiled:
    told = f"{label}: {'.'.join(map(str, path))} = {value!r:.60}"
    return Spoiled(told, json.dumps(changed(path, value)), _field(path), word)


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
        yield Spoiled(f"missing: {path}", json.dumps(changed(path, None, drop=True)), field)


def _unknown_keys() -> Iterator[Spoiled]:
    objects = [()] + [path for path, value in _places() if isinstance(value, dict)]
    for path in objects:
        yield spoil("unknown key", (*path, "colour_of_tube"), "1 mm")
        yield spoil("unknown key", (*path, "Diameter"), "1 mm")


def _nulls() -> Iterator[Spoiled]:
    for path, _ in _places():
        if _field(path) != "secondary_relief_deg":
            yield spoil("null", path, None)
    yield spoil("null", TOTAL_READING, None)


def _wrong_types() -> Iterator[Spoiled]:
    for path in _leaves(_is_length):
        for value in (5, 0.25, True, ["1 mm"], {"mm": 1}):
            yield spoil("not a length", path, value)
    for path in _leaves(_is_number):
        for value in ("8", "8 deg", True, False, [8], {}):
            yield spoil("not a number", path, value)
    for path in _leaves(lambda value: isinstance(value, bool)):
        for value in (0, 1, "true", "", []):
            yield spoil("not true or false", path, value)
    for path in _leaves(lambda value: isinstance(value, dict)):
        for value in ([], "x", 3, True):
            yield spoil("not an object", path, value)
    for path in _leaves(lambda value: isinstance(value, list)):
        for value in ({}, "0 mm", 3, True):
            yield spoil("not a list", path, value)
    for key in ("kind", "material", "hand_of_cut", "hand_of_helix"):
        for value in (5, True, [], {}):
            yield spoil("not a word", ("tool", key), value)
    for value in (5, True, ["micrometer"], {}):
        yield spoil("not a word", ("measured", "method"), value)
        yield spoil("not a word", ("damage", 0, "what"), value)


def _not_finite() -> Iterator[Spoiled]:
    for path in _leaves(_is_number):
        for text in ("NaN", "Infinity", "-Infinity", "1e999", "-1e999"):
            case = json.dumps(changed(path, "@@")).replace('"@@"', text)
            yield Spoiled(f"not finite: {path} = {text}", case, _field(path))


def _bad_lengths() -> Iterator[Spoiled]:
    for path in (*_leaves(_is_length), TOTAL_READING):
        for text in (*BAD_LENGTHS, HUGE_DIGITS):
            yield spoil("not a length", path, text)


def _negative_lengths() -> Iterator[Spoiled]:
    for path in (*_leaves(_is_length), TOTAL_READING):
        if not {"tooth_readings", "end_readings", "limits"} & set(path):
            yield spoil("negative", path, "-1 um")
    for key in ("nominal_diameter", "flute_length", "face_arc_radius"):
        yield spoil("nought", ("tool", key), "0 mm")
    yield spoil("nought", ("measured", "diameter"), "0 mm")


def _angles() -> Iterator[Spoiled]:
    for key in ("primary_relief_deg", "secondary_relief_deg"):
        for value in (-0.001, -12, 45.001, 90, 1e300):
            yield spoil("relief", ("tool", key), value, "45")
    for value in (-30.001, -90, 40.001, 180):
        yield spoil("rake", ("tool", "rake_deg"), value, "40")
    for value in (-0.001, -30, 70.001, 90):
        yield spoil("helix", ("tool", "helix_deg"), value, "70")
    for value in (12, 11.999, 0):
        yield spoil("secondary not above primary", ("tool", "secondary_relief_deg"), value, "12")
    yield spoil("negative", ("uncertainty", "rake_deg"), -0.1)


def _counts() -> Iterator[Spoiled]:
    for value in (1, 0, -3, 100, 3.5, 2.0000001, 10**30):
        yield spoil("teeth", ("tool", "teeth"), value, "99")
    for value in (0, 5, -1, 1.5, 10**30):
        yield spoil("tooth", ("damage", 0, "tooth"), value)


def _marks() -> Iterator[Spoiled]:
    yield spoil("beyond the flute", ("damage", 0, "to"), "22.001 mm")
    case = changed(("damage", 0, "from"), "1.501 mm")
    yield Spoiled("from beyond to", json.dumps(case), "from|to")
    case = changed(("damage", 0, "wear_land"), "0.1 mm")
    yield Spoiled("depth and wear land", json.dumps(case), "depth|wear_land")
    case = changed(("damage", 2, "depth"), "0.1 mm")
    yield Spoiled("end depth and depth", json.dumps(case), "depth|end_depth")
    yield spoil("end depth on no tooth", ("damage", 2, "tooth"), 5)
    yield Spoiled("empty mark", json.dumps(changed(("damage", 0), {})), "damage")


def _radii() -> Iterator[Spoiled]:
    # As the case stands the highest tooth's radius is 4.991 mm, the core's 3 mm.
    for text in ("9.984 mm", "12 mm", "1 in"):
        yield spoil("core not inside", ("tool", "core_diameter"), text)
    small = json.dumps(changed(("measured", "diameter"), "5.9 mm"))
    yield Spoiled("core not inside", small, "core_diameter|diameter")
    yield spoil("depth beyond the core", ("damage", 0, "depth"), "2 mm")
    yield spoil("wear beyond the core", ("damage", 1, "wear_land"), "8 mm")


def _readings() -> Iterator[Spoiled]:
    bad = {
        "too few": ["0 mm", "-1 um", "-2 um"],
        "too many": ["0 mm"] * 5,
        "none at nought": ["-1 um"] * 4,
        "above nought": ["0 mm", "1 um", "0 mm", "0 mm"],
        "empty": [],
        "a number among them": ["0 mm", 0, "0 mm", "0 mm"],
    }
    for label, readings in bad.items():
        yield spoil(label, ("measured", "tooth_readings"), readings)
    case = changed(("measured", "shank_tir"), "1 um")
    case["measured"]["tir"] = "4 um"
    yield Spoiled("readings and tir", json.dumps(case), "tir|tooth_readings")


def _methods() -> Iterator[Spoiled]:
    for value in ("v-anvil", "caliper", "", "V ANVIL"):
        yield spoil("method", ("measured", "method"), value)
    for teeth, method in ((3, "micrometer"), (9, "micrometer"), (2, "v-anvil"), (6, "v-anvil")):
        yield Spoiled(f"{method} with {teeth} teeth", _alike(teeth, method, {}), "method")
    for teeth, method in ((4, "micrometer"), (3, "v-anvil")):
        text = _alike(teeth, method, {"unequal_index": True})
        yield Spoiled(f"{method}, unequal index", text, "method|unequal_index")
    for key in ("hand_of_cut", "hand_of_helix"):
        yield spoil("hand", ("tool", key), "upper")


def _alike(teeth: int, method: str, more: dict) -> str:
    case = copy.deepcopy(BASE)
    case["tool"] |= {"teeth": teeth} | more
    case["damage"] = case["damage"][:2]
    del case["measured"]["tooth_readings"], case["measured"]["end_readings"]
    case["measured"]["method"] = method
    return json.dumps(case)


def _kinds() -> Iterator[Spoiled]:
    for kind in WRONG_KINDS:
        yield spoil("kind not computed", ("tool", "kind"), kind, "not computed")
    for kind in NOT_KINDS:
        yield spoil("no such kind", ("tool", "kind"), kind)


def _doubled_keys() -> Iterator[Spoiled]:
    text = json.dumps(BASE)
    for old, field in (
        ('"teeth": 4', "teeth"),
        ('"method": "micrometer"', "method"),
        ('"to": "1.5 mm"', "to"),
        ('"finish_end": "0.05 mm"', "finish_end"),
        ('"stock_radial": "0.12 mm"', "stock_radial"),
    ):
        assert text.count(old) == 1
        yield Spoiled(f"doubled: {field}", text.replace(old, f"{old}, {old}"), field)
    yield Spoiled("doubled: tool", '{"tool": {}, ' + text[1:], "tool")


def _broken_text() -> Iterator[Spoiled]:
    text = json.dumps(BASE)
    for broken in (
        text[:-1],
        text[:200],
        text + "}",
        text[:-1] + ",}",
        text.replace('"', "'"),
        "{",
        "[",
        "nonsense",
        "{]",
        text + text,
        text.replace("true", "True") + " # note",
        '{"tool"',
        "[" * 100_000,
    ):
        yield Spoiled(f"broken text: {broken[:20]}...{broken[-10:]}", broken, "")
    for whole in ("[]", "[1]", '"case"', "3", "true", "null", f"[{text}]"):
        yield Spoiled(f"no object: {whole[:20]}", whole, "")
