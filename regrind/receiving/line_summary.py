"""What a line says, as words and figures with their labels."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from regrind.geometry.units import Unit, both, show_with_unit
from regrind.record.dimension_words import figure, label
from regrind.record.kinds import KINDS, Kind
from regrind.record.line_dimensions import PROPERTIES
from regrind.record.names import size_name


@dataclass
class Fact:
    """One thing understood: its label, the figure, the same in the other unit, and whether nobody said it."""

    label: str
    figure: str
    other: str = ""
    assumed: bool = False


@dataclass
class Row:
    """A line as one row of a table: what stands in its columns, and all else that was understood."""

    pieces: Fact | None
    kind: Fact | None
    diameter: Fact | None
    teeth: Fact | None
    made_of: list[Fact]
    also: list[Fact]


COLUMNS = {"pieces": "pieces", "kind": "kind", "diameter": "diameter", "flutes": "teeth"}
MADE_OF = ("material", "coating")
SHORT = {"customer's part number": "part number"}


def row(rows: list[Fact]) -> Row:
    """Sort the facts of a line into the columns of a table."""
    columns: dict[str, Fact | None] = dict.fromkeys(COLUMNS.values())
    columns |= {COLUMNS[fact.label]: fact for fact in rows if fact.label in COLUMNS}
    made_of = [fact for fact in rows if fact.label in MADE_OF]
    if made_of and made_of[0].label == "coating":
        made_of.insert(0, Fact("material", "material not stated"))
    also = [fact for fact in rows if fact.label not in COLUMNS and fact.label not in MADE_OF]
    also = [replace(fact, label=SHORT.get(fact.label, fact.label)) for fact in also]
    return Row(**columns, made_of=made_of, also=also)


def facts(family: Mapping[str, Any], line: Mapping[str, Any], assumed: list[str], unit: Unit) -> list[Fact]:
    """What was understood of a line, field by field; what nobody said is left out, or marked as assumed."""
    count, kind = line["count"], KINDS.get(family["kind"])
    rows = [Fact("pieces", str(count), assumed="count" in assumed and count == 1)] if count else []
    if kind:
        rows.append(Fact("kind", kind.name, assumed="kind" in assumed and kind.corner == "square"))
    rows += [_fact(name, family[name], unit, kind) for name in PROPERTIES if family.get(name) not in (None, "")]
    if family.get("unequal_index"):
        rows.append(Fact("index", "unequal"))
    rows += [
        Fact(words, "left")
        for words, name in (("hand of cut", "hand_of_cut"), ("helix hand", "hand_of_helix"))
        if family.get(name) == "left"
    ]
    return rows + _line_facts(line, unit)


def _line_facts(line: Mapping[str, Any], unit: Unit) -> list[Fact]:
    rows = []
    if line["customer_tool_number"]:
        rows.append(Fact("customer's part number", line["customer_tool_number"]))
    if line["hole"]:
        rows.append(Fact("hole", line["hole"]))
    if line["matched"]:
        within = line["match_tolerance_nm"]
        rows.append(Fact("matched within", show_with_unit(within, unit) if within else "–"))
    return rows


def _fact(name: str, value: Any, unit: Unit, kind: Kind | None) -> Fact:
    words = (
        "flutes" if name == "teeth" else "" if name == "tap_flutes" else label(name, kind)
    )  # spiral flutes: no label
    if not name.endswith("_nm"):
        return Fact(words, figure(name, value, unit))
    size, other = size_name(value, unit), both(value, unit)
    beside = next((text for text in other if text.split("\u202f")[1] != size.split("\u202f")[-1]), "")
    return Fact(words, size, beside)
