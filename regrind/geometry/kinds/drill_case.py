"""Twist drills with two flutes: what is read."""

import math
from dataclasses import dataclass, replace

from regrind.geometry.defaults import Default
from regrind.geometry.fields import Fields
from regrind.geometry.kinds.kind import take
from regrind.geometry.kinds.margins import Margins
from regrind.geometry.kinds.marks import Mark, find_longest, read_mark
from regrind.geometry.kinds.reading import (
    check_within,
    read_marks,
    read_mm,
    read_mm_if,
    read_number,
    read_part,
    read_tool,
    require,
)

WORK = {"hard": "hard and tough", "general": "general purpose", "soft": "soft and free machining"}
CHIP_ROOM, WEB_MOST = 1.5, 0.15  # of the diameter
_TABLE = "shared/29_kinds_published.csv"
BACK_TAPER = Default("back_taper", 0.05, 0.03 / math.sqrt(3), f"{_TABLE}: 0.02 to 0.08 mm per 100 mm", "low")
WEB_TAPER = Default("web_taper", 1.6, 0.2 / math.sqrt(3), f"{_TABLE}: 1.4 to 1.8 mm per 100 mm, from memory", "low")
HELIX = Default("helix_deg", 30.0, 2.6, f"{_TABLE}: helix of type N drills", "medium")
_DAMAGE = ("worn_margin", "corner_chip", "lip_chip", "wear_land", "chisel_depth")
_AXIAL = ("worn_margin", "corner_chip", "chisel_depth")
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Point:
    """Point and flutes as they stand, in mm and rad; None is not known. The web tapers in mm per 100 mm."""

    flute_mm: float
    half_point_rad: float
    ground_half_point_rad: float
    helix_deg: float | None
    lip_relief_rad: float | None
    web_mm: float | None
    web_taper_mm: float | None
    chisel_rad: float | None
    work: str
    coolant_holes: bool

    @property
    def shift(self) -> float:
        """How much nearer the tip each mm of radius comes by the new point angle."""
        return 1 / math.tan(self.half_point_rad) - 1 / math.tan(self.ground_half_point_rad)


@dataclass(frozen=True, slots=True)
class Drill:
    """A drill with its marks, and what grinding and chips take, in mm."""

    point: Point
    margins: Margins
    marks: tuple[Mark, ...]
    finish_mm: float
    chip_room_mm: float | None
    web_most_mm: float | None
    cracked: bool

    @property
    def defaults(self) -> tuple[Default, ...]:
        """What stands in for figures that were not given."""
        web, diameter = self.point.web_mm is not None, self.margins.diameter_mm
        worn = any(mark.damage_kind == "wear_land" for mark in self.marks)
        room = Default("chip_room", CHIP_ROOM * diameter, 0.0, f"{_TABLE}: 1.5 x the diameter", "medium")
        thin = Default("web_most", WEB_MOST * diameter, 0.0, f"{_TABLE}: middle of 0.1 to 0.2 x, from memory", "low")
        table = (
            (HELIX, worn and self.point.helix_deg is None),
            (BACK_TAPER, self.margins.back_taper_mm is None),
            (WEB_TAPER, web and self.point.web_taper_mm is None),
            (room, self.chip_room_mm is None),
            (thin, web and self.web_most_mm is None),
        )
        return tuple(default for default, used in table if used)


def read_drill(fields: Fields) -> Drill:
    """Read a drill's case; what is wrong is noted in `fields`, and what is returned then counts for nothing.

    Source: the keys and ranges of the headless plan (docs/plan.md).

    >>> from regrind.geometry.kinds.example import CASES
    >>> read_drill(Fields(CASES["drill"], "", [])).point.flute_mm
    87.0
    """
    tool, measured = read_tool(fields), read_part(fields, "measured", needed=True)
    point, back_taper = _read_point(tool), read_mm_if(tool, "back_taper")
    diameter, read_at = read_mm(measured, "diameter", above_zero=True), read_mm_if(measured, "diameter_at") or 0.0
    marks = read_marks(fields, _read_mark)
    allow = read_part(fields, "allow", needed=True)
    drill = Drill(
        point,
        Margins(diameter, read_at, back_taper, BACK_TAPER, find_longest(marks, "worn_margin")),
        marks,
        finish_mm=read_mm(allow, "finish"),
        chip_room_mm=read_mm_if(allow, "chip_room"),
        web_most_mm=read_mm_if(allow, "web_most"),
        cracked=measured.flag("cracked"),
    )
    _check(tool, fields, drill)
    for part in (tool, measured, allow):
        part.close()
    return drill


def _read_point(tool: Fields) -> Point:
    read_mm(tool, "nominal_diameter", above_zero=True)
    angle = read_number(tool, "point_angle_deg", 80, 170)
    relief, chisel = tool.number_if("lip_relief_deg", 1, 40), tool.number_if("chisel_angle_deg", 95, 150)
    return Point(
        flute_mm=read_mm(tool, "flute_length", above_zero=True),
        half_point_rad=math.radians(angle / 2),
        ground_half_point_rad=math.radians((tool.number_if("grind_point_angle_deg", 80, 170) or angle) / 2),
        helix_deg=tool.number_if("helix_deg", 0, 50),
        lip_relief_rad=None if relief is None else math.radians(relief),
        web_mm=read_mm_if(tool, "web", above_zero=True),
        web_taper_mm=read_mm_if(tool, "web_taper"),
        chisel_rad=None if chisel is None else math.radians(chisel),
        work=tool.one_of("work", tuple(WORK)) or "general",
        coolant_holes=tool.flag("coolant_holes"),
    )


def _read_mark(fields: Fields) -> Mark | None:
    mark = read_mark(fields, _DAMAGE)
    if fields.has("lip"):
        fields.whole("lip", 1, 2)
    place_mm = read_mm_if(fields, "at") if mark and mark.damage_kind == "lip_chip" else None
    return replace(mark, at_mm=place_mm) if mark and place_mm else mark


def _check(tool: Fields, fields: Fields, drill: Drill) -> None:
    """What cannot be together: marks beyond the drill, a web as wide as the drill, a lip without a wedge."""
    point, radius = drill.point, drill.margins.diameter_mm / 2
    check_within(tool, "web", point.web_mm, 2 * radius, "the diameter")
    if any(mark.damage_kind == "wear_land" for mark in drill.marks):
        require(tool, "lip_relief_deg", why="with a wear_land")
        helix = take(point.helix_deg, HELIX).value
        if math.degrees(point.lip_relief_rad or 0.0) + helix > 90 - _SAME:
            tool.refuse("lip_relief_deg", f"leaves no wedge: must be below {90 - helix:g} degrees at that helix")
    for mark in drill.marks:
        place = Fields({}, mark.field, fields.problems)
        if mark.damage_kind in _AXIAL:
            check_within(place, mark.damage_kind, mark.length_mm, point.flute_mm, "the flute length")
        elif mark.damage_kind == "lip_chip" and radius:
            most = radius - mark.at_mm
            reach = mark.length_mm * math.cos(point.half_point_rad)
            if reach - most > _SAME:
                place.refuse("lip_chip", f"reaches past the axis: at and what it reaches in are above {radius:.6g} mm")
