"""The bill and the credit note: what was done, what one costs, tax, the total, when and where to pay."""

from reportlab.lib.colors import black
from reportlab.platypus import Flowable

from regrind.paper import parts, sheet, text
from regrind.paper.values import BillSheet, Style

TITLE, CREDIT = "Bill", "Credit note"
AMOUNT_PT = 80.0


def draw(values: BillSheet) -> bytes:
    """PDF bytes, the same for the same values. Raises ValueError naming the line or sum that does not add up."""
    _check(values)
    wide, style = sheet.room(values.head), values.head.style
    credits = f"For bill {values.credits_bill}" if values.credits_bill else ""
    story: list[Flowable] = [parts.heading(credits)] if credits else [parts.gap(6)]
    story += [_lines(values, style, wide), parts.gap(6), parts.together([_sums(values, style, wide)])]
    story += _payment(values, wide)
    if values.parcels:
        story += [parts.gap(6), parts.paragraph(f"For the parcels {', '.join(values.parcels)}.", parts.SMALL)]
    if values.note:
        story += [parts.heading("Reason" if credits else "Note"), parts.paragraph(values.note)]
    return sheet.draw(CREDIT if credits else TITLE, values.head, story, order="Your order")


def _check(values: BillSheet) -> None:
    for number, row in enumerate(values.rows, start=1):
        if row.pieces * row.each.minor != row.amount.minor:
            raise ValueError(f"line {number}: {row.pieces} × {row.each.minor} is not {row.amount.minor}")
    if sum(row.amount.minor for row in values.rows) != values.net.minor:
        raise ValueError(f"net: the lines do not add up to {values.net.minor}")
    if values.net.minor + values.tax.minor != values.total.minor:
        raise ValueError(f"total: {values.net.minor} + {values.tax.minor} is not {values.total.minor}")


def _lines(values: BillSheet, style: Style, wide: float) -> Flowable:
    currency = values.total.currency
    words = wide - 34 - 44 - 64 - AMOUNT_PT
    rows: list[list[parts.Cell]] = [["", "For", "Pieces", f"Each\n{currency}", f"Amount\n{currency}"]]
    for number, row in enumerate(values.rows, start=1):
        rows.append(
            [
                str(number),
                parts.cell(row.words, words),
                str(row.pieces) if row.counted else "",
                text.money(row.each, style),
                text.money(row.amount, style),
            ]
        )
    commands: list[parts.Command] = [("ALIGN", (2, 0), (-1, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    return parts.table(rows, [34, words, 44, 64, AMOUNT_PT], commands)


def _sums(values: BillSheet, style: Style, wide: float) -> Flowable:
    """Net, tax and total under the amounts."""
    total = f"Total {text.line(values.total.currency)}"
    rows: list[list[parts.Cell]] = [
        [parts.paragraph("Net", parts.SMALL_RIGHT), text.money(values.net, style)],
        [parts.paragraph(f"Tax: {values.tax_words}", parts.SMALL_RIGHT), text.money(values.tax, style)],
        [
            parts.paragraph(total, parts.STRONG_RIGHT),
            parts.paragraph(text.money(values.total, style), parts.STRONG_RIGHT),
        ],
    ]
    rule = ("LINEABOVE", (0, -1), (-1, -1), parts.THIN, black)
    return parts.table(
        rows, [wide - AMOUNT_PT, AMOUNT_PT], [("ALIGN", (1, 0), (1, -1), "RIGHT"), rule], header=0, ruled=False
    )


def _payment(values: BillSheet, wide: float) -> list[Flowable]:
    pairs = [
        ("To be paid until", text.day(values.due) if values.due else ""),
        ("Pay to", values.pay_to),
        ("Our tax number", values.seller_tax_number),
        ("Your tax number", values.buyer_tax_number),
    ]
    named = [(name, value) for name, value in pairs if value]
    return [parts.gap(12), parts.facts(named, 2, wide)] if named else []
