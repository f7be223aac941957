"""What a line says, as words and figures with their labels."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import Unit, both, show_with_unit
from regrind.record.dimension_words import figure, label
from regrind.record.kinds import KINDS
from regrind.record.line_dimensions import PROPERTIES
from regrind.record.names import size_name


@dataclass
class Fact:
    """One thing understood: its label, the figure, the same in the other unit, and whether nobody said it."""

    label: str
    figure: str
    other: str = ""
    assumed: bool = False


def facts(family: Mapping[str, Any], line: Mapping[str, Any], assumed: list[str], unit: Unit) -> list[Fact]:
    """What was understood of a line, field by field; what nobody said is left out, or marked as assumed."""
    rows = [
        Fact("pieces", str(line["count"]), assumed="count" in assumed and line["count"] == 1),
        Fact("kind", KINDS[family["kind"]].name, assumed="kind" in assumed and family["kind"] == "square"),
    ]
    for name in PROPERTIES:
        if family.get(name) not in (None, ""):
            rows.append(_fact(name, family[name], unit))
    if family.get("unequal_index"):
        rows.append(Fact("index", "unequal"))
    rows += [
        Fact(words, "left")
        for words, name in (("hand of cut", "hand_of_cut"), ("helix hand", "hand_of_helix"))
        if family.get(name) == "left"
    ]
    if line["customer_tool_number"]:
        rows.append(Fact("customer's part number", line["customer_tool_number"]))
    if line["matched"]:
        within = line["match_tolerance_nm"]
        rows.append(Fact("matched within", show_with_unit(within, unit) if within else "–"))
    return rows


def _fact(name: str, value: Any, unit: Unit) -> Fact:
    words = label(name)
    if not name.endswith("_nm"):
        return Fact(words, figure(name, value, unit))
    size, other = size_name(value, unit), both(value, unit)
    beside = next((text for text in other if text.split("\u202f")[1] != size.split("\u202f")[-1]), "")
    return Fact(words, size, beside)
