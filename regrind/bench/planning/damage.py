"""The damage of an inspected piece as the plan takes it: the marks, and the stated damage where they do not show it."""

import math
from collections.abc import Mapping, Sequence

from regrind.geometry.damage import find_wear_depth
from regrind.geometry.defaults import fill_shape
from regrind.geometry.inputs import EndMark, Mark, Tool
from regrind.geometry.units import NM_PER_MM, Unit, show_with_unit

from ..models import Inspection, Reading
from ..readings import each_mark
from .built import BuiltCase

MARK_FIELDS = ("tooth", "from", "to", "depth", "wear_land")


def read_damage(
    built: BuiltCase, inspection: Inspection, tool: Tool, unit: Unit
) -> tuple[tuple[Mark, ...], tuple[EndMark, ...]]:
    """The marks on the sides and on the end; where each came from, and what was assumed, goes to `built`.

    Marks that were written down stand. The stated depth and reach stand too, unless the marks agree with them: from
    the end back on the tooth that was named, else on every tooth, the safe reading. "Corners only" without a depth is
    cut off with the end.
    """
    cosine = math.cos(math.radians(find_helix_deg(tool))) if inspection.wear_land_way == "square" else 1.0
    marks = [_mark(built, n, mark, cosine) for n, mark in enumerate(each_mark(inspection))]
    ends: list[tuple[str, EndMark]] = []
    if not marks_agree(inspection, marks, tool):
        named = _named_tooth(inspection)
        built.unmarked = _say_unmarked(inspection, unit) if marks and inspection.damage_nm and not named else ""
        if inspection.damage_nm:
            teeth = [named] if named else range(1, tool.teeth + 1)
            marks += [_everywhere(built, n, tooth, inspection) for n, tooth in enumerate(teeth, len(marks))]
        elif inspection.damage == "corners":
            ends.append(("reach", EndMark(inspection.reach_nm or 0, "corners")))
    if "end_depth" in inspection.readings:
        ends.append(("end_depth", EndMark(inspection.readings["end_depth"].nm or 0, "end")))
    built.assumed += [built.unmarked] if built.unmarked else []
    built.fields |= {f"damage[{n}].end_depth": name for n, (name, _) in enumerate(ends, len(marks))}
    return tuple(marks), tuple(end for _, end in ends)


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


def _mark(built: BuiltCase, n: int, mark: Mapping[str, Reading], cosine: float) -> Mark:
    """A mark that was written down. cosine: of the helix, where wear lands were read square to the edge.

    A land of width VB in the cutting direction is VB cos(helix) wide square to a helical edge (geometry).
    """
    path, to = f"damage[{n}]", mark["to"]
    built.fields |= {f"{path}.{key}": f"mark_{to.mark}_{key}" for key in MARK_FIELDS}
    start, depth, wear = (mark[name].nm if name in mark else None for name in ("from", "depth", "wear_land"))
    in_cutting_direction = None if wear is None else round(wear / cosine)
    return Mark(path, to.tooth, start or 0, to.nm or 0, depth, in_cutting_direction, to.description)


def _everywhere(built: BuiltCase, n: int, tooth: int, inspection: Inspection) -> Mark:
    """The deepest damage on one tooth, from the end back."""
    path, label = f"damage[{n}]", "deepest" if inspection.damage == "depth" else "broken corner"
    built.fields |= {f"{path}.depth": "damage_depth", f"{path}.to": "reach", f"{path}.from": "reach"}
    return Mark(path, tooth, 0, inspection.reach_nm or 0, inspection.damage_nm, None, label)
