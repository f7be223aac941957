"""The quote: each tool that is asked about with its ways and prices, what is settled already, and how to answer."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from regrind.paper import parts, sheet, text
from regrind.paper.svg_drawing import SvgDrawing
from regrind.paper.values import Money, Photo, QuotedTools, QuoteOption, QuoteRow, QuoteSheet, Style

TITLE = "Quote"
BOX_PT, PRICE_PT = 20.0, 70.0
DRAWING_PT, PHOTO_PT = 200.0, (146.0, 104.0)
ALSO = (("Return unground", "you get it back untouched"), ("Scrap", "not worth it to you"))


def draw(values: QuoteSheet) -> bytes:
    """PDF bytes, the same for the same values. Raises ValueError where nothing is asked."""
    if not values.items:
        raise ValueError("items: nothing is asked")
    wide, style = sheet.room(values.head), values.head.style
    lead = f"Please say for each what we shall do. These prices hold until {text.day(values.valid_until)}."
    story: list[Flowable] = [parts.gap(4), parts.paragraph(lead, parts.LEAD)]
    story += [parts.gap(4), parts.paragraph(values.note)] if values.note else []
    for item in values.items:
        story += _item(item, style, wide)
    for part in values.settled:
        story += _settled(part.title, part.rows, style, wide)
    story += _more(values, style)
    story += _answer(values, wide)
    return sheet.draw(TITLE, values.head, story, order="Your order")


def _item(item: QuotedTools, style: Style, wide: float) -> list[Flowable]:
    """The tools, the question, and a box to tick for each answer."""
    number = f", your number {item.part_number}" if item.part_number else ""
    title = f"Line {item.line}: {item.tool}{number}"
    pieces = f"{text.plural(item.count, 'tool')}: {item.pieces}"
    facts = f"{pieces}. Size now: {item.now}. Your limit: {item.limit}."
    asked = [parts.paragraph(item.question, parts.STRONG)] if item.question else []
    head = [parts.heading(title), *asked, parts.paragraph(facts, parts.SMALL)]
    pictures = _pictures(item, wide)
    answers = [parts.gap(2), _options(item, style, wide)]
    together = [*head, *pictures] if pictures else [*head, *answers]
    return [parts.together(together), *(answers if pictures else [])]


def _pictures(item: QuotedTools, wide: float) -> list[Flowable]:
    """The drawing of what is proposed at the left, the photos beside it, two in a row; in rows of three without one."""
    photos = [_photo(photo) for photo in item.photos]
    if not item.drawing:
        return [_grid(photos, 3, wide)] if photos else []
    note = parts.paragraph("Our proposal, drawn. Hatched: what we grind off.", parts.SMALL)
    drawn: list[Flowable] = [SvgDrawing(item.drawing, DRAWING_PT, DRAWING_PT * 1.1), note]
    beside = [_grid(photos, 2, wide - DRAWING_PT - 12)] if photos else []
    top = [("LEFTPADDING", (0, 0), (-1, -1), 0), ("VALIGN", (0, 0), (-1, -1), "TOP")]
    return [parts.table([[drawn, beside]], [DRAWING_PT + 12, wide - DRAWING_PT - 12], top, header=0, ruled=False)]


def _photo(photo: Photo) -> list[Flowable]:
    image = sheet.picture(sheet.shrunk(photo.image, *PHOTO_PT), *PHOTO_PT)
    shown = image or parts.paragraph("The photo could not be read.", parts.SMALL)
    return [shown, parts.paragraph(photo.caption, parts.SMALL)]


def _grid(cells: list[list[Flowable]], columns: int, wide: float) -> Flowable:
    cells += [[parts.gap(0)]] * (-len(cells) % columns)
    rows = [cells[start : start + columns] for start in range(0, len(cells), columns)]
    flush = [("LEFTPADDING", (0, 0), (-1, -1), 0)]
    return parts.table(rows, [wide / columns] * columns, flush, header=0, ruled=False)


def _options(item: QuotedTools, style: Style, wide: float) -> Flowable:
    words, worth = (wide - BOX_PT - PRICE_PT) * 0.55, (wide - BOX_PT - PRICE_PT) * 0.45
    rows: list[list[parts.Cell]] = [["", "What we do, and the tool after", "Is it worth it?", "Each"]]
    for option in item.options:
        rows.append([parts.Box(), _option(option, words), parts.cell(option.worth, worth), _price(option.price, style)])
    fee = _price(item.not_ground, style) if item.not_ground else ""
    for name, meaning in ALSO:
        rows.append([parts.Box(), parts.cell(name, words), parts.cell(meaning, worth), fee])
    commands = [("ALIGN", (3, 0), (3, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 1)]
    return parts.table(rows, [BOX_PT, words, worth, PRICE_PT], commands)


def _option(option: QuoteOption, room: float) -> parts.Cell:
    proposed = " (our proposal)" if option.proposed else ""
    after = f"\nafter: {option.after}" if option.after else ""
    return parts.cell(f"Grind {option.words}{proposed}{after}", room)


def _price(price: Money | None, style: Style) -> str:
    return f"{text.money(price, style)} {text.line(price.currency)}" if price else "not known yet"


def _settled(title: str, rows: Sequence[QuoteRow], style: Style, wide: float) -> list[Flowable]:
    tool, words = (wide - 40 - 34 - PRICE_PT) * 0.5, (wide - 40 - 34 - PRICE_PT) * 0.5
    cells: list[list[parts.Cell]] = [["Line", "Tool", "Tools", "What", "Each"]]
    cells += [
        [
            row.line,
            parts.cell(f"{row.tool}: {row.pieces}", tool),
            str(row.count),
            parts.cell(row.words, words),
            _price(row.price, style) if row.price or row.priced else "",
        ]
        for row in rows
    ]
    commands = [("ALIGN", (2, 0), (2, -1), "RIGHT"), ("ALIGN", (4, 0), (4, -1), "RIGHT")]
    return [parts.heading(title), parts.table(cells, [40, tool, 34, words, PRICE_PT], commands)]


def _more(values: QuoteSheet, style: Style) -> list[Flowable]:
    """What else is charged, and what is not known yet."""
    coated = {item.coating for item in values.items if item.coating}
    lines = [f"A new coating, where you want one: {_price(price, style)} each." for price in coated]
    lines += [f"Rush, for the box: {_price(values.rush, style)}." if values.rush else ""]
    lines += [f"A box costs at least {_price(values.least, style)}." if values.least else ""]
    lines += [f"Not inspected yet: {values.uninspected}." if values.uninspected else ""]
    charged = [line for line in lines if line]
    return [parts.heading("Also"), *parts.bullets(charged)] if charged else []


def _answer(values: QuoteSheet, wide: float) -> list[Flowable]:
    """The code to scan where there is one, the words to answer by, and lines to sign on."""
    signed = parts.facts([("Name", ""), ("Date", "")], 2, wide)
    if not values.address:
        return [
            parts.together([parts.heading("Your answer"), parts.paragraph(values.answer_to), parts.gap(14), signed])
        ]
    words = [
        parts.paragraph("Scan the code with a phone, choose, and send. Or open:", parts.STRONG),
        parts.paragraph(values.address),
        parts.gap(4),
        parts.paragraph("Whoever has this sheet can answer: hand it to nobody else.", parts.SMALL),
        parts.paragraph(values.answer_to, parts.SMALL),
    ]
    row = parts.table([[words, [sheet.Address(values.address)]]], [wide - 102, 102], header=0, ruled=False)
    return [parts.together([parts.heading("Your answer"), row, parts.gap(8), signed])]
