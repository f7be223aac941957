"""Reading the keys that several kinds share; each reader notes what is wrong under the key's dotted path."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

from regrind.geometry.errors import Refused
from regrind.geometry.fields import Fields, Problems
from regrind.geometry.kinds.kind import CaseT, Kind, Terms
from regrind.geometry.units import NM_PER_MM

UNCERTAINTIES = ("diameter", "damage", "flute_length", "width", "tooth_reading", "gullet_depth", "tooth_thickness")
_CONSTRUCTIONS = ("solid", "tipped", "indexable")
T = TypeVar("T")


def read_case(data: Mapping[str, Any], kind: Kind[CaseT]) -> tuple[CaseT, Terms]:
    """Read a case of one kind as JSON gives it (dicts, lists, text, numbers).

    Raises Refused: `field` is the first fault's dotted path, `message` says what is allowed, `others` are the rest.
    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> from regrind.geometry.kinds.tap import KIND
    >>> tool = {"kind": "tap", "thread": "M8", "thread_length": "20 mm", "chamfer_length": "5 mm"}
    >>> tap, _ = read_case({"tool": tool, "allow": {"finish": "0 mm"}}, KIND)
    >>> tap.thread.pitch_mm
    1.25
    """
    problems: Problems = []
    fields = Fields(data, "", problems)
    case = kind.read(fields)
    terms = Terms(_read_limits(fields, kind), _read_uncertainty(fields), _read_typical(fields, kind.typical))
    fields.close()
    refuse(problems)
    return case, terms


def refuse(problems: Problems) -> None:
    """Raise Refused with all of `problems`, if there are any.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> refuse([])
    """
    if problems:
        raise Refused.from_problems(problems)


def read_tool(fields: Fields) -> Fields:
    """The object `tool`, its keys of every kind read: kind, material, and a construction that must be solid.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> problems = []
    >>> tool = read_tool(Fields({"tool": {"kind": "drill", "construction": "tipped"}}, "", problems))
    >>> problems
    [('tool.construction', 'a tipped tool is decided by hand: must be "solid"')]
    """
    tool = read_part(fields, "tool", needed=True)
    tool.take("kind", needed=True)
    tool.text_if("material")
    construction = tool.one_of("construction", _CONSTRUCTIONS)
    if construction not in (None, "solid"):
        article = "an" if construction == "indexable" else "a"
        tool.refuse("construction", f'{article} {construction} tool is decided by hand: must be "solid"')
    return tool


def read_part(fields: Fields, key: str, *, needed: bool = False) -> Fields:
    """The object under `key`; where it is left out an empty one, so that what it must hold is named.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_part(Fields({}, "", []), "measured").path
    'measured'
    """
    part = fields.part(key, needed=needed)
    if part is not None:
        return part
    empty = Fields({}, fields.name(key), fields.problems)
    empty.broken = needed
    return empty


def require(fields: Fields, *keys: str, why: str = "") -> None:
    """Note each of `keys` that is not there; `why` says what needs it.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> problems = []
    >>> require(Fields({}, "tool", problems), "lip_relief_deg", why="with a wear land")
    >>> problems
    [('tool.lip_relief_deg', 'is missing, and required with a wear land')]
    """
    for key in keys:
        if not fields.has(key) and not fields.broken:
            fields.refuse(key, f"is missing, and required {why}".rstrip())


def read_number(fields: Fields, key: str, low: float, high: float) -> float:
    """A needed number of degrees from `low` to `high`; `low` after a problem.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_number(Fields({"point_angle_deg": 118}, "tool", []), "point_angle_deg", 80, 170)
    118.0
    """
    require(fields, key)
    value = fields.number_if(key, low, high)
    return low if value is None else value


def read_mm(fields: Fields, key: str, *, above_zero: bool = False) -> float:
    """A needed length in mm.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_mm(Fields({"flute_length": "87 mm"}, "tool", []), "flute_length")
    87.0
    """
    return fields.length(key, above_zero=above_zero) / NM_PER_MM


def read_mm_if(fields: Fields, key: str, *, above_zero: bool = False) -> float | None:
    """A length in mm that may be left out.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_mm_if(Fields({}, "tool", []), "web") is None
    True
    """
    nm = fields.length_if(key, above_zero=above_zero)
    return None if nm is None else nm / NM_PER_MM


def read_marks(fields: Fields, read: Callable[[Fields], T | None]) -> tuple[T, ...]:
    """Every item of `damage`; `read` takes one mark's keys, its free text `what` read already.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_marks(Fields({"damage": [{"worn": "1 mm"}]}, "", []), lambda mark: read_mm(mark, "worn"))
    (1.0,)
    """
    marks = []
    for index, value in enumerate(fields.items("damage") or ()):
        mark = Fields(value, f"damage[{index}]", fields.problems)
        mark.text_if("what")
        mark_read = None if mark.broken else read(mark)
        mark.close()
        marks.append(mark_read)
    return tuple(mark for mark in marks if mark is not None)


def read_one_of(fields: Fields, keys: Sequence[str]) -> tuple[str, float] | None:
    """The one of `keys` that stands, and its length in mm; None after a problem.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> read_one_of(Fields({"chip": "1 mm"}, "damage[0]", []), ("worn_margin", "chip"))
    ('chip', 1.0)
    """
    standing = [key for key in keys if fields.has(key)]
    fields.read_keys.update(keys)
    if not standing:
        fields.refuse(keys[0], f"is missing: give one of {', '.join(keys)}")
        return None
    for key in standing[1:]:
        fields.refuse(key, f"cannot stand beside {standing[0]}: give one of the two")
    length = read_mm_if(fields, standing[0])
    return None if length is None else (standing[0], length)


def check_within(fields: Fields, key: str, length_mm: float | None, most_mm: float, damage_kind: str) -> None:
    """Note a length beyond `most_mm`, which the message calls `what`; nothing where one of the two is missing.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> problems = []
    >>> check_within(Fields({}, "damage[0]", problems), "worn_margin", 30.0, 20.0, "the flute length")
    >>> problems
    [('damage[0].worn_margin', 'is beyond the flute length: must be from 0 to 20 mm')]
    """
    if length_mm is not None and 0 < most_mm < length_mm:
        fields.refuse(key, f"is beyond {damage_kind}: must be from 0 to {most_mm:.6g} mm")


def _read_limits(fields: Fields, kind: Kind[CaseT]) -> dict[str, float]:
    limits, tool = read_part(fields, "limits"), fields.data.get("tool")
    table = {key: read_mm_if(limits, key) for key in kind.limits}
    for key, needed in kind.limits.items():
        if limits.has(key) and needed and isinstance(tool, Mapping) and needed not in tool:
            limits.refuse(key, f"cannot be checked without tool.{needed}")
    limits.close()
    return {key: value for key, value in table.items() if value is not None}


def _read_uncertainty(fields: Fields) -> dict[str, float]:
    part = read_part(fields, "uncertainty")
    table = {key: read_mm_if(part, key) or 0.0 for key in UNCERTAINTIES}
    part.close()
    return table


def _read_typical(fields: Fields, key: str) -> float:
    part = read_part(fields, "typical")
    stock = read_mm_if(part, key)
    part.close()
    return stock or 0.0
