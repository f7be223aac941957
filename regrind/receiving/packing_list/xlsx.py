"""The first sheet of an XLSX file as text cells, with the standard library alone and within fixed bounds.

Source of the format: ECMA-376, Office Open XML, part 1: SpreadsheetML. Nothing is worked out: of a formula the value
counts that the program which saved it stored. A document type, an entity or a part over its bound is refused.
"""

import posixpath
import re
import zipfile
import zlib
from collections.abc import Callable
from datetime import datetime, timedelta
from io import BytesIO
from xml.parsers import expat

from .cells import MOST_COLUMNS, MOST_ROWS, Refused, Table, check_size, place

MOST_BYTES = 40_000_000  # of all parts that are read, unpacked
MOST_PARTS = 2_000
STEP = 65_536
LONGEST_TEXT = 32_767  # characters of a cell, as spreadsheet programs limit them; from memory
REFERENCE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
DATE_FORMATS = {14, 15, 16, 17, 22, 27, 30, 36, 45, 46, 47, 50, 57}
DATE_SIGNS = re.compile(r'(?:"[^"]*"|\\.|\[[^\]]*\])', re.I)
FIRST_DAY = datetime(1899, 12, 30)
BROKEN = "The file is damaged or no XLSX file. Open it in a spreadsheet program and save it as XLSX or CSV."
DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    expat.ExpatError,
    LookupError,
    ValueError,
    OSError,
    RuntimeError,
    OverflowError,
)
Attributes = dict[str, str]


def read_xlsx(data: bytes) -> Table:
    """The cells of the first visible sheet that holds any; Refused for what cannot be read."""
    try:
        with zipfile.ZipFile(BytesIO(data)) as archive:
            if len(archive.infolist()) > MOST_PARTS:
                raise Refused("The file has too many parts for a table. Save the sheet alone as XLSX or CSV.")
            return _read(_Book(archive))
    except DAMAGE as error:
        if isinstance(error, Refused):
            raise
        raise Refused(BROKEN) from error


def _read(book: "_Book") -> Table:
    table, name = Table([]), ""
    for sheet, path in book.sheets:
        if not any(map(any, table.rows)):
            table, name = _Sheet(book, path).table(), sheet
        elif any(map(any, _Sheet(book, path).table().rows)):
            table.notes.append(f"Sheet “{sheet}” was not read, only “{name}”.")
    return table


class _Book:
    """What all sheets share: texts, which styles are dates, and the sheets' parts in their order."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive, self.names = archive, set(archive.namelist())
        targets: dict[str, str] = {}
        self.listed: list[tuple[str, str]] = []
        self.days = self.size = 0
        self.walk("xl/workbook.xml", self._workbook)
        self.walk("xl/_rels/workbook.xml.rels", lambda tag, a: targets.update({a.get("Id", ""): a.get("Target", "")}))
        self.sheets = [(name, self._absolute(targets.get(key, ""))) for name, key in self.listed]
        self.texts = self._texts()
        self.dates = self._date_styles()

    def _absolute(self, target: str) -> str:
        return target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join("xl", target))

    def _workbook(self, tag: str, a: Attributes) -> None:
        if tag == "sheet" and a.get("state", "visible") == "visible":
            self.listed.append((a.get("name", ""), next((v for k, v in a.items() if k.rpartition(":")[2] == "id"), "")))
        if tag == "workbookPr" and a.get("date1904") in ("1", "true"):
            self.days = 1462  # days from 1900 to 1904, the other calendar's start

    def walk(
        self,
        path: str,
        start: Callable[[str, Attributes], None],
        end: Callable[[str], None] | None = None,
        text: Callable[[str], None] | None = None,
    ) -> None:
        """Read a part piece by piece; Refused where it is larger than a list's, or defines entities."""
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = lambda tag, a: start(tag.rpartition(":")[2], a)
        parser.EndElementHandler = (lambda tag: end(tag.rpartition(":")[2])) if end else None
        parser.CharacterDataHandler = text
        parser.StartDoctypeDeclHandler = _refuse_doctype
        with self.archive.open(path) as part:
            while piece := part.read(STEP):
                self.size += len(piece)
                if self.size > MOST_BYTES:
                    raise Refused("The file is far larger unpacked than any table. Save the sheet alone as CSV.")
                parser.Parse(piece, False)
        parser.Parse(b"", True)

    def _texts(self) -> list[str]:
        """The shared texts; phonetic readings of a text are left out."""
        texts: list[str] = []
        inside: list[str] = []

        def start(tag: str, a: Attributes) -> None:
            inside.append(tag)
            if tag == "si":
                texts.append("")

        def text(words: str) -> None:
            if inside[-1:] == ["t"] and "rPh" not in inside:
                texts[-1] = _join(texts[-1], words)

        if "xl/sharedStrings.xml" in self.names:
            self.walk("xl/sharedStrings.xml", start, lambda tag: _leave(inside), text)
        return texts

    def _date_styles(self) -> set[str]:
        """The styles, by their place, whose number format shows a date."""
        formats: dict[int, str] = {}
        styles: list[int] = []
        inside: list[str] = []

        def start(tag: str, a: Attributes) -> None:
            inside.append(tag)
            if tag == "numFmt":
                formats[int(a["numFmtId"])] = a.get("formatCode", "")
            if tag == "xf" and "cellXfs" in inside:
                styles.append(int(a.get("numFmtId", "0")))

        if "xl/styles.xml" in self.names:
            self.walk("xl/styles.xml", start, lambda tag: _leave(inside))
        return {str(n) for n, key in enumerate(styles) if key in DATE_FORMATS or _shows_date(formats.get(key, ""))}


def _join(text: str, words: str) -> str:
    """A cell's text so far and what follows; Refused beyond a cell's limit, since a join takes longer each time."""
    if len(text) + len(words) > LONGEST_TEXT:
        raise Refused(f"A cell holds more than {LONGEST_TEXT} characters. Save the part that is needed alone.")
    return text + words


def _leave(inside: list[str]) -> None:
    inside.pop()


def _refuse_doctype(*_: object) -> None:
    raise Refused("The file defines a document type, which no spreadsheet program writes. Save it anew as XLSX.")


def _shows_date(code: str) -> bool:
    return bool(set(DATE_SIGNS.sub("", code).lower()) & set("dmy")) and "0" not in code and "#" not in code


class _Sheet:
    """One sheet while it is read."""

    def __init__(self, book: _Book, path: str) -> None:
        self.book, self.rows = book, []  # type: tuple[_Book, list[list[str]]]
        self.dates: set[tuple[int, int]] = set()
        self.merges: list[str] = []
        self.inside: list[str] = []
        self.cell, self.kind, self.style, self.value, self.formula = (0, -1), "", "", "", False
        book.walk(path, self._start, self._end, self._text)

    def _start(self, tag: str, a: Attributes) -> None:
        self.inside.append(tag)
        if tag == "row":
            self.cell = (int(a["r"]) - 1 if "r" in a else self.cell[0] + bool(self.rows), -1)
        elif tag == "c":
            match = REFERENCE.fullmatch(a.get("r", ""))
            self.cell = (int(match[2]) - 1, _column(match[1])) if match else (self.cell[0], self.cell[1] + 1)
            self.kind, self.style, self.value, self.formula = a.get("t", "n"), a.get("s", ""), "", False
        elif tag == "f":
            self.formula = True
        elif tag == "mergeCell":
            self.merges.append(a.get("ref", ""))

    def _text(self, words: str) -> None:
        if self.inside[-1:] == ["v"] or (
            self.inside[-1:] == ["t"] and "is" in self.inside and "rPh" not in self.inside
        ):
            self.value = _join(self.value, words)

    def _end(self, tag: str) -> None:
        self.inside.pop()
        if tag == "c" and (self.value or self.formula):
            self._keep(self._shown())

    def _shown(self) -> str:
        """What the cell shows: a text, a plain number, or a date as such."""
        row, column = self.cell
        if self.kind == "e":
            raise Refused(f"{place(row, column)} holds an error, {self.value}. Write the value itself.")
        if not self.value:
            raise Refused(
                f"{place(row, column)} holds a formula without its value. Save the file once more, or write it."
            )
        if self.kind == "s":
            return self.book.texts[int(self.value)]
        if self.kind in ("str", "inlineStr", "d"):
            return self.value
        if self.kind == "b":
            return "yes" if self.value == "1" else "no"
        if self.style in self.book.dates:
            self.dates.add(self.cell)
            return (FIRST_DAY + timedelta(days=float(self.value) + self.book.days)).strftime("%Y-%m-%d")
        return plain_number(self.value)

    def _keep(self, text: str) -> None:
        row, column = self.cell
        if row >= MOST_ROWS:
            raise Refused(f"The sheet has more than {MOST_ROWS} rows. Send the part that is needed here alone.")
        if column >= MOST_COLUMNS:
            raise Refused(f"{place(row, column)} is beyond the {MOST_COLUMNS} columns of a packing list.")
        while len(self.rows) <= row:
            self.rows.append([])
        cells = self.rows[row]
        cells += [""] * (column + 1 - len(cells))
        cells[column] = text

    def table(self) -> Table:
        """Its cells; the value of a merged block stands in its first cell, and is told of those below it."""
        table = Table(check_size(self.rows), self.dates)
        for first, last in map(_corners, self.merges):
            for row in range(first[0] + 1, min(last[0], MOST_ROWS) + 1):
                table.merged.add((row, first[1]))
        return table


def _column(letters: str) -> int:
    number = 0
    for sign in letters:
        number = number * 26 + ord(sign) - 64
    return number - 1


def _corners(text: str) -> tuple[tuple[int, int], tuple[int, int]]:
    first, _, last = text.partition(":")
    places = [REFERENCE.fullmatch(part) for part in (first, last or first)]
    if not all(places):
        raise Refused(BROKEN)
    one, two = ((int(match[2]) - 1, _column(match[1])) for match in places if match)
    return one, two


def plain_number(text: str) -> str:
    """A stored number as people write it: 12, 6.35; the noise of a binary fraction is rounded away."""
    number = float(text)
    return str(int(number)) if number.is_integer() and abs(number) < 1e15 else f"{number:.12g}"
