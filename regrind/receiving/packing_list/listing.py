"""From rows to lines: each row of a list that is a tool as words, and what was left out, with the reason."""

import re
from dataclasses import dataclass, field

from regrind.geometry.units import Unit

from ..line_parser import LONGEST, MOST_LINES, MOST_PIECES, parse_line, plain_text
from .cells import Refused, Table, place
from .columns import Columns, find_columns
from .text_table import decode, read_text
from .wording import word_row
from .xlsx import read_xlsx

MOST_BYTES = 2_000_000  # of a file as it is sent
MOST_TOLD = 20
OLD_EXCEL, ZIP, PDF = b"\xd0\xcf\x11\xe0", b"PK\x03\x04", b"%PDF"
TOTAL = re.compile(r"(?<!\w)(?:grand[ -])?(?:sub)?(?:totals?|sum(?:me)?|gesamt(?:summe)?|in all)(?!\w)", re.I)
DATE = re.compile(r"\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{4}-\d{2}-\d{2}.*|\d{1,2}\.? [a-z]{3,9}\.? \d{4}", re.I)
COUNT = re.compile(r"([0-9]{1,5})(?:[.,]0+)?\s*(?:x|pcs?|pieces?|ea(?:ch)?|off|st(?:k|ück|ck)?|no)?\.?", re.I)


@dataclass
class PackingList:
    """What a list gives: the words of its lines, row by row, and in plain words what was left out or must be told."""

    words: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def read_list(text: str, data: bytes, unit: Unit) -> PackingList:
    """Read a pasted text, or a file's bytes where there are any. unit: of a size that names none, the customer's.

    Raises Refused, with the row and column of each place that cannot be read.
    """
    return read_packed(read_table(data) if data else read_text(text), unit)


def read_packed(table: Table, unit: Unit) -> PackingList:
    """The same from the cells of a list."""
    if not any(map(any, table.rows)):
        raise Refused("The list is empty. Paste its rows, or choose the file again.")
    columns = find_columns(table)
    packed = _said_rows(table, unit) if columns is None else _Rows(table, columns, unit).read()
    packed.notes += table.notes
    if not packed.words:
        raise Refused("No row of the list is read as a tool. Check that it names pieces and a description.")
    if len(packed.words) > MOST_LINES:
        raise Refused(f"The list has {len(packed.words)} rows of tools. At most {MOST_LINES} can be read at once.")
    return packed


def read_table(data: bytes) -> Table:
    """The cells of a file, CSV or XLSX; Refused where it is neither, or too large."""
    if len(data) > MOST_BYTES:
        raise Refused(f"The file has {len(data):,} bytes. A table has at most {MOST_BYTES:,}.")
    if data.startswith(OLD_EXCEL):
        raise Refused(
            "This is an Excel file of the old kind, or one with a password. Save it as XLSX without one, or CSV."
        )
    if data.startswith(PDF):
        raise Refused("This is a PDF. Copy its rows and paste them, or ask for the list as XLSX or CSV.")
    return read_xlsx(data) if data.startswith(ZIP) else read_text(decode(data))


def _said_rows(table: Table, unit: Unit) -> PackingList:
    """A list without columns: each row as people say it; what names no tool is left out."""
    packed = PackingList()
    for n, row in enumerate(table.rows):
        words = row[0] if row else ""
        if not words:
            continue
        parsed = parse_line(words, unit)
        sized = parsed.nominal_nm is not None or bool(parsed.texts) or parsed.size_unknown
        if DATE.fullmatch(words) or TOTAL.search(words) or not (sized or "kind" not in parsed.assumed):
            packed.left_out.append(f"{place(n)}: {words}")
        elif len(plain_text(words)) > LONGEST:
            raise Refused(f"{place(n)} has {len(words)} characters. A line holds at most {LONGEST}.")
        else:
            packed.words.append(words)
    return packed


class _Rows:
    """The rows of a list with columns, while they are read; every wrong place is told, not only the first."""

    def __init__(self, table: Table, columns: Columns, unit: Unit) -> None:
        self.table, self.columns, self.unit = table, columns, unit
        self.packed, self.wrong, self.pieces = PackingList(), [], 0  # type: tuple[PackingList, list[str], int]
        self.above: dict[str, str] = {}

    def read(self) -> PackingList:
        head = -1 if self.columns.head is None else self.columns.head
        for n, row in enumerate(self.table.rows):
            if n == head:
                self.packed.left_out.append(f"{place(n)}: the head")
            elif any(row):
                self._row(n, row) if n > head else self._leave_out(n, row)
        if self.wrong:
            more = f" And {len(self.wrong) - MOST_TOLD} more." if len(self.wrong) > MOST_TOLD else ""
            raise Refused(" ".join(self.wrong[:MOST_TOLD]) + more)
        return self.packed

    def _leave_out(self, n: int, row: list[str]) -> None:
        self.packed.left_out.append(f"{place(n)}: {', '.join(filter(None, row))[:80]}")

    def _row(self, n: int, row: list[str]) -> None:
        cells = {name: row[column] if column < len(row) else "" for name, column in self.columns.index.items()}
        self._fill_merged(n, cells)
        tool = any(cells.get(name) for name in ("description", "diameter"))
        if self._is_total(n, row, cells):
            return
        if self._is_head(row) or (not tool and not cells["quantity"]) or not self._says_a_tool(row, cells):
            self._leave_out(n, row)
        elif not tool:
            self._refuse(n, "description", "is empty, beside a count. Write what the tools are")
        elif self._fits(n, cells):
            self._word(n, cells)
        self.above = cells

    def _fill_merged(self, n: int, cells: dict[str, str]) -> None:
        """A description that is merged over several rows holds for each of them; a count is never shared."""
        for name, column in self.columns.index.items():
            if (n, column) in self.table.merged and not cells[name] and name != "quantity":
                cells[name] = self.above.get(name, "")

    def _is_total(self, n: int, row: list[str], cells: dict[str, str]) -> bool:
        """A row of the sum: left out, and compared with the rows above it."""
        others = [cell for cell in row if cell and cell != cells["quantity"]]
        named = any(TOTAL.fullmatch(cell.strip(" :")) or TOTAL.match(cell) for cell in others)
        count = COUNT.fullmatch(cells["quantity"])
        bare = not others and count is not None and int(count[1]) == self.pieces and len(self.packed.words) > 1
        if not named and not bare:
            return False
        self._leave_out(n, row)
        if count and int(count[1]) != self.pieces:
            self.packed.notes.append(f"{place(n)} says {count[1]} in all; the rows above it hold {self.pieces}.")
        return True

    def _is_head(self, row: list[str]) -> bool:
        """The head again, as on the next page of a printed list."""
        if self.columns.head is None:
            return False
        return [cell.casefold() for cell in row if cell] == [
            cell.casefold() for cell in self.table.rows[self.columns.head] if cell
        ]

    def _says_a_tool(self, row: list[str], cells: dict[str, str]) -> bool:
        """A lone cell without a count is a heading or a date, unless it reads as a tool."""
        if cells["quantity"] or sum(map(bool, row)) > 1:
            return True
        lone = next(filter(None, row))
        return not DATE.fullmatch(lone) and parse_line(lone, self.unit).nominal_nm is not None

    def _fits(self, n: int, cells: dict[str, str]) -> bool:
        """Whether the cells of a row can be read; what cannot is told with its place."""
        before = len(self.wrong)
        for name, column in self.columns.index.items():
            if (n, column) in self.table.dates and name != "remark":
                self._refuse(n, name, f"holds a date, {cells[name]}. A fraction may have become one: write it as text")
        column = self.columns.index["quantity"]
        if not cells["quantity"] and (n, column) in self.table.merged:
            self._refuse(n, "quantity", "is merged with the cell above it. Write how many of each")
        elif (
            cells["quantity"] and (n, column) not in self.table.dates and (problem := _count_problem(cells["quantity"]))
        ):
            self._refuse(n, "quantity", problem)
        return len(self.wrong) == before

    def _refuse(self, n: int, name: str, problem: str) -> None:
        self.wrong.append(f"{place(n, self.columns.index.get(name))} {problem}.")

    def _word(self, n: int, cells: dict[str, str]) -> None:
        count = COUNT.fullmatch(cells["quantity"])
        cells["quantity"] = str(int(count[1])) if count else ""
        words = word_row(cells, self.columns.units, self.unit)
        if len(plain_text(words)) > LONGEST:
            self.wrong.append(f"{place(n)} has {len(words)} characters in all. A line holds at most {LONGEST}.")
            return
        self.pieces += int(cells["quantity"] or 0)
        self.packed.words.append(words)


def _count_problem(text: str) -> str:
    """Why a cell is no count; "" where it is one."""
    match = COUNT.fullmatch(text)
    if match is None:
        return f"holds “{text[:40]}”, which is no count. Write a whole number of pieces"
    if not 1 <= int(match[1]) <= MOST_PIECES:
        return f"holds {match[1]} pieces. A line holds 1 to {MOST_PIECES}"
    return ""
