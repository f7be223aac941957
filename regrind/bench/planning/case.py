"""From what the record holds of a worn tool to the case that the headless plan reads (docs/plan.md)."""
import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from regrind.record.models import Family, Line

from ..models import Grind, Inspection, Reading
from .usual import Usual, mm

MARKED_UNCERTAINTY_NM = 10_000  # of a diameter that is only marked: memory, a maker's h10 on a small tool
FLUTES_OVER_DIAMETER = 2        # a flute length nobody gave: memory, the short series of square end mills
# What a reading's uncertainty is called in the case, by what was read; of a mark without its row's number.
GAUGED = {"diameter": "diameter", "damage_depth": "depth", "end_depth": "depth", "depth": "depth",
          "wear_land": "wear_land", "core": "core_diameter", "flute_length": "flute_length"}
MARK = re.compile(r"^mark_\d+_")
LENGTHS = {"core": "core_diameter", "land": "primary_land", "flute_length": "flute_length"}
ANGLES = {"rake": "rake_deg", "primary": "primary_relief_deg", "secondary": "secondary_relief_deg"}
FAMILY_LENGTHS = {"core_nm": "core_diameter", "primary_land_nm": "primary_land", "flute_length_nm": "flute_length",
                  "face_arc_nm": "face_arc_radius"}
FAMILY_ANGLES = {"rake_cdeg": "rake_deg", "primary_relief_cdeg": "primary_relief_deg",
                 "secondary_relief_cdeg": "secondary_relief_deg", "helix_cdeg": "helix_deg"}


@dataclass(frozen=True)
class Drawn:
    """A case ready to be read, what was assumed besides the program's own defaults, and what still lacks."""

    case: dict[str, Any]
    assumed: tuple[str, ...]
    lacks: tuple[str, ...]


def draw_case(line: Line, inspection: Inspection, readings: Sequence[Reading], usual: Usual,
              ground: Sequence[Grind] = (), reground: bool = False) -> Drawn:
    """The case of one inspected piece. Nothing is computed here but units; see `lacks` before reading it.

    ground: the tool's grinds before the inspection, oldest first, of this visit and of earlier ones: the plan starts
    from what they left. reground: it was ground before, here or elsewhere, whether or not that is on record.
    """
    entries, family = json.loads(inspection.entries), line.family
    teeth: int = entries.get("teeth") or family.teeth or 0
    lacks = [word for word, there in (("the number of teeth", teeth), ("the nominal diameter", family.nominal_nm),
                                      ("the diameter", inspection.diameter_nm)) if not there]
    if lacks:
        return Drawn({}, (), tuple(lacks))
    assumed: list[str] = []
    tool = _tool(family, entries, teeth, assumed, _left_by(ground, entries, assumed))
    if reground and not ground and "flute_length" not in entries["lengths"] and family.flute_length_nm:
        assumed.append("the flute length, as when new, though it was ground before")
    if inspection.diameter_how == "marked":
        assumed.append("the diameter, as marked")
    case: dict[str, Any] = {
        "tool": tool, "measured": _measured(inspection, entries, family, teeth),
        "damage": damage(inspection, entries, teeth), "limits": _limits(line),
        "allow": {"finish_radial": mm(usual.finish_radial_nm), "finish_end": mm(usual.finish_end_nm),
                  "stylus_distance": mm(usual.stylus_distance_nm)},
        "uncertainty": _uncertainty(inspection, readings, "flute_length" in assumed_fields(assumed), tool)}
    if usual.typical:
        case["typical"] = usual.typical
    return Drawn(case, (*assumed, *usual.told), ())


def assumed_fields(assumed: Sequence[str]) -> set[str]:
    return {"flute_length"} if any(text.startswith("the flute length") for text in assumed) else set()


def _left_by(ground: Sequence[Grind], entries: dict, assumed: list[str]) -> dict[str, Any]:
    """What earlier grinds left: whether the sides were ground, and the length as the last plan meant to leave it."""
    left: dict[str, Any] = {}
    if any("sides" in row.grinds.split() for row in ground):
        left["sides_ground_before"] = True
    lengths = [row.plan.usable_nm for row in ground if row.plan and row.plan.usable_nm]
    if lengths and "flute_length" not in entries["lengths"]:
        left["flute_length"] = mm(lengths[-1])
        assumed.append("the usable length as it stands, as it was planned at its last grind")
    return left


def _tool(family: Family, entries: dict, teeth: int, assumed: list[str], left: dict[str, Any]) -> dict[str, Any]:
    tool: dict[str, Any] = {"kind": "end mill", "teeth": teeth, "nominal_diameter": mm(family.nominal_nm or 0),
                            "hand_of_cut": family.hand_of_cut, "hand_of_helix": family.hand_of_helix,
                            "unequal_index": family.unequal_index}
    if family.material:
        tool["material"] = family.material
    tool |= {key: mm(getattr(family, name)) for name, key in FAMILY_LENGTHS.items() if getattr(family, name)}
    tool |= {key: getattr(family, name) / 100 for name, key in FAMILY_ANGLES.items()
             if getattr(family, name) is not None}
    tool |= {LENGTHS[name]: mm(nm) for name, nm in entries["lengths"].items() if name in LENGTHS}
    tool |= {ANGLES[name]: cdeg / 100 for name, cdeg in entries["angles"].items() if name in ANGLES}
    tool |= left
    if "flute_length" not in tool:
        reach = max([entries["lengths"].get("reach", 0), *(mark.get("to", 0) for mark in entries["marks"])])
        tool["flute_length"] = mm(max(FLUTES_OVER_DIAMETER * (family.nominal_nm or 0), reach))
        assumed.append(f"the flute length, {FLUTES_OVER_DIAMETER} diameters")
    return tool


def _measured(inspection: Inspection, entries: dict, family: Family, teeth: int) -> dict[str, Any]:
    usual = "swept" if family.unequal_index else "micrometer" if teeth % 2 == 0 else "v-anvil"
    lengths = entries["lengths"]
    told: dict[str, Any] = {"diameter": mm(inspection.diameter_nm or 0), "method": inspection.method or usual}
    each = [lengths[f"tooth_{n}"] for n in range(1, teeth + 1) if f"tooth_{n}" in lengths]
    if len(each) == teeth:
        told["tooth_readings"] = [mm(nm) for nm in each]
    elif "tir" in lengths:
        told["tir"] = mm(lengths["tir"])
    if "shank_tir" in lengths:
        told["shank_tir"] = mm(lengths["shank_tir"])
    return told


def damage(inspection: Inspection, entries: dict, teeth: int) -> list[dict[str, Any]]:
    """The marks as the plan reads them.

    Marks that were written down stand as they are. "A depth" alone is that depth on every tooth from the end to its
    reach, since nobody said which tooth: the safe reading. "Corners only" without a depth is cut off with the end.
    """
    found = [{key: mm(value) if key in ("from", "to", "depth", "wear_land") else value for key, value in mark.items()}
             for mark in entries["marks"]]
    if not found and inspection.damage != "nothing" and inspection.reach_nm:
        if inspection.damage_nm:
            what = "as seen" if inspection.damage == "depth" else "broken corner"
            found = [{"tooth": n, "from": "0 mm", "to": mm(inspection.reach_nm), "depth": mm(inspection.damage_nm),
                      "what": what} for n in range(1, teeth + 1)]
        elif inspection.damage == "corners":
            found = [{"end_depth": mm(inspection.reach_nm), "what": "corners"}]
    if "end_depth" in entries["lengths"]:
        found.append({"end_depth": mm(entries["lengths"]["end_depth"]), "what": "end"})
    return found


def _limits(line: Line) -> dict[str, Any]:
    limits: dict[str, Any] = {"rake_deg": 0, "published_reduction": True}
    smallest, shortest = line.smallest_diameter_nm(), line.shortest_usable_nm()
    if smallest:
        limits["diameter"] = mm(smallest)
    if shortest:
        limits["usable_length"] = mm(shortest)
    return limits


def _uncertainty(inspection: Inspection, readings: Sequence[Reading], flute_assumed: bool,
                 tool: dict[str, Any]) -> dict[str, str]:
    """Standard uncertainties from the gauges: their own, and resolution over the root of twelve."""
    told: dict[str, float] = {}
    for row in readings:
        name = GAUGED.get(MARK.sub("", row.what), "tooth_reading" if row.what.startswith("t") else "")
        if name:
            spread = math.hypot(row.uncertainty_nm or 0, (row.resolution_nm or 0) / math.sqrt(12))
            told[name] = max(told.get(name, 0.0), spread)
    if inspection.diameter_how == "marked":
        told["diameter"] = float(MARKED_UNCERTAINTY_NM)
    if flute_assumed:
        told["flute_length"] = float(Decimal(tool["nominal_diameter"].split()[0])) * 1e6 / 4
    return {name: mm(round(nm)) for name, nm in told.items() if nm}
