"""From the JSON of a case to its value objects: the only place that knows the keys of the headless plan."""

from collections.abc import Mapping
from typing import Any, cast

from regrind.geometry.errors import Refused
from regrind.geometry.fields import Fields, Problems, read_signed_length
from regrind.geometry.given import (
    Allow,
    Case,
    EndMark,
    Hand,
    Limits,
    Mark,
    Measured,
    Method,
    Tool,
    Typical,
    Uncertainty,
)
from regrind.geometry.possible import (
    DEGREES,
    LEAST_TEETH,
    MOST_TEETH,
    see_depth,
    see_method,
    see_on_flute,
    see_reading,
    see_readings,
    see_reliefs,
    see_span,
)
from regrind.geometry.present import stand

KIND = "end mill"
OTHER_KINDS = (
    "rougher", "roughing end mill", "chamfer", "chamfer mill", "countersink", "drill", "stepdrill", "step drill",
    "spot drill", "reamer", "saw", "slitting saw", "side cutter", "form", "form cutter", "tap", "engraver", "router",
    "sidecutter", "keyseat", "special", "other",
)
_HANDS = ("right", "left")
_METHODS = ("micrometer", "v-anvil", "swept")


def read(data: Mapping[str, Any]) -> Case:
    """Read a case as JSON gives it (dicts, lists, text, numbers) and see that it can be.

    Raises Refused: `field` is the first fault's dotted path (`measured.tooth_readings`, `damage[2].to`, counted
    from 0), `message` says what is wrong and what is allowed, `others` hold the further faults.

    >>> case = read({
    ...     "tool": {"kind": "end mill", "teeth": 4, "nominal_diameter": "1/2 in", "flute_length": "1 in"},
    ...     "measured": {"diameter": ".4995 in", "method": "micrometer"},
    ...     "allow": {"finish_radial": ".5 thou", "finish_end": "2 thou", "stylus_distance": ".06 in"}})
    >>> case.measured.diameter_nm
    12687300
    """
    problems: Problems = []
    fields = Fields(data, "", problems)
    tool = _read_tool(fields.part("tool", needed=True))
    measured = _read_measured(fields.part("measured", needed=True), tool)
    marks, end_marks = _read_damage(fields, tool)
    allow = _read_allow(fields.part("allow", needed=True))
    limits, uncertainty = _read_limits(fields.part("limits")), _read_uncertainty(fields.part("uncertainty"))
    typical = _read_typical(fields.part("typical"))
    fields.close()
    if problems or tool is None or measured is None or allow is None:
        raise Refused.of(problems)
    case = Case(tool, measured, marks, end_marks, allow, limits, uncertainty, typical)
    stand(case)
    return case


def _read_tool(fields: Fields | None) -> Tool | None:
    if fields is None:
        return None
    _check_kind(fields)
    one_relief = fields.has("secondary_relief_deg") and fields.data["secondary_relief_deg"] is None
    fields.seen.add("secondary_relief_deg")
    tool = Tool(
        kind=KIND,
        teeth=fields.whole("teeth", LEAST_TEETH, MOST_TEETH),
        nominal_diameter_nm=fields.length("nominal_diameter", above_zero=True),
        flute_length_nm=fields.length("flute_length", above_zero=True),
        material=fields.text_if("material"),
        hand_of_cut=cast("Hand | None", fields.choice("hand_of_cut", _HANDS)),
        hand_of_helix=cast("Hand | None", fields.choice("hand_of_helix", _HANDS)),
        helix_deg=fields.number_if("helix_deg", *DEGREES["tool.helix_deg"]),
        core_diameter_nm=fields.length_if("core_diameter", above_zero=True),
        rake_deg=fields.number_if("rake_deg", *DEGREES["tool.rake_deg"]),
        primary_relief_deg=fields.number_if("primary_relief_deg", *DEGREES["tool.primary_relief_deg"]),
        secondary_relief_deg=None if one_relief else fields.number_if(
            "secondary_relief_deg", *DEGREES["tool.secondary_relief_deg"]),
        one_relief=one_relief,
        primary_land_nm=fields.length_if("primary_land"),
        face_arc_radius_nm=fields.length_if("face_arc_radius", above_zero=True),
        gash_length_nm=fields.length_if("gash_length"),
        sides_ground_before=fields.flag("sides_ground_before"),
        unequal_index=fields.flag("unequal_index"),
    )
    see_reliefs(tool, fields.refuse)
    fields.close()
    return tool


def _check_kind(fields: Fields) -> None:
    kind = fields.take("kind", needed=True)
    if kind in OTHER_KINDS:
        fields.refuse("kind", f'the geometry of a {kind} is not computed yet; the kind must be "{KIND}"')
    elif kind is not None and kind != KIND:
        fields.refuse("kind", f'must be "{KIND}", the only kind whose geometry is computed yet')


def _read_measured(fields: Fields | None, tool: Tool | None) -> Measured | None:
    if fields is None:
        return None
    diameter = fields.length("diameter", above_zero=True)
    method = fields.choice("method", _METHODS, needed=True)
    readings = _read_readings(fields, tool)
    tir = fields.length_if("tir")
    if fields.has("tooth_readings") and fields.has("tir"):
        fields.refuse("tir", "cannot stand beside tooth_readings: give one of the two")
    shank = fields.length_if("shank_tir")
    fields.close()
    if method is None:
        return None
    measured = Measured(diameter, cast(Method, method), readings, tir, shank)
    if tool is not None:
        see_method(measured, tool, fields.refuse)
    return measured


def _read_readings(fields: Fields, tool: Tool | None) -> tuple[int, ...] | None:
    values, path = fields.items("tooth_readings"), fields.name("tooth_readings")
    if values is None:
        return None
    before, problems = len(fields.problems), fields.problems
    readings = [_read_reading(value, f"{path}[{index}]", problems) for index, value in enumerate(values)]
    see_readings(readings, tool.teeth if tool else 0, fields.refuse, sound=len(problems) == before)
    return tuple(readings)


def _read_reading(value: Any, path: str, problems: Problems) -> int:
    if value is None:
        problems.append((path, "must not be null"))
    nm = read_signed_length(value, path, problems) or 0
    see_reading(nm, path, lambda key, message: problems.append((key, message)))
    return nm


def _read_damage(fields: Fields, tool: Tool | None) -> tuple[tuple[Mark, ...], tuple[EndMark, ...]]:
    marks: list[Mark] = []
    ends: list[EndMark] = []
    for index, value in enumerate(fields.items("damage") or ()):
        found = _read_mark(Fields(value, f"damage[{index}]", fields.problems), tool)
        if isinstance(found, Mark):
            marks.append(found)
        elif found:
            ends.append(found)
    return tuple(marks), tuple(ends)


def _read_mark(fields: Fields, tool: Tool | None) -> Mark | EndMark | None:
    what, longest = fields.text_if("what") or "", tool.flute_length_nm if tool else 0
    if fields.broken:
        return None
    if fields.has("end_depth"):
        end = fields.length("end_depth")
        see_on_flute("end_depth", end, longest, fields.refuse)
        fields.close()
        return EndMark(end, what)
    tooth = fields.whole("tooth", 1, (tool.teeth if tool else 0) or 99)
    start, to = fields.length("from"), fields.length("to")
    see_span(start, to, longest, fields.refuse)
    depth, wear = fields.length_if("depth"), fields.length_if("wear_land")
    see_depth(fields.has("depth"), fields.has("wear_land"), fields.refuse)
    fields.close()
    return Mark(fields.path, tooth, start, to, depth, wear, what)


def _read_allow(fields: Fields | None) -> Allow | None:
    if fields is None:
        return None
    allow = Allow(*(fields.length(key) for key in ("finish_radial", "finish_end", "stylus_distance")))
    fields.close()
    return allow


def _read_limits(fields: Fields | None) -> Limits:
    if fields is None:
        return Limits()
    limits = Limits(
        fields.length_if("diameter"),
        fields.number_if("rake_deg", *DEGREES["limits.rake_deg"]),
        fields.length_if("flute_depth"),
        fields.length_if("usable_length"),
        fields.flag("published_reduction"),
    )
    fields.close()
    return limits


def _read_uncertainty(fields: Fields | None) -> Uncertainty:
    if fields is None:
        return Uncertainty()
    uncertainty = Uncertainty(
        diameter_nm=fields.length_if("diameter") or 0,
        tooth_reading_nm=fields.length_if("tooth_reading") or 0,
        depth_nm=fields.length_if("depth") or 0,
        wear_land_nm=fields.length_if("wear_land") or 0,
        core_diameter_nm=fields.length_if("core_diameter") or 0,
        rake_deg=fields.number_if("rake_deg", *DEGREES["uncertainty.rake_deg"]) or 0.0,
        flute_length_nm=fields.length_if("flute_length") or 0,
    )
    fields.close()
    return uncertainty


def _read_typical(fields: Fields | None) -> Typical | None:
    if fields is None:
        return None
    typical = Typical(fields.length_if("stock_radial") or 0, fields.length_if("cut_back") or 0)
    fields.close()
    return typical


__all__ = ["KIND", "OTHER_KINDS", "Case", "read"]
