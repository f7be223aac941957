"""What was typed at an inspection, back in the form for a correction, and in words."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from regrind.geometry.units import Unit, show, show_with_unit

from ..kinds.measures import BY_TOOTH, LENGTHS, MEASURES
from ..kinds.registry import kind_of
from ..models import Inspection, Reading
from ..readings import BY_MICROMETER, OF_DEEPEST, each_mark
from .tooth_rows import describe_teeth, to_rows


def to_form(row: Inspection) -> dict[str, Any]:
    """What to show in the form for a correction of `row`: every field as it was typed then. One query."""
    known: dict[str, Any] = {
        "damage": "depth" if row.damage == "unmeasurable" else row.damage,
        "diameter_source": row.diameter_source,
        "diameter_worn": row.diameter_place == "worn",
        "wear_land_way": row.wear_land_way,
        "deepest_tooth": _tooth_of_deepest(row),
        "note": row.note,
        "drop_way": row.drop_way or None,
        "centre_cutting": row.centre_cutting,
    }
    planner = kind_of(row.piece.line.family).planner
    known |= to_rows(row.readings.values(), planner.by_tooth if planner else ())
    known["rows"] = rows_for(row.readings.values(), known)
    known |= as_typed(row.readings.values()) | gauges_of(row.readings.values())
    known |= {name: value for name, value in (("teeth", row.teeth), ("method", row.method)) if value}
    observations = json.loads(row.observations)
    inspected = row.piece.line.family.kind_data.inspected
    return known | {f"seen_{n}": observations.get(thing.capitalize(), "") for n, thing in enumerate(inspected)}


def _tooth_of_deepest(row: Inspection) -> str:
    """The answer that the deepest damage's tooth had: '0' where it was not known, '' where there are no marks."""
    deepest = row.readings.get("damage_depth")
    return str(deepest.tooth) if deepest and any(each_mark(row)) else ""


def as_typed(readings: Iterable[Reading]) -> dict[str, str]:
    """The form's fields with the text that was typed in them, a mark's tooth and kind among them."""
    values: dict[str, str] = {}
    for reading in readings:
        values[reading.field] = reading.text
        if reading.mark:
            values |= {
                f"mark_{reading.mark}_tooth": str(reading.tooth),
                f"mark_{reading.mark}_what": reading.description,
            }
    return values


def rows_for(readings: Iterable[Reading], typed: Mapping[str, Any]) -> int:
    """How many rows the form has for marks or single teeth: two more than there are, six at least."""
    single = sum(name.endswith("_number") for name in typed)
    return max([6, single + 2, *(reading.mark + 2 for reading in readings)])


def gauges_of(readings: Iterable[Reading]) -> dict[str, int]:
    """The gauges named last among readings: for the diameter, and for runout and depths."""
    return {
        "gauge" if reading.quantity in BY_MICROMETER else "indicator": reading.gauge_id
        for reading in readings
        if reading.gauge_id is not None
    }


NAMES: Mapping[str, str] = {
    "damage_depth": "deepest damage",
    "reach": "how far back",
    "tir": "runout of the teeth",
    "shank_tir": "shank runout",
    "end_depth": "damage on the end face",
    "gash_length": "length of the end gash",
    "flute_length": "flute length",
    "overall": "overall length",
    "core": "core diameter",
    "land": "primary land",
    "drop": "indicator drop",
    "drop_over": "drop taken over",
    "wear_land": "wear land",
    "helix": "helix",
    "rake": "radial rake",
    "primary": "primary relief",
    "secondary": "secondary relief",
    "corner_size": "corner radius",
    "back": "how far back from the edge",
    "tooth_width": "tooth width",
    "dish": "dish",
    "end_primary": "end relief, primary",
    "end_secondary": "end relief, secondary",
    "end_rake": "axial rake of the end",
    "end_wear_land": "wear land on the end face",
    "end_land": "land of an end tooth",
    "end_tooth": "end tooth",
    "end_drop": "drop on an end tooth",
    "end_drop_over": "drop taken straight across, over",
    "recess": "depth of the centre recess",
} | {name: measure.words for name, measure in MEASURES.items()}


def name_reading(reading: Reading) -> str:
    """What was read, in words: `mark 2, wear land`."""
    name = NAMES.get(reading.quantity, reading.quantity.replace("_", " "))
    if reading.mark:
        return f"mark {reading.mark}, {name}"
    if reading.tooth and reading.quantity in (*OF_DEEPEST, *BY_TOOTH):
        return f"{name}, tooth {reading.tooth}"
    return f"{name} {reading.tooth}" if reading.tooth else name


def describe_inspection(row: Inspection, unit: Unit) -> list[tuple[str, str]]:
    """(label, text) of all that an inspection holds besides the three things that are always asked."""
    rows = list(json.loads(row.observations).items())
    rows += [(label, text) for label, text in _places(row) if text]
    rows += [_describe_mark(mark, unit) for mark in each_mark(row)]
    rows += describe_teeth(row.readings.values(), unit)
    lengths = {
        "gash_length": "End gash",
        "corner_size": "Corner radius",
        "recess": "Centre recess",
        "back": "Back from the edge",
        "tooth_width": "Tooth width",
        "end_wear_land": "Wear land on the end face",
        "end_land": "Land of an end tooth",
    } | {name: MEASURES[name].words.capitalize() for name in LENGTHS}
    rows += [
        (label, show_with_unit(row.readings[name].nm or 0, unit))
        for name, label in lengths.items()
        if name in row.readings
    ]
    angles = {reading.quantity: reading.cdeg for reading in row.readings.values() if reading.cdeg is not None}
    if row.relief_cdeg is not None:
        angles["primary"] = row.relief_cdeg
    if row.end_relief_cdeg is not None:
        angles.setdefault("end_primary", row.end_relief_cdeg)
    return rows + [(NAMES[name].capitalize(), f"{cdeg / 100:g}°") for name, cdeg in angles.items()]


def _places(row: Inspection) -> Iterable[tuple[str, str]]:
    """Where and how the readings were taken; '' where that was not recorded."""
    deepest = row.readings.get("damage_depth")
    yield "Cannot be measured", row.get_unmeasurable_reason_display()
    yield "Diameter taken", row.get_diameter_place_display()
    yield "Deepest damage", f"on tooth {deepest.tooth}" if deepest and deepest.tooth else ""
    yield "Wear lands read", row.get_wear_land_way_display()
    yield "Cuts to the centre", row.get_centre_cutting_display()


def _describe_mark(mark: Mapping[str, Reading], unit: Unit) -> tuple[str, str]:
    lengths = {quantity: reading.nm or 0 for quantity, reading in mark.items()}
    start, to = show(lengths.get("from", 0), unit), show_with_unit(lengths["to"], unit)
    size = (
        f"{show_with_unit(lengths['depth'], unit)} deep"
        if "depth" in lengths
        else f"wear land {show_with_unit(lengths.get('wear_land', 0), unit)}"
    )
    last = mark["to"]
    return f"Tooth {last.tooth}", f"{last.description or 'mark'}, {size}, from {start} to {to} from the end"
