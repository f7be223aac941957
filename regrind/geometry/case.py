"""From the JSON of a case to its value objects: the only place that knows the keys of the headless plan."""

from collections.abc import Mapping
from typing import Any, cast

from regrind.geometry.case_corner import (
    check_total_reading,
    check_ways,
    read_accept,
    read_corner,
    read_end_teeth,
    read_relief_form,
    read_ways,
)
from regrind.geometry.case_damage import read_damage
from regrind.geometry.errors import Refused
from regrind.geometry.fields import Fields, Problems, read_signed_length
from regrind.geometry.gauging import check_method
from regrind.geometry.inputs import (
    FACE_ONLY,
    SQUARE,
    Allowances,
    Case,
    Hand,
    Limits,
    Measured,
    Method,
    Tool,
    Typical,
    Uncertainty,
)
from regrind.geometry.tool_state import build_state

KIND = "end mill"
KINDS = (KIND, *FACE_ONLY)
OTHER_KINDS = (
    "rougher",
    "chamfer",
    "chamfer mill",
    "countersink",
    "drill",
    "stepdrill",
    "step drill",
    "spot drill",
    "reamer",
    "saw",
    "slitting saw",
    "side cutter",
    "form",
    "tap",
    "engraver",
    "router",
    "sidecutter",
    "keyseat",
    "special",
    "other",
)
_HANDS = ("right", "left")
_CONSTRUCTIONS = ("solid", "tipped", "indexable")
_METHODS = ("micrometer", "v-anvil", "swept")


def read(data: Mapping[str, Any]) -> Case:
    """Read a case as JSON gives it (dicts, lists, text, numbers) and see that it can be.

    Raises Refused: `field` is the first fault's dotted path (`measured.tooth_readings`, `damage[2].to`, counted
    from 0), `message` says what is wrong and what is allowed, `others` hold the further faults.
    Source: the keys and ranges of the headless plan (docs/plan.md).

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
    ways = read_ways(fields)
    accept = read_accept(fields, tool.corner if tool else SQUARE)
    marks, end_marks = read_damage(fields, tool, ways)
    allow = _read_allow(fields.part("allow", needed=True))
    limits, uncertainty = _read_limits(fields.part("limits")), _read_uncertainty(fields.part("uncertainty"))
    typical = _read_typical(fields.part("typical"))
    if tool and measured:
        check_ways(fields, tool, ways)
        check_total_reading(fields, tool, measured, accept, ways)
        _check_face_limits(fields, tool, limits)
    fields.close()
    if problems or tool is None or measured is None or allow is None:
        raise Refused.from_problems(problems)
    case = Case(tool, measured, marks, end_marks, allow, limits, uncertainty, typical, accept, ways)
    build_state(case)
    return case


def _read_tool(fields: Fields | None) -> Tool | None:
    if fields is None:
        return None
    kind = _read_kind(fields)
    _check_construction(fields)
    one_relief = fields.has("secondary_relief_deg") and fields.data["secondary_relief_deg"] is None
    fields.read_keys.add("secondary_relief_deg")
    tool = Tool(
        kind=kind,
        teeth=fields.whole("teeth", 2, 99),
        nominal_diameter_nm=fields.length("nominal_diameter", above_zero=True),
        flute_length_nm=fields.length("flute_length", above_zero=True),
        material=fields.text_if("material"),
        hand_of_cut=cast("Hand | None", fields.one_of("hand_of_cut", _HANDS)),
        hand_of_helix=cast("Hand | None", fields.one_of("hand_of_helix", _HANDS)),
        helix_deg=fields.number_if("helix_deg", 0, 70),
        core_diameter_nm=fields.length_if("core_diameter", above_zero=True),
        rake_deg=fields.number_if("rake_deg", -30, 40),
        primary_relief_deg=fields.number_if("primary_relief_deg", 0, 45),
        secondary_relief_deg=None if one_relief else fields.number_if("secondary_relief_deg", 0, 45),
        one_relief=one_relief,
        primary_land_nm=fields.length_if("primary_land"),
        face_arc_radius_nm=fields.length_if("face_arc_radius", above_zero=True),
        gash_length_nm=fields.length_if("gash_length"),
        new_flute_length_nm=fields.length_if("new_flute_length", above_zero=True),
        sides_ground_before=fields.flag("sides_ground_before"),
        unequal_index=fields.flag("unequal_index"),
        corner=read_corner(fields.part("corner")),
        end_teeth=read_end_teeth(fields),
        relief_form=read_relief_form(fields, face_only=kind in FACE_ONLY),
        tooth_width_nm=fields.length_if("tooth_width", above_zero=True),
    )
    _check_reliefs(fields, tool)
    _check_new_flute(fields, tool)
    fields.close()
    return tool


def _read_kind(fields: Fields) -> str:
    kind, known = fields.take("kind", needed=True), " or ".join(f'"{kind}"' for kind in KINDS)
    if kind in KINDS:
        return str(kind)
    if kind in OTHER_KINDS:
        fields.refuse("kind", f"the geometry of a {kind} is not computed yet; the kind must be {known}")
    elif kind is not None:
        fields.refuse("kind", f"must be {known}, the only kinds whose geometry is computed yet")
    return KIND


def _check_construction(fields: Fields) -> None:
    construction = fields.one_of("construction", _CONSTRUCTIONS)
    if construction not in (None, "solid"):
        fields.refuse("construction", f'"{construction}" is not computed: by hand; must be "solid"')


def _check_new_flute(fields: Fields, tool: Tool) -> None:
    new = tool.new_flute_length_nm
    if new is not None and new < tool.flute_length_nm:
        least = tool.flute_length_nm / 1e6
        fields.refuse("new_flute_length", f"must be at least the present flute length, {least:.6g} mm")


def _check_reliefs(fields: Fields, tool: Tool) -> None:
    primary, secondary = tool.primary_relief_deg, tool.secondary_relief_deg
    if secondary is not None and secondary <= (primary or 0):
        above = "0" if primary is None else f"the primary relief, {primary:g}"
        fields.refuse("secondary_relief_deg", f"must be above {above} and at most 45 degrees, or null for one relief")
    if secondary is None and primary == 45 and not tool.one_relief:
        fields.refuse("secondary_relief_deg", "is left out, and none fits above a primary of 45: give null or both")


def _read_measured(fields: Fields | None, tool: Tool | None) -> Measured | None:
    if fields is None:
        return None
    diameter = fields.length("diameter", above_zero=True)
    method = fields.one_of("method", _METHODS, needed=True)
    readings = _read_readings(fields, "tooth_readings", tool)
    end_readings = _read_readings(fields, "end_readings", tool)
    tir = fields.length_if("tir")
    if fields.has("tooth_readings") and fields.has("tir"):
        fields.refuse("tir", "cannot stand beside tooth_readings: give one of the two")
    shank = fields.length_if("shank_tir")
    fields.close()
    if method is None:
        return None
    _check_method(fields, method, tool)
    return Measured(diameter, cast(Method, method), readings, tir, shank, end_readings)


def _check_method(fields: Fields, method: str, tool: Tool | None) -> None:
    if tool is None or not tool.teeth:
        return
    try:
        check_method(method, tool.teeth, unequal_index=tool.unequal_index)
    except Refused as refused:
        fields.refuse("method", refused.message)


def _read_readings(fields: Fields, key: str, tool: Tool | None) -> tuple[int, ...] | None:
    values, path = fields.items(key), fields.name(key)
    if values is None:
        return None
    before, problems = len(fields.problems), fields.problems
    readings = [_read_reading(value, f"{path}[{index}]", problems) for index, value in enumerate(values)]
    teeth = (tool.teeth if tool else 0) or len(values)
    if len(values) != teeth:
        fields.refuse(key, f"must be as many as teeth, {teeth}, not {len(values)}")
    elif len(problems) == before and max(readings, default=0) != 0:
        fields.refuse(key, "must hold a 0, the highest or longest tooth; the others are below 0")
    return tuple(readings)


def _read_reading(value: Any, path: str, problems: Problems) -> int:
    if value is None:
        problems.append((path, "must not be null"))
    nm = read_signed_length(value, path, problems) or 0
    if nm > 0:
        problems.append((path, "must be 0 or less: readings are relative to the highest or longest tooth, which is 0"))
    return nm


def _read_allow(fields: Fields | None) -> Allowances | None:
    if fields is None:
        return None
    radial, end, stylus = (fields.length(key) for key in ("finish_radial", "finish_end", "stylus_distance"))
    allow = Allowances(radial, end, stylus, fields.length_if("finish_face") or 0, fields.length_if("gash_left") or 0)
    fields.close()
    return allow


def _read_limits(fields: Fields | None) -> Limits:
    if fields is None:
        return Limits()
    limits = Limits(
        fields.length_if("diameter"),
        fields.number_if("rake_deg", -89, 89),
        fields.length_if("flute_depth"),
        fields.length_if("usable_length"),
        fields.flag("published_reduction"),
        fields.number_if("relief_deg", 0, 45),
        fields.length_if("tooth_width"),
    )
    fields.close()
    return limits


def _check_face_limits(fields: Fields, tool: Tool, limits: Limits) -> None:
    for key, value in (("relief_deg", limits.relief_deg), ("tooth_width", limits.tooth_width_nm)):
        if value is not None and tool.tooth_width_nm is None:
            fields.problems.append((f"limits.{key}", "needs tool.tooth_width"))


def _read_uncertainty(fields: Fields | None) -> Uncertainty:
    if fields is None:
        return Uncertainty()
    uncertainty = Uncertainty(
        diameter_nm=fields.length_if("diameter") or 0,
        tooth_reading_nm=fields.length_if("tooth_reading") or 0,
        depth_nm=fields.length_if("depth") or 0,
        wear_land_nm=fields.length_if("wear_land") or 0,
        core_diameter_nm=fields.length_if("core_diameter") or 0,
        rake_deg=fields.number_if("rake_deg", 0, 90) or 0.0,
        flute_length_nm=fields.length_if("flute_length") or 0,
        corner_radius_nm=fields.length_if("corner_radius") or 0,
        back_nm=fields.length_if("back") or 0,
    )
    fields.close()
    return uncertainty


def _read_typical(fields: Fields | None) -> Typical | None:
    if fields is None:
        return None
    typical = Typical(*(fields.length_if(key) or 0 for key in ("stock_radial", "cut_back", "back")))
    fields.close()
    return typical


__all__ = ["KIND", "OTHER_KINDS", "Case", "read"]
