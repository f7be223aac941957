"""From what the record holds of a worn tool to the case that the plan is worked out from, value by value."""

import math
from collections.abc import Iterable, Sequence
from typing import cast

from regrind.geometry.inputs import Case, Limits, Measured, Method, Tool, Uncertainty
from regrind.record.dimension_words import say_assumed
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Family, Line

from ..from_family import list_from_family
from ..kinds.arcs import RADIUS_UNCERTAINTY_NM
from ..kinds.kind import Agreed, Known
from ..kinds.registry import kind_of
from ..models import Grind, Inspection, Reading
from ..readings import spread_of
from .allowances import Usual
from .built import BuiltCase
from .damage import find_helix_deg, read_damage
from .tool import Flute, build_tool, find_flute

ASSUMED_RAKE_DEG = 2.0  # standard uncertainty of a rake that nobody read, as the defaults have it
TWICE = "the diameter, read over a worn edge, so that the depth may count twice"
MARKED_UNCERTAINTY_NM = 10_000  # of a diameter that is only marked: memory, a maker's h10 on a small tool
# What a reading's uncertainty is called in the case, by what was read.
SPREADS = {
    "diameter": "diameter_nm",
    "damage_depth": "depth_nm",
    "end_depth": "depth_nm",
    "depth": "depth_nm",
    "wear_land": "wear_land_nm",
    "core": "core_diameter_nm",
    "flute_length": "flute_length_nm",
    "tooth": "tooth_reading_nm",
    "end_tooth": "tooth_reading_nm",
    "end_wear_land": "wear_land_nm",
    "tir": "tooth_reading_nm",
    "corner_size": "corner_radius_nm",
    "back": "back_nm",
}


def build_case(
    line: Line, inspection: Inspection, usual: Usual, ground: Sequence[Grind] = (), reground: bool = False
) -> BuiltCase:
    """The case of one inspected piece, from its readings. Nothing is computed here; see `lacks` before working it out.

    ground: the tool's grinds before the inspection, oldest first, of this visit and of earlier ones: the plan starts
    from what they left. reground: it was ground before, here or elsewhere, whether or not that is on record.
    """
    family = tool_of(line)
    teeth = inspection.teeth or family.teeth or 0
    lacks = _find_lacks(family, inspection, teeth)
    if lacks:
        return BuiltCase(lacks=lacks)
    built, flute = BuiltCase(), find_flute(family, inspection, ground, reground)
    built.assumed += [flute.words] if flute.words else []
    built.assumed += ["the diameter, as marked"] if inspection.diameter_source == "marked" else []
    built.assumed += [TWICE] if inspection.diameter_place == "worn" else []
    built.assumed += [say_assumed(line, row.name) for row in list_from_family(line, inspection, flute=flute.family)]
    built.assumed += usual.from_history
    tool = build_tool(built, family, inspection, teeth, flute, ground)
    kind, known = kind_of(family), Known(family, inspection)
    unit, spread = line.batch.customer.unit, kind.spread(tool, known)
    marks, ends = read_damage(built, inspection, tool, unit, kind.arc(known), spread)
    whole = "tir" not in inspection.readings  # a total reading is enough for the tool's own square corner alone
    built.case = Case(
        tool,
        _measured(built, family, inspection, teeth),
        marks,
        ends,
        usual.allow,
        _limits(line),
        _uncertainty(inspection, tool, flute),
        usual.typical,
        kind.offer(tool, marks, usual.allow, Agreed.for_line(line)) if whole else (),
        kind.ways(tool, known),
    )
    return built


def _find_lacks(family: Family, inspection: Inspection, teeth: int) -> tuple[str, ...]:
    """What a plan needs and nobody gave, in words."""
    missing = tuple(
        name
        for name, value in (
            ("the number of teeth", teeth),
            ("the nominal diameter", family.nominal_nm),
            ("the diameter", inspection.diameter_nm),
            ("damage that can be measured", inspection.damage != "unmeasurable"),
            ("how far back the damage reaches", inspection.reach_nm or not inspection.damage_nm),
        )
        if not value
    )
    return missing + kind_of(family).lacks(Known(family, inspection))


def _measured(built: BuiltCase, family: Family, inspection: Inspection, teeth: int) -> Measured:
    usual: Method = "swept" if family.unequal_index else "micrometer" if teeth % 2 == 0 else "v-anvil"
    each = _read_each(built, inspection, teeth, "tooth")
    each_end = _read_each(built, inspection, teeth, "end_tooth")
    built.fields |= {"measured.method": "method"} if inspection.method else {}
    built.take(inspection, "diameter", "measured.diameter")
    tir, shank = (built.take(inspection, name, f"measured.{name}") for name in ("tir", "shank_tir"))
    complete = len(each) == teeth
    return Measured(
        inspection.diameter_nm or 0,
        cast(Method, inspection.method or usual),
        tuple(reading.nm or 0 for reading in each) if complete else None,
        tir.nm if tir and not complete else None,
        shank.nm if shank else None,
        tuple(reading.nm or 0 for reading in each_end) if len(each_end) == teeth else None,
    )


def _read_each(built: BuiltCase, inspection: Inspection, teeth: int, quantity: str) -> list[Reading]:
    """The readings of the teeth, round the sides or at the end, in their order."""
    path = {"tooth": "measured.tooth_readings", "end_tooth": "measured.end_readings"}[quantity]
    names = [f"{quantity}_{n}" for n in range(1, teeth + 1)]
    each = [inspection.readings[name] for name in names if name in inspection.readings]
    for n, reading in enumerate(each):
        built.fields[f"{path}[{n}]"] = reading.field
    built.fields |= {path: each[0].field} if each else {}
    return each


def _limits(line: Line) -> Limits:
    return Limits(
        line.smallest_diameter_nm() or None, 0.0, None, line.shortest_usable_nm() or None, published_reduction=True
    )


def _uncertainty(inspection: Inspection, tool: Tool, flute: Flute) -> Uncertainty:
    """Standard uncertainties, the largest of each kind; a guess has its own, whatever the gauges say."""
    spreads = _from_gauges(inspection.readings.values())
    if inspection.wear_land_way == "square" and "wear_land_nm" in spreads:
        spreads["wear_land_nm"] /= math.cos(math.radians(find_helix_deg(tool)))
    if inspection.diameter_source == "marked":
        spreads["diameter_nm"] = float(MARKED_UNCERTAINTY_NM)
    if tool.corner.form == "radius" and "corner_size" not in inspection.readings:
        spreads["corner_radius_nm"] = float(RADIUS_UNCERTAINTY_NM)
    if tool.face_only and "rake" not in inspection.readings:
        spreads["rake_deg"] = ASSUMED_RAKE_DEG
    if flute.guessed:
        spreads["flute_length_nm"] = tool.nominal_diameter_nm / 4
    return Uncertainty(**{name: round(nm) for name, nm in spreads.items()})


def _from_gauges(readings: Iterable[Reading]) -> dict[str, float]:
    """Of each gauge its own, and its resolution over the root of twelve."""
    spreads: dict[str, float] = {}
    for row in readings:
        if name := SPREADS.get(row.quantity):
            spreads[name] = max(spreads.get(name, 0.0), spread_of(row))
    return spreads
