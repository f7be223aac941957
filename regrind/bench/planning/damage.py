"""The damage of an inspected piece as the plan takes it: the marks, and the stated damage where they do not show it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from regrind.geometry.damage import find_wear_depth
from regrind.geometry.defaults import fill_shape
from regrind.geometry.inputs import EndMark, Mark, Tool
from regrind.geometry.units import NM_PER_MM, Unit, show_with_unit

from ..kinds.arcs import place_on_arc
from ..models import Inspection, Reading
from ..readings import each_mark
from .built import BuiltCase

SPREAD_FIELDS = {"back": "back", "to": "reach", "from": "reach"}
MARK_FIELDS = ("tooth", "from", "to", "depth", "wear_land")


def read_damage(
    built: BuiltCase, inspection: Inspection, tool: Tool, unit: Unit, arc_nm: int = 0, spread: Sequence[Mark] = ()
) -> tuple[tuple[Mark, ...], tuple[EndMark, ...]]:
    """The marks on the sides and on the end; where each came from, and what was assumed, goes to `built`.

    Marks that were written down stand. The stated depth and reach stand too, unless the marks agree with them: from
    the end back on the tooth that was named, else on every tooth, the safe reading. "Corners only" without a depth is
    cut off with the end. arc_nm: of the arc that damage near the end lies on, 0 where there is none.
    spread: what the kind makes of damage that is read in another way.
    """
    cosine = math.cos(math.radians(find_helix_deg(tool))) if inspection.wear_land_way == "square" else 1.0
    read = [_mark(mark, cosine) for mark in each_mark(inspection)]
    ends: list[tuple[str, EndMark]] = []
    marks = [mark for mark, _ in read]
    if not marks_agree(inspection, marks, tool):
        named = _named_tooth(inspection)
        built.unmarked = _say_unmarked(inspection, unit) if marks and inspection.damage_nm and not named else ""
        if inspection.damage_nm:
            read += [_everywhere(n, inspection) for n in ([named] if named else range(1, tool.teeth + 1))]
        elif inspection.damage == "corners":
            ends.append(("reach", EndMark(inspection.reach_nm or 0, "corners")))
    if "end_depth" in inspection.readings:
        ends.append(("end_depth", EndMark(inspection.readings["end_depth"].nm or 0, "end")))
    if "end_wear_land" in inspection.readings:
        land = inspection.readings["end_wear_land"]
        ends.append((land.field, EndMark(None, "end wear", wear_land_nm=land.nm)))
    built.assumed += [built.unmarked] if built.unmarked else []
    placed = _place(built, [*read, *((mark, SPREAD_FIELDS) for mark in spread)], arc_nm)
    for n, (name, _) in enumerate(ends, len(placed)):
        built.fields |= {f"damage[{n}].end_depth": name, f"damage[{n}].end_wear_land": name}
    return tuple(placed), tuple(end for _, end in ends)


def _place(built: BuiltCase, read: Sequence[tuple[Mark, Mapping[str, str]]], arc_nm: int) -> list[Mark]:
    """The marks where the plan takes them, numbered, each value with the field that it came from."""
    placed: list[Mark] = []
    for mark, names in read:
        for part in place_on_arc(mark, arc_nm):
            path = f"damage[{len(placed)}]"
            built.fields |= {f"{path}.{key}": name for key, name in names.items()}
            placed.append(replace(part, field=path))
    return placed


def marks_agree(inspection: Inspection, marks: Sequence[Mark], tool: Tool) -> bool:
    """Whether some mark is as deep as the stated damage, and some mark reaches as far back.

    True where no damage is stated. A wear land is as deep as the plan takes it to be. The inspection's page asks on
    which tooth the deepest damage is where this is False and there are marks.
    """
    if inspection.damage == "nothing" or not inspection.reach_nm:
        return True
    deepest = max((_find_depth_nm(mark, tool) for mark in marks), default=0)
    farthest = max((mark.to_nm for mark in marks), default=0)
    return bool(marks) and deepest >= (inspection.damage_nm or 0) and farthest >= inspection.reach_nm


def _find_depth_nm(mark: Mark, tool: Tool) -> float:
    if mark.depth_radial_nm is not None:
        return mark.depth_radial_nm
    shape = fill_shape(tool)
    return find_wear_depth((mark.wear_land_nm or 0) / NM_PER_MM, shape.flank, shape.rake_rad) * NM_PER_MM


def _say_unmarked(inspection: Inspection, unit: Unit) -> str:
    depth, reach = (show_with_unit(nm or 0, unit) for nm in (inspection.damage_nm, inspection.reach_nm))
    return f"damage {depth} deep back to {reach} on every tooth: the marks do not show it, and its tooth is not named"


def _named_tooth(inspection: Inspection) -> int:
    """The tooth that the deepest damage is on, 0 where nobody knows."""
    deepest = inspection.readings.get("damage_depth")
    return deepest.tooth if deepest else 0


def find_helix_deg(tool: Tool) -> float:
    """The helix as it was read or the family has it, else what the plan assumes of such a tool."""
    if tool.helix_deg is not None:
        return tool.helix_deg
    plain = Tool(tool.kind, tool.teeth, tool.nominal_diameter_nm, tool.flute_length_nm, material=tool.material)
    return math.degrees(fill_shape(plain).helix_rad)


def _mark(mark: Mapping[str, Reading], cosine: float) -> tuple[Mark, dict[str, str]]:
    """A mark that was written down, and its fields. cosine: of the helix, where lands were read square to the edge.

    A land of width VB in the cutting direction is VB cos(helix) wide square to a helical edge (geometry).
    """
    to = mark["to"]
    names = {key: f"mark_{to.mark}_{key}" for key in MARK_FIELDS}
    names |= {"from_deg": names["from"], "to_deg": names["to"]}
    start, depth, wear = (mark[name].nm if name in mark else None for name in ("from", "depth", "wear_land"))
    in_cutting_direction = None if wear is None else round(wear / cosine)
    return Mark("", to.tooth, start or 0, to.nm or 0, depth, in_cutting_direction, to.description), names


def _everywhere(tooth: int, inspection: Inspection) -> tuple[Mark, dict[str, str]]:
    """The deepest damage on one tooth, from the end back, and its fields."""
    label = "deepest" if inspection.damage == "depth" else "broken corner"
    names = {"depth": "damage_depth", "to": "reach", "from": "reach", "from_deg": "reach", "to_deg": "reach"}
    return Mark("", tooth, 0, inspection.reach_nm or 0, inspection.damage_nm, None, label), names
