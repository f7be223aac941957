"""The teeth of a cutter that were read one by one: how high each stands, its marks, and which nobody read."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from regrind.geometry.kinds.cutter_worst import Worst, find_worst
from regrind.geometry.kinds.reading import read_case
from regrind.geometry.kinds.registry import find_kind
from regrind.geometry.units import Unit, show_with_unit, to_nm, write_mm

from .case_parts import write_lengths
from .kind import Known
from .measures import BY_TOOTH

SIDES = ("left", "right")
NOT_NAMED = "deepest, on a tooth that was not named"
SURFACES = {"periphery": "Worst on the periphery", "left": "Worst on the left side", "right": "Worst on the right side"}
RIM = {"rim_depth": "depth", "rim_land": "wear_land"}


@dataclass(frozen=True)
class TeethRead:
    """By tooth, from 1: how far below the highest it stands (nm, 0 or less), and its other readings in nm by name.

    tir_nm: the total reading, None where there is none.
    """

    heights: Mapping[int, int]
    marks: Mapping[int, Mapping[str, int]]
    tir_nm: int | None

    def list_unread(self, teeth: int) -> list[int]:
        """The teeth whose height nobody read, where others' was."""
        return [tooth for tooth in range(1, teeth + 1) if tooth not in self.heights] if self.heights else []

    def find_lowest(self, teeth: int) -> int:
        """The tooth that counts as the lowest: on it lies a mark whose tooth nobody named."""
        unread = self.list_unread(teeth)
        lowest = min(self.heights, key=lambda tooth: self.heights[tooth], default=1)
        return unread[0] if unread and self.heights[lowest] > -(self.tir_nm or 0) else lowest


def read_teeth(known: Known) -> TeethRead:
    """What an inspection has of single teeth."""
    heights: dict[int, int] = {}
    marks: dict[int, dict[str, int]] = {}
    for reading in known.inspection.readings.values():
        if reading.tooth and reading.nm is not None and reading.quantity == "tooth":
            heights[reading.tooth] = reading.nm
        elif reading.tooth and reading.nm and reading.quantity in BY_TOOTH:
            marks.setdefault(reading.tooth, {})[reading.quantity] = reading.nm
    return TeethRead(heights, marks, known.read_nm("tir"))


def build_heights(read: TeethRead, teeth: int) -> dict[str, Any]:
    """The case's readings of the teeth, or the total reading. A tooth that nobody read is as low as that allows."""
    if not read.heights:
        return write_lengths(tir=read.tir_nm)
    lowest = -(read.tir_nm or 0)
    readings = [write_mm(read.heights.get(tooth, lowest)) for tooth in range(1, teeth + 1)]
    unread = read.list_unread(teeth)
    return {"tooth_readings": readings} | ({"teeth_not_read": unread} if unread else {})


def list_damage(known: Known, read: TeethRead, teeth: int) -> list[dict[str, Any]]:
    """Every mark of a tooth; and the deepest of each surface that was read without its tooth, where none is as deep."""
    marks = [
        {"surface": surface, "tooth": tooth, **lengths}
        for tooth, readings in sorted(read.marks.items())
        for surface, lengths in _by_surface(readings)
    ]
    named = [reading for readings in read.marks.values() for reading in readings.items()]
    whole = {name: nm for name in BY_TOOTH if (nm := known.read_nm(name)) and not _is_shown(name, nm, named)}
    place = {"tooth": read.find_lowest(teeth), "what": NOT_NAMED}
    return marks + [{"surface": surface, **place, **lengths} for surface, lengths in _by_surface(whole)]


def _is_shown(name: str, nm: int, named: Sequence[tuple[str, int]]) -> bool:
    """Whether a tooth has a mark as deep; a reach stays with its depth."""
    return not name.endswith("reach") and nm <= max((other for same, other in named if same == name), default=0)


def _by_surface(readings: Mapping[str, int]) -> list[tuple[str, dict[str, str]]]:
    """(surface, lengths) of each mark as the case has it: a depth and a wear land of the periphery are two."""
    rims = [("periphery", {key: write_mm(readings[name])}) for name, key in RIM.items() if name in readings]
    return rims + [
        (side, {"depth": write_mm(depth_nm), "reach": write_mm(readings.get(f"{side}_reach", 0))})
        for side in SIDES
        if (depth_nm := readings.get(f"{side}_depth"))
    ]


def say_not_read(read: TeethRead, teeth: int) -> list[str]:
    """In words, what counts of the teeth that were not read."""
    unread = read.list_unread(teeth)
    words = [f"teeth {say_numbers(unread)}, not read: as low as the total reading allows"] if unread else []
    unmarked = [tooth for tooth in range(1, teeth + 1) if tooth not in read.marks]
    if not read.marks or not unmarked:
        return words
    return [*words, f"no damage on teeth {say_numbers(unmarked)}: none is written of them"]


def say_numbers(teeth: Sequence[int]) -> str:
    """Rising numbers in few words: `1 to 6, 8, 11 to 40`."""
    runs: list[list[int]] = []
    for tooth in teeth:
        if runs and runs[-1][-1] == tooth - 1:
            runs[-1].append(tooth)
        else:
            runs.append([tooth])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs)


def say_deciding(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> list[tuple[str, str]]:
    """Which tooth decides on each surface that is ground; nothing where no tooth was read by itself."""
    marks = case.get("damage", ())
    if "tooth_readings" not in case["measured"] and all(mark.get("what") == NOT_NAMED for mark in marks):
        return []
    kind = find_kind(case)
    worst = find_worst(*read_case(case, kind), option) if kind else ()
    return [(SURFACES[one.surface], _say_worst(one, marks, unit)) for one in worst]


def _say_worst(worst: Worst, marks: Sequence[Mapping[str, Any]], unit: Unit) -> str:
    """`tooth 7: .0020 in below the highest, damage .0120 in deep`."""
    low, deep = (show_with_unit(to_nm(mm), unit) for mm in (worst.below_mm, worst.depth_mm))
    words = [f"{low} below the highest" if worst.read else f"at most {low} below the highest, not read"]
    words = words if worst.below_mm else []
    words += [f"damage {deep} deep"] if worst.depth_mm else []
    here = [mark for mark in marks if (mark["surface"], mark["tooth"]) == (worst.surface, worst.tooth)]
    unnamed = here and all(mark.get("what") == NOT_NAMED for mark in here)
    words += ["taken on the lowest tooth, since none was named"] if unnamed else []
    return f"tooth {worst.tooth}: {', '.join(words) or 'as high as all others'}"
