"""Which column of a list holds what: by its head, and by its content where there is no head."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from regrind.geometry.units import Unit

from ..line_parser import parse_line
from .cells import Refused, Table, place

# What stands in the heads of packing lists, in English and German; common practice, no source but use.
HEADS = {
    "position": "pos|position|item|item no|line|line no|no|nr|lfd nr|ln|#",
    "quantity": "qty|quantity|qty shipped|shipped|pcs|pieces|piece|count|number of pieces|no off|off|ea|each"
    "|menge|anzahl|stück|stk|stueck|quantity pcs|pcs qty",
    "description": "description|desc|descr|item description|tool description|tool|tools|tool type|type|product"
    "|designation|text|bezeichnung|beschreibung|benennung|artikelbezeichnung|artikel bezeichnung|werkzeug",
    "article": "part|part no|part nr|part number|p n|pn|article|article no|article number|art no|art nr|artikelnr"
    "|artikel nr|artikelnummer|artikel|sku|item number|item code|cat no|catalogue no|catalog no|tool no|tool number"
    "|crib no|material no",
    "diameter": "dia|diam|diameter|ø|ø d1|d|d1|cutting dia|cutting diameter|tool dia|size|durchmesser",
    "teeth": "flutes|flute|fl|no of flutes|z|teeth|no of teeth|zähne|schneiden|zähnezahl",
    "shank": "shank|shank dia|shank diameter|shk|d2|schaft",
    "flute_length": "loc|flute length|length of cut|cut length|l1|schneidenlänge",
    "overall": "oal|overall|overall length|length|total length|länge|gesamtlänge",
    "corner_radius": "radius|corner radius|cr|r|eckenradius",
    "coating": "coating|coat|beschichtung",
    "material": "substrate|tool material|grade|schneidstoff",
    "remark": "remark|remarks|note|notes|comment|comments|condition|bemerkung|bemerkungen|hinweis|anmerkung",
    "ignored": "date|price|unit price|total|total price|amount|value|weight|order|order no|po|po no|customer|um|uom"
    "|unit|units|preis|gesamt|datum|gewicht|ea unit|box|carton",
}
BY_HEAD = {head: name for name, heads in HEADS.items() for head in heads.split("|")}
UNIT_OF_HEAD = re.compile(r"[(\[]?\b(mm|inch(?:es)?|in)\b[)\]]?|\"", re.I)
LOOKED_AT = 40  # rows in which the head stands
WHOLE = re.compile(r"[0-9]{1,4}(?:[.,]0+)?")
LEAST_PART = 0.8  # of the rows, that a column without a head must hold a count in


@dataclass
class Columns:
    """index: the place of each column, by what it holds; head: the row that told, None where the content did.

    units: the unit that a head names, by what its column holds.
    """

    index: dict[str, int]
    head: int | None
    units: dict[str, Unit]


def find_columns(table: Table) -> Columns | None:
    """The columns of a list; None where it has a single column, each row of it a line as people say it."""
    best: Columns | None = None
    for n, row in enumerate(table.rows[:LOOKED_AT]):
        columns = _by_heads(n, row)
        if len(columns.index) > (len(best.index) if best else 1):
            best = columns
    if best:
        return _checked(best)
    return _by_content(table)


def _by_heads(n: int, row: list[str]) -> Columns:
    columns = Columns({}, n, {})
    for place_of, cell in enumerate(row):
        name = BY_HEAD.get(_plain(UNIT_OF_HEAD.sub(" ", cell))) or BY_HEAD.get(_plain(cell))
        if name and name != "ignored" and name not in columns.index:
            columns.index[name] = place_of
            if unit := UNIT_OF_HEAD.search(cell):
                columns.units[name] = "mm" if unit[0].strip("([])").lower() == "mm" else "in"
    return columns


def _plain(cell: str) -> str:
    return " ".join(re.sub(r"[^\w#ø]+", " ", cell.casefold()).replace("_", " ").split())


def _checked(columns: Columns) -> Columns:
    """A list must say how many; what it says of the tool may stand in one column or in several."""
    assert columns.head is not None
    if "description" not in columns.index and "diameter" not in columns.index and "article" in columns.index:
        columns.index["description"] = columns.index.pop("article")
    if "description" not in columns.index and "diameter" not in columns.index:
        raise Refused(
            f"{place(columns.head)} is read as the head, and no column of it says what the tools are. "
            "Name one Description, or one Diameter."
        )
    if "quantity" not in columns.index:
        raise Refused(
            f"{place(columns.head)} is read as the head, and no column of it says how many. Name one Quantity or Pcs."
        )
    return columns


def _by_content(table: Table) -> Columns | None:
    """Without heads: the column of counts, and of the others the one that reads as tools."""
    rows = [row for row in table.rows if sum(map(bool, row)) > 1]
    width = max(map(len, rows), default=0)
    if width < 2:
        return None
    cells = [[row[n] if n < len(row) else "" for row in rows] for n in range(width)]
    counts = [
        n for n, column in enumerate(cells) if _part(column, lambda cell: bool(WHOLE.fullmatch(cell))) >= LEAST_PART
    ]
    counts = [n for n in counts if not _is_numbering(cells[n])] or counts
    tools = max(range(width), key=lambda n: (_part(cells[n], _reads), -n))
    if len(counts) != 1 or tools in counts or _part(cells[tools], _reads) < 0.5:
        raise Refused(
            "The list has no head that names its columns, and they cannot be told apart. Write a first row such as "
            "Pos, Quantity, Description, Part number."
        )
    return Columns({"quantity": counts[0], "description": tools}, None, {})


def _part(column: list[str], fits: Callable[[str], bool]) -> float:
    return sum(fits(cell) for cell in column) / len(column)


def _is_numbering(column: list[str]) -> bool:
    """1, 2, 3 … or 10, 20, 30 …: positions, no counts."""
    numbers = [int(float(cell.replace(",", "."))) for cell in column if WHOLE.fullmatch(cell)]
    steps = {after - before for before, after in pairwise(numbers)}
    return len(numbers) > 2 and len(steps) == 1 and steps.pop() in (1, 10)


def _reads(cell: str) -> bool:
    """Whether a cell says a tool by itself."""
    if not re.search(r"[a-z#]", cell, re.I):
        return False
    parsed = parse_line(cell, "in")
    return parsed.nominal_nm is not None or "nominal" in parsed.texts or "kind" not in parsed.assumed
