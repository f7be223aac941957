"""Reamers, ground on the chamfer; on the margins too where a smaller hole is to be reamed."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from regrind.geometry.defaults import Default
from regrind.geometry.fields import Fields
from regrind.geometry.kinds.hole import Hole, read_hole
from regrind.geometry.kinds.kind import Bound, Checked, Kind, Option, Terms
from regrind.geometry.kinds.margins import Margins
from regrind.geometry.kinds.marks import Mark, find_longest, find_wear_depth, read_mark
from regrind.geometry.kinds.quantity import Quantity, find_largest, find_smallest, tan
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
from regrind.geometry.kinds.reamer_steps import explain_reamer

_DAMAGE = ("worn_margin", "chip", "wear_land")
_MOST_HOLES = 5
_SAME = 1e-9
_BACK_TAPER = Default(
    "back_taper", 0.02, 0.02 / math.sqrt(3), "shared/29_kinds_published.csv: 0 to 0.04 mm per 100 mm, memory", "low"
)


@dataclass(frozen=True, slots=True)
class Chamfer:
    """The chamfer as it stands: its angle to the axis, its length along the axis, its relief, the longest allowed."""

    angle_rad: float
    length_mm: float
    relief_rad: float | None
    most_mm: float | None


@dataclass(frozen=True, slots=True)
class Reamer:
    """A reamer with its marks, the hole it is for and those it may be ground down to; lengths in mm."""

    flute_mm: float
    chamfer: Chamfer
    margins: Margins
    marks: tuple[Mark, ...]
    finish_mm: float
    finish_radial_mm: float
    hole: Hole | None
    down_size_to: tuple[Hole, ...]
    cracked: bool

    @property
    def defaults(self) -> tuple[Default, ...]:
        """What stands in for figures that were not given."""
        return (_BACK_TAPER,) if self.margins.back_taper_mm is None else ()


@dataclass(frozen=True, slots=True)
class Way:
    """One way to grind: the diameter over the margins after it, and the hole it is then for."""

    ground: tuple[str, ...]
    diameters: tuple[Quantity, ...]
    hole: Hole | None
    down: bool


def find_least_cut_back(reamer: Reamer, terms: Terms) -> tuple[Quantity, ...]:
    """The least cut-back in mm of the chamfer that clears every mark; ties of what sets it.

    Source: a depth n square to the chamfer costs n / sin k along the axis; docs/kinds-notes.md.

    >>> from regrind.geometry.kinds.example import read_example
    >>> round(find_least_cut_back(*read_example("reamer"))[0].value, 9)
    0.7
    """
    needs = [Quantity(0.0), *(_find_need(mark, reamer, terms) for mark in reamer.marks if mark.length_mm)]
    return tuple(need + reamer.finish_mm for need in find_largest(needs))


def _find_need(mark: Mark, reamer: Reamer, terms: Terms) -> Quantity:
    length = terms.read(mark.length_mm, mark.field, "damage")
    if mark.damage_kind == "worn_margin":
        return length
    if mark.damage_kind == "wear_land":
        length = find_wear_depth(length, tan(Quantity(reamer.chamfer.relief_rad or 0.0)), Quantity(0.0))
    return length / math.sin(reamer.chamfer.angle_rad)


def _plan(reamer: Reamer, terms: Terms) -> list[Option]:
    cuts = find_least_cut_back(reamer, terms)
    hurt = any(mark.length_mm for mark in reamer.marks)
    first = cuts if hurt else (Quantity(0.0),)
    diameters = tuple(reamer.margins.find_diameter(cut, terms) for cut in first)
    as_it_is = Way(("chamfer",) if hurt else (), diameters, reamer.hole, down=False)
    smaller = [_size_down(reamer, hole, cuts, terms) for hole in reamer.down_size_to]
    return [
        _option(reamer, terms, first, as_it_is),
        *(_option(reamer, terms, cuts, way) for way in smaller if way is not None),
    ]


def _size_down(reamer: Reamer, hole: Hole, cuts: tuple[Quantity, ...], terms: Terms) -> Way | None:
    """Margins ground all along for a smaller hole; None where they would come out too small for it.

    Source: as large as a new reamer for the hole may be, or what the finish leaves; docs/kinds-notes.md.
    """
    clean = [reamer.margins.find_diameter(cut, terms) - 2 * reamer.finish_radial_mm for cut in cuts]
    diameters = find_smallest([Quantity(hole.reamer_upper_mm), *clean])
    if hole.reamer_lower_mm - diameters[0].value > _SAME:
        return None
    return Way(("margins", "chamfer"), diameters, hole, down=True)


def _option(reamer: Reamer, terms: Terms, cuts: tuple[Quantity, ...], way: Way) -> Option:
    cut, diameter, hole = cuts[0].value, way.diameters[0].value, way.hole
    chamfer, end_cut = _find_chamfer(reamer.chamfer, cut, diameter)
    front = diameter - 2 * chamfer * math.tan(reamer.chamfer.angle_rad)
    flute = terms.read(reamer.flute_mm, "flute_length")
    checked = {
        "usable_length": Checked(tuple(flute - reamer.chamfer.length_mm - cut for cut in cuts), terms.typical_mm),
        "diameter": reamer.margins.check_diameter(way.diameters, terms),
        "front_diameter": Checked((Quantity(front),)),
    }
    values = {
        "cut_back_mm": cut,
        "end_cut_mm": end_cut,
        "chamfer_length_mm": chamfer,
        "front_diameter_mm": front,
        "diameter_mm": diameter,
        "usable_length_mm": checked["usable_length"].value,
        "hole": None if hole is None else hole.describe(diameter),
    }
    return Option(
        ("end", *way.ground) if end_cut else way.ground,
        values,
        checked,
        tuple(_find_asks(reamer, cut, way)),
        ("below_new_size",) if hole and hole.judge(diameter) == "low" else (),
        () if hole is None or way.down else _find_bounds(hole),
        {} if hole is None else {"diameter": hole.lower_mm},
    )


def _find_chamfer(chamfer: Chamfer, cut_mm: float, diameter_mm: float) -> tuple[float, float]:
    """The chamfer's length, and what the front is cut back: longer by the cut, or where that cannot be as it was."""
    longer = chamfer.length_mm + cut_mm
    too_long = chamfer.most_mm is not None and longer - chamfer.most_mm > _SAME
    pointed = diameter_mm - 2 * longer * math.tan(chamfer.angle_rad) <= _SAME
    return (chamfer.length_mm, cut_mm) if cut_mm and (too_long or pointed) else (longer, 0.0)


def _find_bounds(hole: Hole) -> tuple[Bound, ...]:
    return (
        Bound("hole_lower", "diameter", hole.lower_mm),
        Bound("reamer_upper", "diameter", hole.reamer_upper_mm, at_most=True),
    )


def _find_asks(reamer: Reamer, cut_mm: float, way: Way) -> Iterator[str]:
    if reamer.margins.is_read_on_wear():
        yield "diameter_read_on_wear"
    if cut_mm - reamer.flute_mm / 2 > _SAME:
        yield "most_of_the_flute"
    if way.down:
        yield "new_size_to_agree"


def _read(fields: Fields) -> Reamer:
    tool, measured = read_tool(fields), read_part(fields, "measured", needed=True)
    allow = read_part(fields, "allow", needed=True)
    diameter, read_at = read_mm(measured, "diameter", above_zero=True), read_mm_if(measured, "diameter_at") or 0.0
    marks = read_marks(fields, lambda mark: read_mark(mark, _DAMAGE))
    read_mm(tool, "nominal_diameter", above_zero=True)
    down, hole = _read_smaller_holes(fields), fields.part("hole")
    reamer = Reamer(
        read_mm(tool, "flute_length", above_zero=True),
        _read_chamfer(tool, allow),
        Margins(diameter, read_at, read_mm_if(tool, "back_taper"), _BACK_TAPER, find_longest(marks, "worn_margin")),
        marks,
        read_mm(allow, "finish"),
        read_mm_if(allow, "finish_radial") or 0.0,
        None if hole is None else read_hole(hole),
        down,
        measured.flag("cracked"),
    )
    _check(tool, allow, reamer)
    for part in (tool, measured, allow):
        part.close()
    return reamer


def _read_chamfer(tool: Fields, allow: Fields) -> Chamfer:
    angle, relief = read_number(tool, "chamfer_angle_deg", 1, 60), tool.number_if("chamfer_relief_deg", 0, 45)
    return Chamfer(
        math.radians(angle),
        read_mm(tool, "chamfer_length", above_zero=True),
        None if relief is None else math.radians(relief),
        read_mm_if(allow, "chamfer_most"),
    )


def _read_smaller_holes(fields: Fields) -> tuple[Hole, ...]:
    items = fields.items("down_size_to") or []
    if len(items) > _MOST_HOLES:
        fields.refuse("down_size_to", f"must hold at most {_MOST_HOLES} holes, not {len(items)}")
    holes = (
        read_hole(Fields(item, f"down_size_to[{index}]", fields.problems))
        for index, item in enumerate(items[:_MOST_HOLES])
    )
    return tuple(hole for hole in holes if hole is not None)


def _check(tool: Fields, allow: Fields, reamer: Reamer) -> None:
    """What cannot be together: marks beyond the flutes, a chamfer that ends in a point, a wear land without relief."""
    marks, chamfer, diameter = reamer.marks, reamer.chamfer, reamer.margins.diameter_mm
    if any(mark.damage_kind == "wear_land" for mark in marks):
        require(tool, "chamfer_relief_deg", why="with a wear_land")
    if reamer.down_size_to:
        require(allow, "finish_radial", why="with down_size_to")
    if diameter and diameter - 2 * chamfer.length_mm * math.tan(chamfer.angle_rad) <= _SAME:
        longest = diameter / 2 / math.tan(chamfer.angle_rad)
        tool.refuse("chamfer_length", f"would end in a point: must be above 0 and below {longest:.6g} mm")
    for mark in marks:
        if mark.damage_kind == "worn_margin":
            place = Fields({}, mark.field, tool.problems)
            check_within(place, mark.damage_kind, mark.length_mm, reamer.flute_mm, "the flute length")


KIND = Kind(
    names=("reamer",),
    limits={"usable_length": None, "diameter": None},
    typical="cut_back",
    read=_read,
    plan=_plan,
    explain=explain_reamer,
)
