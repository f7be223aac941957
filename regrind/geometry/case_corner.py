"""Reading the corner, the corners that the customer accepts, the end teeth and the ways of grinding."""

from dataclasses import replace
from typing import cast

from regrind.geometry.fields import Fields
from regrind.geometry.inputs import SQUARE, Corner, EndTeeth, Form, Measured, ReliefForm, Tool, Way

_SIZE_KEYS = {"chamfer": "width", "radius": "radius"}
_MAY_BECOME = {"square": ("chamfer", "radius"), "chamfer": ("chamfer",), "radius": ("radius",), "ball": ("radius",)}
_WAYS = ("flank", "face")


def read_corner(fields: Fields | None, *, accepted: bool = False) -> Corner:
    """The corner of an object such as `{"form": "radius", "radius": "1 mm"}`; square where there is none.

    accepted: it is a further one, which may also say `"agreed": false`.
    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_corner(Fields({"form": "radius", "radius": "1 mm"}, "tool.corner", []))
    Corner(form='radius', size_nm=1000000)
    """
    if fields is None:
        return SQUARE
    form = fields.one_of("form", tuple(_MAY_BECOME), needed=True)
    if form is None:
        return SQUARE
    key = _SIZE_KEYS.get(form)
    corner = Corner(cast(Form, form), fields.length(key, above_zero=True) if key else 0)
    if accepted and fields.has("agreed"):
        corner = replace(corner, agreed=fields.flag("agreed"))
    fields.close()
    return corner


def read_accept(fields: Fields, own_form: Corner) -> tuple[Corner, ...]:
    """The further corners that the customer accepts, in their order; doubles and the own form are refused.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> fields = Fields({"accept": [{"form": "ball"}]}, "", [])
    >>> corners = read_accept(fields, SQUARE)
    >>> fields.problems
    [('accept[0].form', 'a square corner can only become chamfer or radius')]
    """
    corners: list[Corner] = []
    for index, value in enumerate(fields.items("accept") or ()):
        path = f"accept[{index}]"
        before = len(fields.problems)
        corner = read_corner(Fields(value, path, fields.problems), accepted=True)
        if len(fields.problems) == before:
            _check_accepted(fields, path, corner, own_form, corners)
        corners.append(corner)
    return tuple(corners)


def _check_accepted(fields: Fields, path: str, corner: Corner, own_form: Corner, before: list[Corner]) -> None:
    allowed = _MAY_BECOME[own_form.form]
    if corner.form not in allowed:
        fields.problems.append((f"{path}.form", f"a {own_form.form} corner can only become {' or '.join(allowed)}"))
    elif corner == own_form:
        fields.problems.append((path, "is the tool's own corner: name only other corners"))
    elif corner in before:
        fields.problems.append((path, "stands twice: name each corner once"))


def read_end_teeth(fields: Fields) -> EndTeeth:
    """The keys of the end teeth, which stand beside the others of the tool.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_end_teeth(Fields({"dish_deg": 2}, "tool", [])).dish_deg
    2.0
    """
    end = EndTeeth(
        fields.number_if("dish_deg", 0, 15),
        fields.number_if("dish_to_deg", 0, 15),
        fields.length_if("end_inner_radius") or 0,
        fields.number_if("end_primary_relief_deg", 0, 45),
        fields.number_if("end_secondary_relief_deg", 0, 45),
        fields.number_if("end_rake_deg", -30, 40),
        fields.length_if("end_land"),
        fields.length_if("centre_recess"),
    )
    if fields.has("dish_to_deg") and not fields.has("dish_deg"):
        fields.refuse("dish_to_deg", "needs dish_deg, the dish as it is now")
    primary, secondary = end.primary_relief_deg or 0, end.secondary_relief_deg
    if secondary is not None and secondary <= primary:
        message = f"must be above the end's primary relief, {primary:g}, and at most 45 degrees"
        fields.refuse("end_secondary_relief_deg", message)
    return end


def read_relief_form(fields: Fields, *, face_only: bool) -> ReliefForm:
    """How the flank is relieved: flat unless said otherwise, but spiral on a kind sharpened on its faces alone.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_relief_form(Fields({}, "tool", []), face_only=True)
    'spiral'
    """
    form = fields.one_of("relief_form", ("flat", "spiral"))
    return cast(ReliefForm, form or ("spiral" if face_only else "flat"))


def read_ways(fields: Fields) -> tuple[Way, ...]:
    """Where the tool may be ground, flank first; the flank alone where nothing is said.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_ways(Fields({"ways": ["face", "flank"]}, "", []))
    ('flank', 'face')
    """
    values = fields.items("ways")
    if values is None:
        return ("flank",)
    if not values or any(value not in _WAYS for value in values if isinstance(value, str)) or len(values) > 2:
        fields.refuse("ways", 'must be ["flank"], ["face"] or both')
    elif any(not isinstance(value, str) for value in values) or len(set(values)) < len(values):
        fields.refuse("ways", 'must be ["flank"], ["face"] or both, each once')
    return tuple(cast(Way, way) for way in _WAYS if way in values)


def check_ways(fields: Fields, tool: Tool, ways: tuple[Way, ...]) -> None:
    """Note what a kind sharpened on its faces, or any face, needs and does not have.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> fields = Fields({}, "", [])
    >>> check_ways(fields, Tool("form cutter", 4, 10_000_000, 22_000_000), ("flank",))
    >>> fields.problems
    [('ways', 'must be ["face"] for a form cutter')]
    """
    if tool.face_only and ways != ("face",):
        fields.refuse("ways", f'must be ["face"] for a {tool.kind}')
    if "face" not in ways:
        return
    needed = {"rake_deg": tool.rake_deg, "primary_relief_deg": tool.primary_relief_deg}
    if tool.relief_form == "flat" and not tool.one_relief:
        needed["primary_land"] = tool.primary_land_nm
    for key, value in needed.items():
        if value is None:
            fields.problems.append((f"tool.{key}", "is missing, and required where the face is ground"))


def check_total_reading(
    fields: Fields, tool: Tool, measured: Measured, accept: tuple[Corner, ...], ways: tuple[Way, ...]
) -> None:
    """Corners and faces are worked out tooth by tooth: one total reading is not enough for them.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> fields, tool = Fields({}, "", []), Tool("end mill", 4, 10_000_000, 22_000_000)
    >>> check_total_reading(fields, tool, Measured(10_000_000, "swept", tir_nm=5_000), (), ("face",))
    >>> [field for field, _ in fields.problems]
    ['measured.tir']
    """
    if measured.tir_nm is not None and (tool.corner.form != "square" or accept or "face" in ways):
        message = "measure each tooth: one total reading is enough only for a square corner ground on the flank"
        fields.problems.append(("measured.tir", message))
