"""From a case's values to its JSON, under the keys that `case.read` reads: to store what a plan was worked out from."""

import dataclasses
from typing import Any

from regrind.geometry.case import read
from regrind.geometry.inputs import FACE_ONLY, SQUARE, Case, Corner, EndMark, EndTeeth, Mark, Tool
from regrind.geometry.units import write_mm

_SIZES = {"chamfer": "width", "radius": "radius"}
_ENDS = {
    "inner_radius": "end_inner_radius",
    "primary_relief_deg": "end_primary_relief_deg",
    "land": "end_land",
    "secondary_relief_deg": "end_secondary_relief_deg",
    "rake_deg": "end_rake_deg",
}
_APART = {"one_relief", "corner", "end_teeth", "relief_form"}


def take_snapshot(case: Case) -> dict[str, Any]:
    """The JSON of a case that was built of values, seen to say the same when it is read again.

    Its marks carry their places, `damage[0]` on, and its end marks come after them. Raises Refused as `case.read`
    does, by the dotted path of the value that cannot be.
    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> from regrind.geometry.example import read_example
    >>> take_snapshot(read_example())["damage"][2]
    {'end_depth': '0.254 mm', 'what': 'end wear'}
    """
    written = write(case)
    if read(written) != case:
        raise ValueError("the snapshot does not say what the case says")
    return written


def write(case: Case) -> dict[str, Any]:
    """The case as JSON gives it: lengths as exact text in mm, angles in degrees; what was not said is left out.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> from regrind.geometry.example import read_example
    >>> write(read_example())["allow"]["finish_radial"]
    '0.0127 mm'
    """
    damage = [_write_mark(mark) for mark in case.marks] + [_write_end(end) for end in case.end_marks]
    written = {
        "tool": _write_tool(case.tool),
        "measured": _write_part(case.measured),
        "damage": damage,
        "allow": _write_part(case.allow),
        "limits": _write_part(case.limits),
        "uncertainty": _write_part(case.uncertainty),
    }
    written |= {"typical": _write_part(case.typical)} if case.typical else {}
    written |= {"accept": [_write_corner(corner) for corner in case.accept]} if case.accept else {}
    return written | ({"ways": list(case.ways)} if case.ways != ("flank",) else {})


def _write_part(part: Any) -> dict[str, Any]:
    """One part's fields, but for what a case is read as that leaves the key out."""
    written: dict[str, Any] = {}
    for field in dataclasses.fields(part):
        value = getattr(part, field.name)
        if field.name in _APART or value is None or value == field.default:
            continue
        if field.name.endswith("_nm"):
            value = [write_mm(nm) for nm in value] if isinstance(value, tuple) else write_mm(value)
        written[field.name.removesuffix("_nm")] = value
    return written


def _write_tool(tool: Tool) -> dict[str, Any]:
    written = _write_part(tool) | _write_end_teeth(tool.end_teeth)
    written |= {"secondary_relief_deg": None} if tool.one_relief else {}
    written |= {"corner": _write_corner(tool.corner)} if tool.corner != SQUARE else {}
    usual = "spiral" if tool.kind in FACE_ONLY else "flat"
    return written | ({"relief_form": tool.relief_form} if tool.relief_form != usual else {})


def _write_end_teeth(end: EndTeeth) -> dict[str, Any]:
    return {_ENDS.get(key, key): value for key, value in _write_part(end).items()}


def _write_corner(corner: Corner) -> dict[str, Any]:
    size = {_SIZES[corner.form]: write_mm(corner.size_nm)} if corner.form in _SIZES else {}
    return {"form": corner.form, **size} | ({} if corner.agreed else {"agreed": False})


def _write_mark(mark: Mark) -> dict[str, Any]:
    lengths = {"depth": mark.depth_radial_nm, "wear_land": mark.wear_land_nm, "back": mark.back_nm}
    where = (
        {"from": write_mm(mark.start_nm), "to": write_mm(mark.to_nm)}
        if mark.arc_deg is None
        else {"from_deg": mark.arc_deg[0], "to_deg": mark.arc_deg[1]}
    )
    return {"tooth": mark.tooth, **where, **_said(lengths, mark.label)}


def _write_end(end: EndMark) -> dict[str, Any]:
    tooth = {} if end.tooth is None else {"tooth": end.tooth}
    return tooth | _said({"end_depth": end.depth_axial_nm, "end_wear_land": end.wear_land_nm}, end.label)


def _said(lengths: dict[str, int | None], label: str) -> dict[str, str]:
    written = {key: write_mm(nm) for key, nm in lengths.items() if nm is not None}
    return written | ({"what": label} if label else {})
