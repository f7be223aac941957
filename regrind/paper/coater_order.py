"""The order to a coater: what is to be coated, with what, for which price and until when."""

from reportlab.platypus import Flowable

from regrind.paper import parts, sheet, text
from regrind.paper.values import CoaterLine, CoaterOrder, Style

TITLE = "Order to coat"
COUNT_PT, SIZE_PT, SUBSTRATE_PT, NUMBER_PT = 48.0, 116.0, 96.0, 70.0


def draw(values: CoaterOrder) -> bytes:
    """PDF bytes, the same for the same values. Raises ValueError where no piece is on the order."""
    if not values.lines:
        raise ValueError("lines: no piece is on this order")
    wide, style = sheet.room(values.head), values.head.style
    count = text.plural(sum(line.pieces for line in values.lines), "piece")
    asked = [
        ("Coating wanted", values.coating),
        ("Slip number", values.slip),
        ("Expected back", text.day(values.expected) if values.expected else "please tell us"),
        ("Price agreed for all", _price(values, style)),
    ]
    story: list[Flowable] = [parts.heading(f"Please coat {count}"), parts.facts(asked, 2, wide), parts.gap(10)]
    story += [_lines(values, style, wide)]
    if values.note:
        story += [parts.heading("Masking and edges"), parts.paragraph(values.note)]
    sent = f"{values.sent.who}, {text.day(values.sent.on)}" if values.sent else ""
    pairs = [("Sent by", sent), ("Received by (name, date)", "")]
    return sheet.draw(TITLE, values.head, [*story, parts.gap(12), parts.facts(pairs, 2, wide)])


def _price(values: CoaterOrder, style: Style) -> str:
    return f"{text.money(values.price, style)} {values.price.currency}" if values.price else "not agreed yet"


def _lines(values: CoaterOrder, style: Style, wide: float) -> Flowable:
    tools = wide - NUMBER_PT - COUNT_PT - SIZE_PT - SUBSTRATE_PT
    rows: list[list[parts.Cell]] = [["Pieces", "Tool", "Substrate", "Diameter", "Count"]]
    for line in values.lines:
        rows.append(
            [
                parts.cell(line.number, NUMBER_PT),
                parts.cell(line.tools, tools),
                parts.cell(line.substrate or "not recorded", SUBSTRATE_PT),
                parts.cell(_size(line, style), SIZE_PT),
                str(line.pieces),
            ]
        )
    commands: list[parts.Command] = [("ALIGN", (-1, 0), (-1, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    return parts.table(rows, [NUMBER_PT, tools, SUBSTRATE_PT, SIZE_PT, COUNT_PT], commands)


def _size(line: CoaterLine, style: Style) -> str:
    """One diameter, or the smallest and the largest."""
    ends = [length for length in (line.diameter, line.diameter_to) if length is not None]
    size = " to ".join(dict.fromkeys(text.dual(length, style) for length in ends))
    if not size:
        return "–"
    return f"after grinding, planned: {size}" if line.planned else f"now {size}"
