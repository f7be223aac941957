"""A list as text: pasted from a sheet or a mail, or a CSV file in any of the usual encodings and separators."""

import csv
from collections import Counter

from .cells import LONGEST_LINE, Refused, Table, check_size, place

SEPARATORS = "\t;|,"
BOMS = [(b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")]
LOOKED_AT = 200  # rows that tell the separator


def decode(data: bytes) -> str:
    """Bytes as text: by their mark, as UTF-8, or as Windows-1252. Refused where they are no text."""
    named = next((name for mark, name in BOMS if data.startswith(mark)), "")
    for encoding in [named] if named else ["utf-8", "utf-16-le", "utf-16-be", "cp1252"]:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError as error:
            if named:
                raise Refused(
                    f"The file says that it is {named}, but byte {error.start} is not. Save it anew."
                ) from error
            continue
        if "\0" not in text and (encoding not in ("utf-16-le", "utf-16-be") or _is_western(text)):
            return text
    raise Refused("The file is no text that can be read. Save it as CSV (UTF-8) or as XLSX.")


def _is_western(text: str) -> bool:
    """Whether bytes read in pairs give what a list is written in, and not by chance."""
    return sum(sign < "\u0250" for sign in text[:400]) > 0.9 * len(text[:400])


def read_text(text: str) -> Table:
    """Rows and cells; a text without separators is one column, each line of it a line as people say it."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\0", "")
    _refuse_long_lines(text)
    if text[:4].lower() == "sep=" and "\n" in text:
        head, text = text.split("\n", 1)
        return Table([[], *_split(text, head[4:5] or ",")])
    separator = _separator(text)
    rows = _split(text, separator) if separator else check_size([line] for line in text.split("\n"))
    if separator == ",":
        _refuse_ragged(rows)
    return Table(rows)


def _refuse_long_lines(text: str) -> None:
    """Refused for a line longer than any row of a list: it is no list, and the csv module gives up on it."""
    for n, line in enumerate(text.split("\n")):
        if len(line) > LONGEST_LINE:
            raise Refused(
                f"{place(n)} has {len(line)} characters in one line. Save the list as CSV, a line for each row."
            )


def _split(text: str, separator: str) -> list[list[str]]:
    try:
        return check_size(csv.reader(text.split("\n"), delimiter=separator))
    except csv.Error as error:
        raise Refused(f"The list cannot be split into cells: {error}. Save it as XLSX, or paste it.") from error


def _separator(text: str) -> str:
    """The sign that splits most rows into the same number of cells, at least two; "" where there is none."""
    lines = [line for line in text.split("\n") if line.strip()][:LOOKED_AT]
    best, most = "", 0.5 * len(lines)
    for sign in SEPARATORS:
        rows = (next(csv.reader([line], delimiter=sign), []) for line in lines)  # apart: a quotation may stay open
        counts = Counter(len(row) for row in rows if len(row) > 1)
        alike = counts.most_common(1)[0][1] if counts else 0
        if alike > most and alike > 1:
            best, most = sign, alike
    return best


def _refuse_ragged(rows: list[list[str]]) -> None:
    """A comma may part cells or stand within a number: then a row has more cells than its head."""
    widths = Counter(len(row) for row in rows if any(row))
    usual = widths.most_common(1)[0][0] if widths else 0
    for n, row in enumerate(rows):
        if len(row) > usual and any(row[usual:]) and sum(map(bool, row)) > 1:
            raise Refused(
                f"{place(n)} has {len(row)} cells, the others {usual}: a comma in it may be a decimal comma. "
                "Save the list with semicolons, or as XLSX."
            )
