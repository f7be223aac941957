"""From a case's values to its JSON, under the keys that `case.read` reads: to store what a plan was worked out from."""

import dataclasses
from typing import Any

from regrind.geometry.given import Case, EndMark, Mark
from regrind.geometry.units import write_mm


def write(case: Case) -> dict[str, Any]:
    """The case as JSON gives it: lengths as exact text in mm, angles in degrees; what was not said is left out.

    `case.read` makes the same case of it, its marks before its end marks and named anew by their place.

    >>> from regrind.geometry.example import read_example
    >>> write(read_example())["damage"][2]
    {'end_depth': '0.254 mm', 'what': 'end wear'}
    """
    damage = [_write_mark(mark) for mark in case.marks] + [_write_end(end) for end in case.end_marks]
    found: dict[str, Any] = {"tool": _write_part(case.tool), "measured": _write_part(case.measured), "damage": damage,
                             "allow": {name.removesuffix("_nm"): write_mm(nm)
                                       for name, nm in dataclasses.asdict(case.allow).items()},
                             "limits": _write_part(case.limits), "uncertainty": _write_part(case.uncertainty)}
    if case.tool.one_relief:
        found["tool"]["secondary_relief_deg"] = None
    return found | ({"typical": _write_part(case.typical)} if case.typical else {})


def _write_part(part: Any) -> dict[str, Any]:
    """One part's fields; None, no and, of an uncertainty, 0 are what a case that leaves the key out is read as."""
    told: dict[str, Any] = {}
    for field in dataclasses.fields(part):
        value = getattr(part, field.name)
        if field.name == "one_relief" or value is None or value is False or value == field.default:
            continue
        if field.name.endswith("_nm"):
            value = [write_mm(nm) for nm in value] if isinstance(value, tuple) else write_mm(value)
        told[field.name.removesuffix("_nm")] = value
    return told


def _write_mark(mark: Mark) -> dict[str, Any]:
    lengths = {"from": mark.start_nm, "to": mark.to_nm, "depth": mark.depth_radial_nm, "wear_land": mark.wear_land_nm}
    told: dict[str, Any] = {key: write_mm(nm) for key, nm in lengths.items() if nm is not None}
    return {"tooth": mark.tooth, **told, **_what(mark.what)}


def _write_end(end: EndMark) -> dict[str, Any]:
    return {"end_depth": write_mm(end.depth_axial_nm), **_what(end.what)}


def _what(words: str) -> dict[str, str]:
    return {"what": words} if words else {}
