"""The family review on paper: which families are worth regrinding."""

from collections.abc import Sequence

from regrind.paper import parts, sheet, text
from regrind.paper.values import FamilyRow, Review, Style

TITLE = "Family review"
SHARES = (0.25, 0.06, 0.085, 0.1, 0.08, 0.08, 0.075, 0.08, 0.12, 0.07)


def draw(values: Review) -> bytes:
    """The review of a period; PDF bytes, the same for the same values."""
    wide, style = sheet.room(values.head), values.head.style
    widths = [wide * share for share in SHARES]
    currency = next((row.price.currency for row in values.rows if row.price), "")
    unit = f"{style.unit} ({text.other_unit(style)})"
    rows: list[list[parts.Cell]] = [[
        "Family", "Seen", "Reground", f"Usual stock\na side, {unit}", "Regrinds\nso far", "Left", "Minutes",
        f"Price\n{currency}", "Not ground,\nand why", "Com-\nplaints"]]
    rows += [_row(row, style, widths) for row in values.rows]
    made = parts.table(rows, widths, [
        ("ALIGN", (1, 0), (7, -1), "RIGHT"), ("ALIGN", (9, 0), (9, -1), "RIGHT"),
        ("LEFTPADDING", (0, 0), (0, -1), 0)])
    note = [parts.heading("Note"), parts.paragraph(values.note)] if values.note else []
    return sheet.draw(TITLE, values.head, [parts.heading(values.period), made, *note])


def _row(row: FamilyRow, style: Style, widths: Sequence[float]) -> list[parts.Cell]:
    why = "\n".join(part for part in (_percent(row.not_ground_percent), row.why_not) if part)
    return [
        parts.cell(row.family, widths[0], parts.SMALL_STRONG), str(row.seen), _percent(row.reground_percent),
        text.stacked(row.usual_stock_radial, style),
        parts.cell(row.regrinds_so_far, widths[4], parts.SMALL_RIGHT),
        parts.cell(row.regrinds_left, widths[5], parts.SMALL_RIGHT),
        parts.cell(row.minutes, widths[6], parts.SMALL_RIGHT), text.money(row.price, style),
        parts.cell(why, widths[8]), str(row.complaints),
    ]


def _percent(share: int | None) -> str:
    return text.UNKNOWN if share is None else f"{share}{text.NARROW}%"
