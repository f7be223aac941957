"""Reading the damage: marks on the sides, on the corner's arc and on the end face."""

from regrind.geometry.fields import Fields
from regrind.geometry.inputs import EndMark, Mark, Tool, Way

_ON_ARCS = ("radius", "ball")


def read_damage(
    fields: Fields, tool: Tool | None, ways: tuple[Way, ...]
) -> tuple[tuple[Mark, ...], tuple[EndMark, ...]]:
    """The marks on the teeth and those on the end face, in their order.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> marks, ends = read_damage(Fields({"damage": [{"end_depth": "0.1 mm"}]}, "", []), None, ("flank",))
    >>> ends[0].depth_axial_nm
    100000
    """
    marks: list[Mark] = []
    ends: list[EndMark] = []
    for index, value in enumerate(fields.items("damage") or ()):
        entry = Fields(value, f"damage[{index}]", fields.problems)
        label = entry.text_if("what") or ""
        if entry.broken:
            continue
        if entry.has("end_depth") or entry.has("end_wear_land"):
            ends.append(_read_end_mark(entry, tool, label))
        else:
            marks.append(_read_mark(entry, tool, label, face_alone=ways == ("face",)))
        entry.close()
    return tuple(marks), tuple(ends)


def _read_end_mark(fields: Fields, tool: Tool | None, label: str) -> EndMark:
    depth, wear = fields.length_if("end_depth"), fields.length_if("end_wear_land")
    tooth = _read_tooth(fields, tool) if fields.has("tooth") else None
    fields.read_keys.add("tooth")
    _check_flute(fields, "end_depth", depth or 0, tool)
    if fields.has("end_depth") and fields.has("end_wear_land"):
        fields.refuse("end_wear_land", "cannot stand beside end_depth: give one of the two")
    elif wear is not None and tool and None in (tool.end_teeth.primary_relief_deg, tool.end_teeth.rake_deg):
        fields.refuse("end_wear_land", "needs tool.end_primary_relief_deg and tool.end_rake_deg, or give end_depth")
    return EndMark(depth, label, wear, tooth)


def _read_mark(fields: Fields, tool: Tool | None, label: str, *, face_alone: bool) -> Mark:
    tooth = _read_tooth(fields, tool)
    arc, start, to = None, 0, 0
    if fields.has("from_deg") or fields.has("to_deg"):
        arc = _read_arc(fields, tool)
    else:
        start, to = fields.length("from"), fields.length("to")
        _check_flute(fields, "to", to, tool)
        if to < start:
            fields.refuse("to", "must not be before from: both count from the end face back")
    depth, wear, back = _read_depth(fields, face_alone=face_alone)
    return Mark(fields.path, tooth, start, to, depth, wear, label, arc, back)


def _read_tooth(fields: Fields, tool: Tool | None) -> int:
    return fields.whole("tooth", 1, (tool.teeth if tool else 0) or 99)


def _read_arc(fields: Fields, tool: Tool | None) -> tuple[float, float]:
    start, to = fields.number("from_deg", 0, 90), fields.number("to_deg", 0, 90)
    if tool and tool.corner.form not in _ON_ARCS:
        fields.refuse("from_deg", f"needs a corner radius or a ball; this corner is {tool.corner.form}: give from, to")
    elif to < start:
        fields.refuse("to_deg", "must not be below from_deg: both count from the axis, 0 the tip and 90 the side")
    return start, to


def _read_depth(fields: Fields, *, face_alone: bool) -> tuple[int | None, int | None, int | None]:
    """Depth or wear land, one of the two, and how far back; where the face alone is ground that may stand by itself."""
    depth, wear, back = (fields.length_if(key) for key in ("depth", "wear_land", "back"))
    if fields.has("depth") and fields.has("wear_land"):
        fields.refuse("wear_land", "cannot stand beside depth: give one of the two")
    elif face_alone and not (fields.has("back") or fields.has("wear_land")):
        fields.refuse("back", "is missing: give back or wear_land where the face alone is ground")
    elif not face_alone and not (fields.has("depth") or fields.has("wear_land")):
        fields.refuse("depth", "is missing: give depth or wear_land")
    return depth, wear, back


def _check_flute(fields: Fields, key: str, nm: int, tool: Tool | None) -> None:
    longest = tool.flute_length_nm if tool else 0
    if 0 < longest < nm:
        fields.refuse(key, f"is beyond the flute length: must be from 0 to {longest / 1e6:.6g} mm")
