"""The family review on paper: which families are worth regrinding."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from regrind.paper import parts, sheet, text
from regrind.paper.values import FamilyRow, Money, Review, Style

TITLE = "Family review"
FAMILY_SHARE = 0.27
MOST_ROWS = 60  # more than a page takes, of one line each: what is longer need not be drawn to see that
PAGE = re.compile(rb"/Type /Page\b(?!s)")


@dataclass(frozen=True)
class Column:
    """A column after the family's name: its head, its weight, and what stands in it."""

    title: str
    weight: float
    read: Callable[[FamilyRow, Style], str]
    right: bool = True
    small: bool = False


def draw(values: Review) -> bytes:
    """The review of a period; PDF bytes, the same for the same values."""
    wide, style = sheet.room(values.head), values.head.style
    columns = [column for column in _columns(values, style) if any(_filled(column, row, style) for row in values.rows)]
    weight = sum(column.weight for column in columns) or 1
    widths = [wide * FAMILY_SHARE, *(wide * (1 - FAMILY_SHARE) * column.weight / weight for column in columns)]
    rows: list[list[parts.Cell]] = [["Family", *(column.title for column in columns)]]
    rows += [_row(row, columns, style, widths) for row in values.rows]
    rights = [
        ("ALIGN", (index, 0), (index, -1), "RIGHT") for index, column in enumerate(columns, start=1) if column.right
    ]
    made = parts.table(rows, widths, [*rights, ("LEFTPADDING", (0, 0), (0, -1), 0)])
    summary = [parts.paragraph(values.summary), parts.gap(6)] if values.summary else []
    note = [parts.heading("Note"), parts.paragraph(values.note)] if values.note else []
    return sheet.draw(TITLE, values.head, [parts.heading(values.period), *summary, made, *note])


def draw_one_page(values: Review) -> bytes:
    """As many rows as one page takes, the first and the last of their order, so that the weakest stay on it; and a
    sentence that says how many between them were left out."""
    if len(values.rows) <= MOST_ROWS:
        whole = draw(values)
        if count_pages(whole) == 1 or len(values.rows) < 2:
            return whole
    fits, too_many = 1, min(len(values.rows), MOST_ROWS + 1)
    while too_many - fits > 1:
        middle = (fits + too_many) // 2
        fits, too_many = (middle, too_many) if count_pages(draw(_first(values, middle))) == 1 else (fits, middle)
    return draw(_first(values, fits))


def _first(values: Review, rows: int) -> Review:
    left_out = text.plural(len(values.rows) - rows, "family", "families")
    last = rows // 2
    ends = (*values.rows[: rows - last], *values.rows[len(values.rows) - last :])
    between = f" between the first {rows - last} and the last {last}" if last else ""
    remark = f"{left_out}{between} did not fit on one page."
    return replace(values, rows=ends, note=f"{values.note} {remark}".strip())


def count_pages(document: bytes) -> int:
    """The pages of one of our own papers."""
    return len(PAGE.findall(document))


def _columns(values: Review, style: Style) -> list[Column]:
    unit, currency = f"{style.unit} ({text.other_unit(style)})", _currency(values.rows)
    return [
        Column("Received", 6, lambda row, _: str(row.received)),
        Column("Reground\nfrom – to", 10, _good),
        Column(f"Stock per\nside, {unit}", 10, lambda row, style: text.taken(row.usual_stock_radial, style)),
        Column("Regrinds\nso far", 8, lambda row, _: row.regrinds_so_far, small=True),
        Column("Regrinds\nleft", 6.5, lambda row, _: row.regrinds_left, small=True),
        Column("Minutes", 6.5, lambda row, _: row.minutes, small=True),
        Column(f"Charged\n{currency}", 6.5, lambda row, style: text.money(row.price, style)),
        Column(f"Saved a\ntool, {currency}", 8, lambda row, style: text.money(row.saved, style)),
        Column("Earned a\nminute", 7.5, lambda row, style: text.money(row.earned, style)),
        Column("Not reground,\nwith reason", 12.5, _not_ground, right=False, small=True),
        Column("Com-\nplaints", 5.5, lambda row, _: str(row.complaints)),
    ]


def _currency(rows: Sequence[FamilyRow]) -> str:
    amounts: list[Money | None] = [amount for row in rows for amount in (row.price, row.saved, row.earned)]
    return next((amount.currency for amount in amounts if amount), "")


def _filled(column: Column, row: FamilyRow, style: Style) -> bool:
    return column.read(row, style) not in ("", text.UNKNOWN)


def _good(row: FamilyRow, _: Style) -> str:
    within = (
        "" if row.reground_from is None or row.reground_to is None else f"\n{row.reground_from} – {row.reground_to}"
    )
    return f"{_percent(row.reground_percent)}{within}"


def _not_ground(row: FamilyRow, _: Style) -> str:
    return "\n".join(part for part in (_percent(row.not_ground_percent), row.why_not) if part and part != text.UNKNOWN)


def _row(row: FamilyRow, columns: Sequence[Column], style: Style, widths: Sequence[float]) -> list[parts.Cell]:
    family: parts.Cell = parts.cell(row.family, widths[0], parts.SMALL_STRONG)
    if row.advice:
        family = [parts.paragraph(row.family, parts.SMALL_STRONG), parts.paragraph(row.advice, parts.SMALL)]
    cells: list[parts.Cell] = [family]
    for column, room in zip(columns, widths[1:], strict=True):
        words = column.read(row, style)
        look = parts.SMALL_RIGHT if column.right else parts.SMALL
        cells.append(parts.cell(words, room, look) if column.small else words)
    return cells


def _percent(share: int | None) -> str:
    return text.UNKNOWN if share is None else f"{share}{text.NARROW}%"
