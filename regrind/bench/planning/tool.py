"""The tool of a case, from its family and what an inspection read of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

from regrind.geometry.case import KIND
from regrind.geometry.inputs import EndTeeth, Hand, Tool
from regrind.record.models import Family

from ..kinds.kind import Known
from ..kinds.registry import kind_of
from ..models import Grind, Inspection
from ..readings import each_mark
from .built import BuiltCase

FLUTES_OVER_DIAMETER = 2  # a flute length nobody gave: memory, the short series of square end mills


@dataclass(frozen=True)
class Flute:
    """The flute length, how it is known ('' where it was read or is as it should be), and whether it is a guess.

    family: it is the line's or the family's, as when new.
    """

    nm: int
    words: str = ""
    guessed: bool = False
    family: bool = False


def find_flute(family: Family, inspection: Inspection, ground: Sequence[Grind], reground: bool) -> Flute:
    """As it was read; else as the last plan meant to leave it, as when new, or a guess no shorter than the damage."""
    read, planned = (
        inspection.readings.get("flute_length"),
        [row.plan.usable_nm for row in ground if row.plan and row.plan.usable_nm],
    )
    if read is not None:
        return Flute(read.nm or 0)
    if planned:
        return Flute(planned[-1] or 0, "the usable length as it stands, as it was planned at its last grind")
    if family.flute_length_nm:
        before = reground and not ground
        words = "the flute length, as when new, though it was ground before" if before else ""
        return Flute(family.flute_length_nm, words, guessed=before, family=True)
    reach = max([inspection.reach_nm or 0, *(mark["to"].nm or 0 for mark in each_mark(inspection))])
    return Flute(
        max(FLUTES_OVER_DIAMETER * (family.nominal_nm or 0), reach),
        f"the flute length, {FLUTES_OVER_DIAMETER} diameters",
        guessed=True,
    )


def build_tool(
    built: BuiltCase, family: Family, inspection: Inspection, teeth: int, flute: Flute, ground: Sequence[Grind]
) -> Tool:
    """The tool as it was read, what was not as the family has it."""

    def nm(name: str, path: str, of_family: int | None) -> int | None:
        read = built.take(inspection, name, f"tool.{path}")
        return of_family or None if read is None else read.nm

    def degrees(name: str, path: str, of_family: int | None) -> float | None:
        read = built.take(inspection, name, f"tool.{path}")
        return _degrees(of_family if read is None else read.cdeg)

    built.fields |= {"tool.teeth": "teeth"} if inspection.teeth else {}
    built.take(inspection, "flute_length", "tool.flute_length")
    new_flute = family.flute_length_nm or 0
    primary = degrees("primary", "primary_relief_deg", family.primary_relief_cdeg)
    primary = _take_drop(built, inspection, primary)
    tool = Tool(
        KIND,
        teeth,
        family.nominal_nm or 0,
        flute.nm,
        material=family.material or None,
        hand_of_cut=cast("Hand | None", family.hand_of_cut or None),
        hand_of_helix=cast("Hand | None", family.hand_of_helix or None),
        helix_deg=degrees("helix", "helix_deg", family.helix_cdeg),
        core_diameter_nm=nm("core", "core_diameter", family.core_nm),
        rake_deg=degrees("rake", "rake_deg", family.rake_cdeg),
        primary_relief_deg=primary,
        secondary_relief_deg=degrees("secondary", "secondary_relief_deg", family.secondary_relief_cdeg),
        primary_land_nm=nm("land", "primary_land", family.primary_land_nm),
        face_arc_radius_nm=family.face_arc_nm or None,
        gash_length_nm=nm("gash_length", "gash_length", None),
        new_flute_length_nm=new_flute if new_flute >= flute.nm else None,
        unequal_index=family.unequal_index,
        sides_ground_before=any("sides" in row.grinds.split() for row in ground),
        end_teeth=read_end_teeth(built, inspection),
    )
    return _fit(built, tool, Known(family, inspection))


def _fit(built: BuiltCase, tool: Tool, known: Known) -> Tool:
    """As its kind makes it; what that takes and nobody gave is said to be assumed."""
    kind = kind_of(known.family)
    built.assumed += kind.assumed(tool)
    return kind.fit(tool, known)


def _take_drop(built: BuiltCase, inspection: Inspection, primary_deg: float | None) -> float | None:
    """The primary relief that an indicator's drop came to, unless that was typed; else what was known."""
    if inspection.relief_cdeg is None or "primary" in inspection.readings:
        return primary_deg
    built.fields["tool.primary_relief_deg"] = "drop"
    return _degrees(inspection.relief_cdeg)


def read_end_teeth(built: BuiltCase, inspection: Inspection) -> EndTeeth:
    """The end teeth as they were read; nothing of them is taken from the family. A drop that was read on the end tooth
    is the relief that it comes to, unless that was typed."""

    def degrees(name: str, path: str) -> float | None:
        read = built.take(inspection, name, f"tool.{path}")
        return _degrees(read.cdeg) if read else None

    primary = degrees("end_primary", "end_primary_relief_deg")
    if primary is None and inspection.end_relief_cdeg is not None:
        built.fields["tool.end_primary_relief_deg"] = "end_drop"
        primary = _degrees(inspection.end_relief_cdeg)
    recess = built.take(inspection, "recess", "tool.centre_recess")
    land = built.take(inspection, "end_land", "tool.end_land")
    return EndTeeth(
        dish_deg=degrees("dish", "dish_deg"),
        primary_relief_deg=primary,
        secondary_relief_deg=degrees("end_secondary", "end_secondary_relief_deg"),
        rake_deg=degrees("end_rake", "end_rake_deg"),
        land_nm=land.nm if land else None,
        centre_recess_nm=recess.nm if recess else None,
    )


def _degrees(cdeg: int | None) -> float | None:
    return None if cdeg is None else cdeg / 100
