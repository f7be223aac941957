"""The packing slip: what is in the parcel, what is not and why, and what follows."""

from collections.abc import Sequence

from reportlab.lib.colors import black
from reportlab.platypus import Flowable

from regrind.paper import parts, sheet, text
from regrind.paper.type import BOLD
from regrind.paper.values import PackingSlip, SlipLine, Style

TITLE = "Packing slip"
WHERE = (
    ("Ground", "ground"),
    ("Returned\nunground", "returned_unground"),
    ("Scrap", "scrap"),
    ("Returned\nbefore", "sent_before"),
    ("Recycled\nhere", "recycled"),
    ("At the\ncoater", "at_coater"),
    ("Still\nhere", "on_hand"),
    ("Missing", "missing"),
)
IN_PARCEL = ("ground", "returned_unground", "scrap")


def draw(values: PackingSlip) -> bytes:
    """One parcel's slip; PDF bytes, the same for the same values.

    Raises ValueError naming the line whose counts do not add up to the pieces received.
    """
    for line in values.lines:
        _check(line)
    wide, style = sheet.room(values.head), values.head.style
    here = sum(getattr(line, name) for line in values.lines for name in IN_PARCEL)
    order = f"Your order {values.head.order_number}" if values.head.order_number else ""
    in_parcel = f"{text.plural(here, 'piece')} in this parcel"
    title = " · ".join(part for part in (order, values.parcel, in_parcel) if part)
    story: list[Flowable] = [parts.heading(title), _lines(values, style, wide)]
    story += _charges(values, style, wide)
    if values.follows:
        story += [parts.heading("To follow"), *parts.bullets(values.follows)]
    story += [parts.heading("Note"), parts.paragraph(values.note)] if values.note else []
    packed = f"{values.packed_by.who}, {text.day(values.packed_by.on)}" if values.packed_by else ""
    pairs = [("Packed by", packed), ("Received by (name, date)", "")]
    story += [parts.gap(12), parts.facts(pairs, 2, wide)]
    return sheet.draw(TITLE, values.head, story, order="Your order")


def _check(line: SlipLine) -> None:
    """received = returned + recycled + at the coater + on hand + missing"""
    out = sum(getattr(line, name) for _, name in WHERE)
    if out != line.received:
        raise ValueError(f"line {line.number}: {line.received} received, but {out} accounted for")


def _lines(values: PackingSlip, style: Style, wide: float) -> Flowable:
    """A row for a line; only those ways out that some piece took have a column."""
    ways = [(title, name) for title, name in WHERE if any(getattr(line, name) for line in values.lines)]
    priced = values.total is not None
    widths = _widths(wide, len(ways), priced)
    currency = values.total.currency if values.total else ""
    rows: list[list[parts.Cell]] = [
        [
            "Line",
            "Tool and your part number",
            "Received",
            *(title for title, _ in ways),
            *((f"Each\n{currency}", f"Amount\n{currency}") if priced else ()),
        ]
    ]
    commands: list[parts.Command] = [("ALIGN", (2, 0), (-1, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    for line in values.lines:
        rows.append(_line(line, ways, style, priced))
        if line.why:
            rows.append(["", parts.paragraph(line.why, parts.SMALL)])
            commands += [
                ("SPAN", (1, len(rows) - 1), (-1, len(rows) - 1)),
                ("NOSPLIT", (0, len(rows) - 2), (-1, len(rows) - 1)),
            ]
        commands.append(_rule(len(rows) - 1, parts.HAIR))
    rows.append(_sums(values, ways, priced))
    last = len(rows) - 1
    commands += [("FONT", (0, last), (-1, last), BOLD, parts.SMALL.fontSize), _rule(last, parts.THIN)]
    return parts.table(rows, widths, commands, ruled=False)


def _rule(row: int, weight: float) -> parts.Command:
    return ("LINEBELOW", (0, row), (-1, row), weight, black)


def _sums(values: PackingSlip, ways: Sequence[tuple[str, str]], priced: bool) -> list[parts.Cell]:
    received = sum(line.received for line in values.lines)
    counts: list[parts.Cell] = [str(sum(getattr(line, name) for line in values.lines)) for _, name in ways]
    return ["Total", "", str(received), *counts, *(("", "") if priced else ())]


def _charges(values: PackingSlip, style: Style, wide: float) -> list[Flowable]:
    """Charges beside the lines, and the total, under the amounts."""
    if values.total is None:
        return []
    rows: list[list[parts.Cell]] = [
        [parts.paragraph(one.label, parts.SMALL_RIGHT), text.money(one.amount, style)] for one in values.charges
    ]
    total = f"Total {text.line(values.total.currency)}"
    rows.append(
        [
            parts.paragraph(total, parts.STRONG_RIGHT),
            parts.paragraph(text.money(values.total, style), parts.STRONG_RIGHT),
        ]
    )
    made = parts.table(
        rows,
        [wide - 80, 80],
        [("ALIGN", (1, 0), (1, -1), "RIGHT"), ("LINEABOVE", (0, -1), (-1, -1), parts.THIN, black)],
        header=0,
        ruled=False,
    )
    return [parts.gap(6), parts.together([made])]


def _widths(wide: float, ways: int, priced: bool) -> list[float]:
    counts = [min(48.0, wide * 0.5 / (ways + 1))] * (ways + 1)
    money = [52.0, 60.0] if priced else []
    number = 48.0
    return [number, wide - number - sum(counts) - sum(money), *counts, *money]


def _line(line: SlipLine, ways: Sequence[tuple[str, str]], style: Style, priced: bool) -> list[parts.Cell]:
    tool: list[Flowable] = [parts.paragraph(line.part_number, parts.STRONG)] if line.part_number else []
    tool.append(parts.paragraph(line.description, parts.SMALL))
    counts = [str(getattr(line, name)) for _, name in ways]
    money = [text.money(line.unit_price, style), text.money(line.amount, style)] if priced else []
    return [parts.paragraph(line.number, parts.SMALL_STRONG), tool, str(line.received), *counts, *money]
