"""What was typed at an inspection, back in the form for a correction, and told in words."""

import json
from collections.abc import Iterable, Mapping
from typing import Any

from regrind.geometry.units import Unit, show, show_with_unit

from ..models import Inspection, Reading
from ..readings import BY_MICROMETER, each_mark


def to_form(row: Inspection) -> dict[str, Any]:
    """What to show in the form for a correction of `row`: every field as it was typed then. One query."""
    known: dict[str, Any] = {
        "damage": row.damage,
        "diameter_source": row.diameter_source,
        "note": row.note,
        "drop_way": row.drop_way or None,
        "rows": rows_for(row.readings.values()),
    }
    known |= as_typed(row.readings.values()) | gauges_of(row.readings.values())
    known |= {name: value for name, value in (("teeth", row.teeth), ("method", row.method)) if value}
    words = json.loads(row.observations)
    inspected = row.piece.line.family.kind_data.inspected
    return known | {f"seen_{n}": words.get(what.capitalize(), "") for n, what in enumerate(inspected)}


def as_typed(readings: Iterable[Reading]) -> dict[str, str]:
    """The form's fields with the text that was typed in them, a mark's tooth and words among them."""
    values: dict[str, str] = {}
    for reading in readings:
        values[reading.field] = reading.text
        if reading.mark:
            values |= {
                f"mark_{reading.mark}_tooth": str(reading.tooth),
                f"mark_{reading.mark}_what": reading.description,
            }
    return values


def rows_for(readings: Iterable[Reading]) -> int:
    """How many rows the form has for marks: two more than there are, six at least."""
    return max([6, *(reading.mark + 2 for reading in readings)])


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
    "flute_length": "flute length",
    "overall": "overall length",
    "core": "core diameter",
    "land": "primary land",
    "drop": "indicator drop",
    "drop_over": "drop taken over",
    "wear_land": "wear land",
    "rake": "radial rake",
    "primary": "primary relief",
    "secondary": "secondary relief",
}


def name_reading(reading: Reading) -> str:
    """What was read, in words: `mark 2, wear land`."""
    name = NAMES.get(reading.quantity, reading.quantity.replace("_", " "))
    return f"mark {reading.mark}, {name}" if reading.mark else f"{name} {reading.tooth}" if reading.tooth else name


def describe_inspection(row: Inspection, unit: Unit) -> list[tuple[str, str]]:
    """(what, said) of all that an inspection holds besides the three things that are always asked."""
    said = list(json.loads(row.observations).items())
    said += [_describe_mark(mark, unit) for mark in each_mark(row)]
    angles = {reading.quantity: reading.cdeg for reading in row.readings.values() if reading.cdeg is not None}
    if row.relief_cdeg is not None:
        angles["primary"] = row.relief_cdeg
    return said + [(NAMES[name].capitalize(), f"{cdeg / 100:g}°") for name, cdeg in angles.items()]


def _describe_mark(mark: Mapping[str, Reading], unit: Unit) -> tuple[str, str]:
    lengths = {what: reading.nm or 0 for what, reading in mark.items()}
    start, to = show(lengths.get("from", 0), unit), show_with_unit(lengths["to"], unit)
    deep = (
        f"{show_with_unit(lengths['depth'], unit)} deep"
        if "depth" in lengths
        else f"wear land {show_with_unit(lengths.get('wear_land', 0), unit)}"
    )
    last = mark["to"]
    return f"Tooth {last.tooth}", f"{last.description or 'mark'}, {deep}, from {start} to {to} from the end"
