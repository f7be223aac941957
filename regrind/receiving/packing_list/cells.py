"""The cells of a list as text, each with the row and column that people know it by."""

from collections.abc import Iterable
from dataclasses import dataclass, field

MOST_ROWS = 5_000  # rows that are read: a packing list of tools has a few hundred at most
MOST_COLUMNS = 60
LONGEST_CELL = 300
LONGEST_LINE = 2 * MOST_COLUMNS * LONGEST_CELL


class Refused(ValueError):
    """A list that cannot be read; the message says where, what stands there, and what to write instead."""


@dataclass
class Table:
    """Rows of cells, each stripped; row n of the list is rows[n - 1].

    dates: cells that the program which wrote them holds as a date. merged: cells below the first of a merged block.
    notes: what is worth telling of the whole, such as sheets that were not read.
    """

    rows: list[list[str]]
    dates: set[tuple[int, int]] = field(default_factory=set)
    merged: set[tuple[int, int]] = field(default_factory=set)
    notes: list[str] = field(default_factory=list)


def letter(column: int) -> str:
    """The name of a column, counted from 0: A … Z, AA …"""
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def place(row: int, column: int | None = None) -> str:
    """`Row 7, column B`; both counted from 0."""
    return f"Row {row + 1}" + ("" if column is None else f", column {letter(column)}")


def clean(text: str) -> str:
    """A cell in one line, without the signs that only lay it out."""
    return " ".join(text.replace("\ufeff", "").replace("\xad", "").split())


def check_size(rows: Iterable[list[str]]) -> list[list[str]]:
    """The rows, cleaned; Refused where there are too many, or where one is no row of a list."""
    checked: list[list[str]] = []
    for n, row in enumerate(rows):
        if n >= MOST_ROWS:
            raise Refused(f"The list has more than {MOST_ROWS} rows. Send the part that is needed here alone.")
        if len(row) > MOST_COLUMNS and any(cell.strip() for cell in row[MOST_COLUMNS:]):
            raise Refused(f"{place(n)} has {len(row)} cells. A table has at most {MOST_COLUMNS} columns.")
        cells = [clean(cell) for cell in row[:MOST_COLUMNS]]
        for column, cell in enumerate(cells):
            _check_cell(n, column, cell)
        checked.append(cells)
    return checked


def _check_cell(row: int, column: int, cell: str) -> None:
    if len(cell) > LONGEST_CELL:
        raise Refused(
            f"{place(row, column)} holds {len(cell)} characters, “{cell[:40]}…”: a quotation mark may not be closed. "
            f"A cell holds at most {LONGEST_CELL}."
        )
    if "\ufffd" in cell or "Ã" in cell or "Â°" in cell:
        raise Refused(
            f"{place(row, column)}, “{cell[:40]}”, is garbled: it was saved in another encoding. Save it as UTF-8."
        )
    if any(sign < " " for sign in cell):
        raise Refused(f"{place(row, column)} holds signs that are no text. Save the list as CSV or XLSX.")
