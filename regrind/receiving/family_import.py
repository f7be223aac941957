"""Tool families from a table or from words, a line each: read as the lines of a box are."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from regrind.geometry.units import Unit
from regrind.record.actions import adds, fitting_families, make_family, news
from regrind.record.models import Family
from regrind.shop.events import event
from regrind.shop.models import Person

from .line_preview import ReadLine, read_back
from .packing_list.cells import Refused, Table
from .packing_list.columns import BY_HEAD, LOOKED_AT
from .packing_list.listing import read_packed, read_table
from .packing_list.text_table import read_text

MOST_FAMILIES = 400


@dataclass
class FamilyList:
    """What a table gives. rows: the words of each new family with its name; known: those the shop has already;
    unclear: words with the first thing to answer; left_out: rows that name no tool."""

    rows: list[tuple[str, str]] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    unclear: list[tuple[str, str]] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    properties: list[dict[str, Any]] = field(default_factory=list)

    def as_text(self) -> str:
        """The words of the new families, a line each, to go along with the page that shows them."""
        return "\n".join(words for words, _ in self.rows)


def read_families(text: str, data: bytes, unit: Unit) -> FamilyList:
    """Read a pasted text, or a file's bytes where there are any. unit: of a size that names none, the shop's.

    Raises Refused, with row and column, where the table cannot be read, or where none of its rows is a new family.
    """
    table = read_table(data) if data else read_text(text)
    packed = read_packed(_counted(table), unit)
    families = FamilyList(left_out=packed.left_out)
    lines = read_back("\n".join(packed.words), unit, {})
    clear = [line for line in lines if _is_clear(line)]
    for line, fits in zip(clear, fitting_families([line.form.family() for line in clear]), strict=True):
        _sort(families, line, fits, unit)
    families.unclear = [(line.parsed.text, _say_doubt(line)) for line in lines if not _is_clear(line)]
    if len(families.rows) > MOST_FAMILIES:
        raise Refused(f"The table has {len(families.rows)} families. At most {MOST_FAMILIES} can be read at once.")
    return families


def _counted(table: Table) -> Table:
    """The table with a count beside each row, since families have none: after the last column of its head."""
    for n, row in enumerate(table.rows[:LOOKED_AT]):
        heads = {BY_HEAD.get(cell.casefold()) for cell in row}
        if "quantity" in heads:
            return table
        if heads - {None, "ignored"} and len(row) > 1:
            width = len(row)
            rows = [[*cells, *[""] * (width - len(cells)), "1" if any(cells) else ""] for cells in table.rows]
            rows[n][-1] = "quantity"
            return Table(rows, table.dates, table.merged, table.notes)
    return table


def _is_clear(line: ReadLine) -> bool:
    return not line.form.questions and "nominal" not in line.form.errors and not line.parsed.unknown


def _say_doubt(line: ReadLine) -> str:
    if line.form.questions:
        return line.form.questions[0].text
    return f"not understood: {', '.join(line.parsed.unknown)}"


def _sort(families: FamilyList, line: ReadLine, fits: Sequence[Family], unit: Unit) -> None:
    properties = line.form.family()
    if any(not news(family, properties) and not adds(family, properties) for family in fits):
        families.known.append(line.parsed.text)
    elif properties not in families.properties:
        families.properties.append(properties)
        name = Family(**{key: value for key, value in properties.items() if value is not None}).name(unit)
        families.rows.append((line.parsed.text, name))


def keep_families(by: Person, families: FamilyList) -> list[Family]:
    """Make the new families, in one event."""
    with event(by, "families imported"):
        return [make_family(by=by, **properties) for properties in families.properties]
