"""The price list as a table of text: written for a spreadsheet, and read again from one."""

import csv
import io
from collections.abc import Sequence

from regrind.geometry.units import Unit
from regrind.shop.fields.exact_lengths import exact_text

from .entries import KIND_WORDS, Entry, Key
from .row_form import RowForm
from .works import WORKS

HEAD = ("work", "kind", "over", "up to", "teeth from", "teeth to", "customer", "amount")
NAMES = dict(zip(HEAD, ("work", "kind", "over", "up_to", "teeth_from", "teeth_to", "customer", "amount"), strict=True))
MOST_LINES = 2_000
MOST_FAULTS = 20


def cells(entry: Entry, unit: Unit) -> list[str]:
    """A row of the list as `read_table` reads it."""
    band, rate = entry.band, entry.rate
    texts = [exact_text(band.over_nm, unit), exact_text(band.up_to_nm, unit)]
    teeth = [str(count) if count else "" for count in (band.teeth_from, band.teeth_to)]
    customer = rate.customer.name if rate.customer else ""
    return [WORKS[entry.work], KIND_WORDS.get(band.kind, ""), *texts, *teeth, customer, entry.amount]


def read_table(text: str, unit: Unit) -> tuple[dict[Key, int | None], list[str]]:
    """(amounts by their place in the list, what is wrong) of a pasted or uploaded table with a line of heads.

    Columns are parted by tabs, semicolons or commas, and may stand in any order; an empty amount ends a row. What is
    wrong says the line, what was read, why not, and what to write; nothing of such a table is taken.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    try:
        rows = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=_parted_by(lines)))
    except csv.Error as error:
        return {}, [f"The table cannot be split into cells: {error}. Is a quotation mark not closed?"]
    if not rows:
        return {}, ["The table is empty. Paste it with its line of heads."]
    heads = [head.strip().lower() for head in rows[0]]
    if faults := _head_faults(heads):
        return {}, faults
    if len(rows) > MOST_LINES:
        return {}, [f"{len(rows)} lines are more than {MOST_LINES}. Write it in several parts."]
    return _read_rows(heads, rows[1:], unit)


def _parted_by(lines: Sequence[str]) -> str:
    first = lines[0] if lines else ""
    return max("\t;,", key=first.count)


def _head_faults(heads: Sequence[str]) -> list[str]:
    wrong = [head for head in heads if head and head not in NAMES]
    lacking = [head for head in ("work", "amount") if head not in heads]
    choices = f"Write these heads: {', '.join(HEAD)}."
    faults = [f"Line 1: “{head[:40]}” is no column of the price list. {choices}" for head in wrong]
    return faults + [f"Line 1: the column “{head}” is missing. {choices}" for head in lacking]


def _read_rows(
    heads: Sequence[str], rows: Sequence[Sequence[str]], unit: Unit
) -> tuple[dict[Key, int | None], list[str]]:
    entries: dict[Key, int | None] = {}
    lines: dict[Key, int] = {}
    faults: list[str] = []
    for number, row in enumerate(rows, start=2):
        typed = {NAMES[head]: cell.strip() for head, cell in zip(heads, row, strict=False) if head}
        form = RowForm({**typed, "kind": typed.get("kind", "").replace("any tool", "")}, unit=unit)
        if not form.is_valid():
            faults += [f"Line {number}: {message}" for messages in form.errors.values() for message in messages]
        elif (entry := form.entry()) is not None:
            if entry[0] in lines:
                faults.append(f"Line {number} is for the same as line {lines[entry[0]]}. Leave one of the two.")
            entries[entry[0]], lines[entry[0]] = entry[1], number
    more = len(faults) - MOST_FAULTS
    return entries, faults[:MOST_FAULTS] + ([f"{more} more faults are not shown."] if more > 0 else [])
