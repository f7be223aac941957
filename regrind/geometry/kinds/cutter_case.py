"""Side-and-face cutters, saws, keyseat and T-slot cutters: what is read."""

import math
from dataclasses import dataclass

from regrind.geometry.defaults import Default
from regrind.geometry.fields import Fields, read_signed_length
from regrind.geometry.kinds.reading import (
    check_within,
    read_marks,
    read_mm,
    read_mm_if,
    read_one_of,
    read_part,
    read_tool,
    require,
)
from regrind.geometry.units import NM_PER_MM

SIDES = ("left", "right")
PERIPHERY = "periphery"
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on one tooth (from 0) of a surface: its depth or wear land, on a side also its reach in from the rim."""

    field: str
    surface: str
    tooth: int
    depth_mm: float
    wears: bool = False
    reach_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Setup:
    """The wheel: a straight one has a radius in mm, a cup wheel none."""

    wheel_radius_mm: float | None


@dataclass(frozen=True, slots=True)
class Tooth:
    """A tooth as it stands, in mm and rad; None is not known."""

    gullet_mm: float | None
    neck_mm: float | None
    rake_rad: float | None
    primary_rad: float | None
    secondary_rad: float | None
    land_mm: float | None


@dataclass(frozen=True, slots=True)
class Cutter:
    """A cutter with the marks that have any depth; lengths in mm, readings of the teeth or their total reading.

    not_read: the teeth (from 0) that nobody read; their readings say only how low they can be.
    """

    teeth: int
    tooth: Tooth
    diameter_mm: float
    width_mm: float
    readings_mm: tuple[float, ...] | None
    not_read: frozenset[int]
    tir_mm: float | None
    side_tir_mm: dict[str, float]
    marks: tuple[Mark, ...]
    finish_radial_mm: float
    finish_side_mm: float
    setup: Setup | None
    cracked: bool

    @property
    def defaults(self) -> tuple[Default, ...]:
        """What stands in for figures that were not given: nothing does."""
        return ()

    def rests_on_range(self, teeth: tuple[int, ...]) -> bool:
        """Whether a radius that these teeth (from 0) set rests on heights that nobody read one by one."""
        return self.tir_mm is not None or (bool(teeth) and self.not_read.issuperset(teeth))

    @property
    def rim_marks(self) -> tuple[Mark, ...]:
        """The marks on the periphery."""
        return tuple(mark for mark in self.marks if mark.surface == PERIPHERY)

    @property
    def side_marks(self) -> tuple[Mark, ...]:
        """The marks on both sides."""
        return tuple(mark for mark in self.marks if mark.surface != PERIPHERY)


def read_cutter(fields: Fields) -> Cutter:
    """Read a cutter's case; what is wrong is noted in `fields`, and what is returned then counts for nothing.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> from regrind.geometry.kinds.example import CASES
    >>> read_cutter(Fields(CASES["side-and-face cutter"], "", [])).width_mm
    10.0
    """
    tool, measured = read_tool(fields), read_part(fields, "measured", needed=True)
    allow, teeth = read_part(fields, "allow", needed=True), _read_teeth(tool)
    marks = read_marks(fields, lambda mark: _read_mark(mark, teeth))
    cutter = Cutter(
        teeth,
        _read_tooth(tool),
        read_mm(measured, "diameter", above_zero=True),
        read_mm(measured, "width", above_zero=True),
        _read_readings(measured, teeth),
        _read_not_read(measured, teeth),
        read_mm_if(measured, "tir"),
        {side: read_mm_if(measured, f"side_tir_{side}") or 0.0 for side in SIDES},
        tuple(mark for mark in marks if mark.depth_mm),
        read_mm(allow, "finish_radial"),
        read_mm_if(allow, "finish_side") or 0.0,
        _read_setup(fields),
        measured.flag("cracked"),
    )
    _require_for_marks(tool, allow, marks)
    _check(tool, measured, cutter)
    for part in (tool, measured, allow):
        part.close()
    return cutter


def _read_teeth(tool: Fields) -> int:
    teeth = tool.whole("teeth", 2, 300)
    if tool.flag("staggered") and teeth % 2:
        tool.refuse("staggered", f"needs an even number of teeth, not {teeth}")
    return teeth


def _read_tooth(tool: Fields) -> Tooth:
    read_mm(tool, "nominal_diameter", above_zero=True)
    rake, primary = tool.number_if("rake_deg", -30, 40), tool.number_if("primary_relief_deg", 0, 45)
    secondary = tool.number_if("secondary_relief_deg", 0, 45)
    if secondary is not None and secondary <= (primary or 0):
        tool.refuse("secondary_relief_deg", f"must be above the primary relief, {primary or 0:g}, at most 45 degrees")
    return Tooth(
        read_mm_if(tool, "gullet_depth"),
        read_mm_if(tool, "neck_diameter"),
        _to_rad(rake),
        _to_rad(primary),
        _to_rad(secondary),
        read_mm_if(tool, "primary_land"),
    )


def _to_rad(degrees: float | None) -> float | None:
    return None if degrees is None else math.radians(degrees)


def _read_readings(measured: Fields, teeth: int) -> tuple[float, ...] | None:
    """Readings relative to the highest tooth; they or a total reading, not both."""
    items, path = measured.items("tooth_readings"), measured.name("tooth_readings")
    if items is None:
        return None
    if measured.has("tir"):
        measured.refuse("tir", "cannot stand beside tooth_readings: give one of the two")
    before = len(measured.problems)
    readings = [_read_reading(measured, item, f"{path}[{index}]") for index, item in enumerate(items)]
    if teeth and len(items) != teeth:
        measured.refuse("tooth_readings", f"must be as many as teeth, {teeth}, not {len(items)}")
    elif len(measured.problems) == before and max(readings, default=0) != 0 and not measured.has("teeth_not_read"):
        measured.refuse("tooth_readings", "must hold a 0, the highest tooth; the others are below 0")
    return tuple(reading / NM_PER_MM for reading in readings)


def _read_not_read(measured: Fields, teeth: int) -> frozenset[int]:
    """The teeth among `tooth_readings` that nobody read, from 0."""
    items, path = measured.items("teeth_not_read"), measured.name("teeth_not_read")
    if items is None:
        return frozenset()
    if not measured.has("tooth_readings"):
        measured.refuse("teeth_not_read", "needs tooth_readings: how low each of these teeth can be")
    for index, item in enumerate(items):
        if isinstance(item, bool) or not isinstance(item, int) or not 1 <= item <= (teeth or 300):
            measured.problems.append((f"{path}[{index}]", f"must be a tooth, from 1 to {teeth or 300}"))
    return frozenset(item - 1 for item in items if isinstance(item, int))


def _read_reading(measured: Fields, item: object, path: str) -> int:
    if item is None:
        measured.problems.append((path, "must not be null"))
    nm = read_signed_length(item, path, measured.problems) or 0
    if nm > 0:
        measured.problems.append((path, "must be 0 or less: readings are relative to the highest tooth, which is 0"))
    return nm


def _read_setup(fields: Fields) -> Setup | None:
    setup = fields.part("setup")
    if setup is None:
        return None
    wheel = setup.one_of("wheel", ("cup", "straight"), needed=True)
    if wheel != "straight":
        setup.close()
        return Setup(None)
    diameter = read_mm(setup, "wheel_diameter", above_zero=True)
    setup.close()
    return Setup(diameter / 2)


def _read_mark(fields: Fields, teeth: int) -> Mark | None:
    surface = fields.one_of("surface", (PERIPHERY, *SIDES), needed=True)
    tooth = fields.whole("tooth", 1, teeth or 300) - 1
    if surface in SIDES:
        reach = read_mm(fields, "reach")
        return Mark(fields.path, surface, tooth, read_mm(fields, "depth"), reach_mm=reach)
    one = read_one_of(fields, ("depth", "wear_land"))
    return Mark(fields.path, surface, tooth, one[1], one[0] == "wear_land") if surface and one else None


def _require_for_marks(tool: Fields, allow: Fields, marks: tuple[Mark, ...]) -> None:
    if any(mark.wears for mark in marks):
        require(tool, "rake_deg", "primary_relief_deg", why="with a wear_land")
    if any(mark.surface in SIDES for mark in marks):
        require(allow, "finish_side", why="with marks on a side")


def _check(tool: Fields, measured: Fields, cutter: Cutter) -> None:
    """What cannot be together: marks, gullet and neck inside the cutter, the lowest tooth above the axis."""
    radius, tooth = cutter.diameter_mm / 2, cutter.tooth
    check_within(tool, "gullet_depth", tooth.gullet_mm, radius, "the radius")
    check_within(tool, "neck_diameter", tooth.neck_mm, 2 * radius, "the diameter")
    check_within(measured, "tir", cutter.tir_mm, radius, "the radius")
    for mark in cutter.marks:
        place = Fields({}, mark.field, tool.problems)
        most, body = (cutter.width_mm, "the width") if mark in cutter.side_marks else (radius, "the radius")
        check_within(place, "wear_land" if mark.wears else "depth", mark.depth_mm, most, body)
        check_within(place, "reach", mark.reach_mm, radius, "the radius")
