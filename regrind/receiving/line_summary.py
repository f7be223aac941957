"""What a line says, as words and figures with their labels."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import Unit, both, show_with_unit
from regrind.record.kinds import KINDS
from regrind.record.names import size_name

LABELS = {
    "nominal_nm": "diameter",
    "teeth": "flutes",
    "corner_radius_nm": "corner radius",
    "shank_nm": "shank",
    "flute_length_nm": "flute length",
    "overall_nm": "overall",
    "helix_cdeg": "helix",
    "point_angle_cdeg": "point angle",
    "maker": "maker",
    "catalogue": "catalogue",
}


@dataclass
class Fact:
    """One thing understood: its label, the figure, the same in the other unit, and whether nobody said it."""

    label: str
    figure: str
    other: str = ""
    assumed: bool = False


def property_words(properties: Mapping[str, Any], unit: Unit) -> str:
    """Properties in a few words: `carbide, AlTiN, helix 30°, shank 1/4 in`."""
    words = []
    for name, value in properties.items():
        figure = _figure(name, value, unit)
        words.append(
            figure
            if name in ("material", "coating")
            else "unequal index"
            if name == "unequal_index"
            else f"{figure} flutes"
            if name == "teeth"
            else f"{LABELS.get(name, name)} {figure}"
        )
    return ", ".join(words)


def _figure(name: str, value: Any, unit: Unit) -> str:
    if name.endswith("_cdeg"):
        return f"{value / 100:g}°"
    if name.endswith("_nm"):
        return size_name(value, unit)
    return str(value)


def facts(family: Mapping[str, Any], line: Mapping[str, Any], assumed: list[str], unit: Unit) -> list[Fact]:
    """What was understood of a line, field by field; what nobody said is left out, or marked as assumed."""
    rows = [
        Fact("pieces", str(line["count"]), assumed="count" in assumed and line["count"] == 1),
        Fact("kind", KINDS[family["kind"]].name, assumed="kind" in assumed and family["kind"] == "square"),
    ]
    for name in (
        "nominal_nm",
        "teeth",
        "material",
        "coating",
        "helix_cdeg",
        "corner_radius_nm",
        "point_angle_cdeg",
        "shank_nm",
        "flute_length_nm",
        "overall_nm",
        "maker",
        "catalogue",
    ):
        if family.get(name) not in (None, ""):
            rows.append(_fact(name, family[name], unit))
    if family.get("unequal_index"):
        rows.append(Fact("index", "unequal"))
    rows += [
        Fact(label, "left")
        for label, name in (("hand of cut", "hand_of_cut"), ("helix hand", "hand_of_helix"))
        if family.get(name) == "left"
    ]
    if line["customer_tool_number"]:
        rows.append(Fact("customer's part number", line["customer_tool_number"]))
    if line["matched"]:
        within = line["match_tolerance_nm"]
        rows.append(Fact("matched within", show_with_unit(within, unit) if within else "–"))
    return rows


def _fact(name: str, value: Any, unit: Unit) -> Fact:
    label = LABELS.get(name, name)
    if not name.endswith("_nm"):
        return Fact(label, _figure(name, value, unit))
    figure, other = size_name(value, unit), both(value, unit)
    beside = next((text for text in other if text.split("\u202f")[1] != figure.split("\u202f")[-1]), "")
    return Fact(label, figure, beside)
