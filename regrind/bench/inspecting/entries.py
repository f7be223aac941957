"""What was typed at an inspection, as canonical JSON; and back into the form, for a correction."""
import json
from collections.abc import Sequence
from typing import Any

from regrind.geometry.units import Typed, Unit, show, show_with_unit

from ..models import Inspection, Reading
from ..rows import BY_MICROMETER

BY_EYE = ("reach", "drop_over", "overall")       # along the tool, as the ends of a mark: off no gauge that is named


def canonical(value: Any) -> str:
    """JSON text that is the same for the same value."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def compose(typed: dict[str, Typed], angles: dict[str, int], marks: Sequence[dict], teeth: int | None, way: str,
            words: dict[str, str]) -> str:
    """The stored text: lengths in nm with the words they were typed in, angles, marks, and what was said in words."""
    return canonical({"lengths": {name: t.nm for name, t in typed.items()}, "angles": angles, "marks": list(marks),
                      "typed": {name: t.text for name, t in typed.items()}, "teeth": teeth, "way": way,
                      "words": words})


def recall(row: Inspection) -> dict[str, Any]:
    """What to show in the form for a correction of `row`: every field as it was typed then. One query."""
    told = json.loads(row.entries)
    known: dict[str, Any] = {"damage": row.damage, "diameter_how": row.diameter_how, "note": row.note,
                             "drop_way": told.get("way") or None, **told.get("typed", {})}
    if told.get("teeth"):
        known["teeth"] = told["teeth"]
    if row.method:
        known["method"] = row.method
    known |= {name: f"{cdeg / 100:g}" for name, cdeg in told.get("angles", {}).items()
              if not (name == "primary" and told.get("way"))}
    known |= _marks(told.get("marks", []), told.get("typed", {}))
    words = row.piece.line.family.kind_data.looked_at
    known |= {f"seen_{n}": told.get("words", {}).get(what.capitalize(), "") for n, what in enumerate(words)}
    return known | gauges_of(Reading.objects.filter(inspection=row))


def _marks(marks: Sequence[dict], typed: dict[str, str]) -> dict[str, Any]:
    """The marks' fields in the rows that they were typed in, and how many rows to show."""
    rows = sorted(int(name.split("_")[1]) for name in typed if name.startswith("mark_") and name.endswith("_to"))
    known: dict[str, Any] = {"rows": max([6, *(n + 2 for n in rows)])}
    for n, mark in zip(rows, marks, strict=False):
        known |= {f"mark_{n}_tooth": mark["tooth"], f"mark_{n}_what": mark.get("what", "")}
    return known


def gauges_of(readings: Any) -> dict[str, int]:
    """The gauges named last among readings: for the diameter, and for runout and depths."""
    found: dict[str, int] = {}
    for what, gauge in readings.filter(gauge__isnull=False).order_by("pk").values_list("what", "gauge"):
        found["gauge" if what in BY_MICROMETER else "indicator"] = gauge
    return found


NAMES = {
    "damage_depth": "deepest damage", "reach": "how far back", "tir": "runout of the teeth",
    "shank_tir": "shank runout", "end_depth": "damage on the end face", "flute_length": "flute length",
    "overall": "overall length", "core": "core diameter",
    "land": "primary land", "drop": "indicator drop", "drop_over": "drop taken over", "wear_land": "wear land",
    "rake": "radial rake", "primary": "primary relief", "secondary": "secondary relief",
}


def name_reading(what: str) -> str:
    """What was read, in words: `mark_2_wear_land` is `mark 2, wear land`."""
    parts = what.split("_", 2)
    if parts[0] == "mark" and len(parts) == 3:
        return f"mark {parts[1]}, {NAMES.get(parts[2], parts[2])}"
    return NAMES.get(what, what.replace("_", " "))


def tell(row: Inspection, unit: Unit) -> list[tuple[str, str]]:
    """(what, said) of all that an inspection holds besides the three things that are always asked."""
    told = json.loads(row.entries)
    said = list(told.get("words", {}).items())
    said += [(f"Tooth {mark['tooth']}", _tell_mark(mark, unit)) for mark in told.get("marks", [])]
    said += [(NAMES[name].capitalize(), f"{cdeg / 100:g}°") for name, cdeg in told.get("angles", {}).items()]
    return said


def _tell_mark(mark: dict[str, Any], unit: Unit) -> str:
    start, to = show(mark["from"], unit), show_with_unit(mark["to"], unit)
    deep = (f"{show_with_unit(mark['depth'], unit)} deep" if "depth" in mark
            else f"wear land {show_with_unit(mark.get('wear_land', 0), unit)}")
    return f"{mark.get('what') or 'mark'}, {deep}, from {start} to {to} from the end"
