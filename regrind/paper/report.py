"""The returned-tool report: a first page read in ten seconds, and a complete table behind it."""

from collections.abc import Sequence

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Flowable, Paragraph

from regrind.paper import parts, sheet, text
from regrind.paper.breaks import Begins
from regrind.paper.chart import Life
from regrind.paper.report_now import now_table
from regrind.paper.report_table import pieces_table, unread
from regrind.paper.type import BOLD
from regrind.paper.values import Instrument, NotGround, Report, ReportLine, ReportPiece, Signed, Style

TITLE = "Returned-tool report"
UNIT_WORDS = {"in": "inches", "mm": "millimetres"}
COUNT = ParagraphStyle("count", parts.BODY, fontName=BOLD, fontSize=22, leading=25)
PHOTO_PT = (252.0, 176.0)
FEW = 2  # photos that stand on the first page; more of them stand behind the table
COUNT_WORDS = {"at the coater": "ground, being coated"}  # only ground pieces go to the coater
RESULTS = ("returned unground", "scrap", "missing", "at the coater", "on hand")


def draw(values: Report) -> bytes:
    """The report a customer keeps; PDF bytes, the same for the same values."""
    wide, style = sheet.room(values.head), values.head.style
    story: list[Flowable] = [_counts(values, wide)]
    story += [parts.paragraph(values.summary, parts.LEAD)] if values.summary else []
    story += [parts.gap(6), _lines(values.lines, style, wide)]
    story += now_table(values.lines, style, wide)
    story += _not_ground(values.not_ground, wide)
    story += [parts.heading("Note"), parts.paragraph(values.note)] if values.note else []
    story += [parts.heading("Saved against buying new"), parts.paragraph(values.saved)] if values.saved else []
    story += _signed(values, wide)
    few = sum(len(one.photos) for one in values.not_ground) <= FEW
    story += _photos(values.not_ground, wide) if few else []
    story += [*_behind(values, style, wide), *_assumed(values)]
    story += _instruments(values, style, wide)
    story += [] if few else _photos(values.not_ground, wide)
    for life in values.life:
        names = (f"Life of {life.tag}", life.part_number, life.description)
        title = " · ".join(part for part in names if part)
        story.append(parts.together([parts.heading(title), Life(life, style)]))
    return sheet.draw(TITLE, values.head, story, order="Your order")


def _counts(values: Report, wide: float) -> Flowable:
    """How many were received, and their results, in large figures.

    The pieces are counted where all are listed, else the rows of what was not ground.
    """
    received, ground = sum(one.received for one in values.lines), sum(one.ground for one in values.lines)
    counts = [("received", received), ("ground", ground)]
    pieces = [piece for one in values.lines for piece in one.pieces]
    unground: Sequence[ReportPiece | NotGround] = values.not_ground
    if sum(piece.count for piece in pieces) == received:
        unground = pieces
    for result in RESULTS:
        number = sum(one.count for one in unground if one.result == result)
        counts += [(result, number)] if number else []
    cells: list[parts.Cell] = [
        [parts.paragraph(str(number), COUNT), parts.paragraph(COUNT_WORDS.get(name, name), parts.BODY)]
        for name, number in counts
    ]
    return parts.table(
        [cells], [wide / max(5, len(cells))] * len(cells), [("LEFTPADDING", (0, 0), (0, 0), 0)], header=0, ruled=False
    )


def _lines(lines: Sequence[ReportLine], style: Style, wide: float) -> Flowable:
    """One row for a line: what it is, how many, and the diameter before and now."""
    unit = f"{style.unit} ({text.other_unit(style)})"
    widths = [wide * share for share in (0.05, 0.23, 0.06, 0.065, 0.085, 0.125, 0.135, 0.25)]
    rows: list[list[parts.Cell]] = [
        [
            "Line",
            "Tool and your part number",
            "Received",
            "Ground",
            f"Nominal ⌀\n{unit}",
            f"⌀ now\n{unit}",
            f"From nominal\n{unit}",
            "Work and remarks",
        ]
    ]
    rows += [_line(one, style, widths) for one in lines]
    commands: list[parts.Command] = [("ALIGN", (2, 0), (6, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    return parts.table(rows, widths, commands)


def _line(line: ReportLine, style: Style, widths: Sequence[float]) -> list[parts.Cell]:
    regrinds_left = f"Regrinds left: {line.regrinds_left}" if line.regrinds_left else ""
    rest = "\n".join(part for part in (line.done, line.other, regrinds_left) if part)
    tool: list[Flowable] = [parts.paragraph(line.description, parts.SMALL)]
    tool += [parts.paragraph(line.part_number, parts.SMALL_STRONG)] if line.part_number else []
    return [
        parts.paragraph(line.number, parts.SMALL_STRONG),
        tool,
        str(line.received),
        str(line.ground),
        text.stacked(line.nominal, style),
        parts.paragraph(_range(line, style), parts.SMALL_STRONG_RIGHT),
        parts.paragraph(_off_nominal(line, style), parts.SMALL_RIGHT),
        parts.cell(rest, widths[7]),
    ]


def _range(line: ReportLine, style: Style) -> str:
    """The diameter now, from the smallest piece to the largest where they print differently."""
    rows = []
    for unit in (style.unit, text.other_unit(style)):
        ends = [text.number(one, unit, style) for one in (line.diameter_from, line.diameter_to) if one]
        rows.append("–".join(dict.fromkeys(ends)))
    return f"{rows[0]}\n({rows[1]})" if rows[0] else text.UNKNOWN


def _off_nominal(line: ReportLine, style: Style) -> str:
    """How far the diameter now is from nominal: of the smallest piece to the largest, as the range beside it."""
    rows = []
    for unit in (style.unit, text.other_unit(style)):
        ends = [text.number(one, unit, style, sign=True) for one in (line.difference, line.difference_to) if one]
        rows.append(" to ".join(dict.fromkeys(ends)))
    return f"{rows[0]}\n({rows[1]})" if rows[0] else text.UNKNOWN


def _not_ground(rows: Sequence[NotGround], wide: float) -> list[Flowable]:
    if not rows:
        return []
    widths = [wide * share for share in (0.13, 0.3, 0.06, 0.13, 0.38)]
    cells: list[list[parts.Cell]] = [["Piece", "Tool and your part number", "Count", "Result", "Why"]]
    cells += [
        [
            parts.cell(one.number, widths[0], parts.SMALL_STRONG),
            parts.cell("\n".join(part for part in (one.description, one.part_number) if part), widths[1]),
            str(one.count),
            parts.cell(one.result, widths[3]),
            parts.cell(one.why + (" (photo)" if one.photos else ""), widths[4]),
        ]
        for one in rows
    ]
    commands: list[parts.Command] = [("ALIGN", (2, 0), (2, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    return [parts.heading("Not reground, with reason"), parts.table(cells, widths, commands)]


def _signed(values: Report, wide: float) -> list[Flowable]:
    pairs = [("Measured by", _names(values.measured_by)), ("Released by", _names(values.released_by))]
    return [parts.gap(10), parts.together([parts.facts(pairs, 2, wide)])]


def _names(people: Sequence[Signed]) -> str:
    return "; ".join(f"{one.who}, {text.day(one.on)}" for one in people) or "not recorded"


def _behind(values: Report, style: Style, wide: float) -> list[Flowable]:
    """Every piece before and after, line by line."""
    unit = f"{UNIT_WORDS[style.unit]}, {UNIT_WORDS[text.other_unit(style)]} in parentheses"
    heads: list[Flowable] = [
        Paragraph("Every piece, before and after", parts.HEADING),
        parts.paragraph(f"Lengths in {unit}. An empty place: not measured on this piece.", parts.SMALL),
    ]
    made: list[Flowable] = []
    for line in values.lines:
        title = " · ".join(part for part in (f"Line {line.number}", line.description, line.part_number) if part)
        missing = unread(line.pieces, line.asked)
        shown: list[Flowable] = [*heads, parts.gap(6), parts.paragraph(title, parts.STRONG), parts.gap(2)]
        shown += [parts.paragraph(missing, parts.SMALL), parts.gap(2)] if missing else []
        shown.append(pieces_table(line.pieces, style, wide))
        made += [Begins(shown), *shown]
        heads = []
    return made


def _assumed(values: Report) -> list[Flowable]:
    if not values.assumed:
        return []
    title = parts.heading("Assumed, not measured")
    return [title, *parts.bullets(values.assumed, parts.SMALL)]


def _instruments(values: Report, style: Style, wide: float) -> list[Flowable]:
    title, named = parts.heading("Instruments"), [one for one in values.instruments if one.name]
    unnamed = ", ".join(dict.fromkeys(one.used_for for one in values.instruments if not one.name))
    remark: list[Flowable] = [
        parts.gap(3),
        parts.paragraph(f"Measured with an instrument that was not recorded: {unnamed}.", parts.SMALL),
    ]
    remark = remark if unnamed else []
    if not named:
        return [title, *(remark or [parts.paragraph("No instrument was recorded for these readings.", parts.SMALL)])]
    numbered = any(one.number for one in named)
    shares = (0.25, 0.09, 0.19, 0.23, 0.24) if numbered else (0.28, 0.2, 0.25, 0.27)
    widths = [wide * share for share in shares]
    heads = ["Instrument", *(["Number"] if numbered else []), "Resolution", "Calibration when read", "Used for"]
    rows: list[list[parts.Cell]] = [list(heads)]
    rows += [_instrument(one, style, widths, numbered) for one in named]
    return [title, parts.table(rows, widths, [("LEFTPADDING", (0, 0), (0, -1), 0)]), *remark]


def _instrument(one: Instrument, style: Style, widths: Sequence[float], numbered: bool) -> list[parts.Cell]:
    day = text.day(one.calibrated_until) if one.calibrated_until else ""
    if day and one.state == "overdue":
        state = f"calibration overdue since {day}"
    else:
        state = ", ".join(part for part in (one.state, day and f"calibrated until {day}") if part) or "not recorded"
    return [
        parts.cell(one.name, widths[0]),
        *([parts.cell(one.number, widths[1])] if numbered else []),
        parts.cell(text.dual(one.resolution, style), widths[-3]),
        parts.cell(state, widths[-2]),
        parts.cell(one.used_for, widths[-1]),
    ]


def _photos(rows: Sequence[NotGround], wide: float) -> list[Flowable]:
    """Photos two beside each other, each with the piece it shows; bytes that are no picture are told."""
    cells: list[list[Flowable]] = []
    for one in rows:
        for photo in one.photos:
            caption = " · ".join(part for part in (f"{one.result}: {one.why}", photo.caption) if part)
            image = sheet.picture(sheet.shrunk(photo.image, *PHOTO_PT), *PHOTO_PT)
            shown = image or parts.paragraph("The photo could not be read.", parts.SMALL)
            cells.append([shown, parts.paragraph(caption, parts.SMALL)])
    if not cells:
        return []
    cells += [[parts.gap(0)]] * (len(cells) % 2)
    grid = [[cells[start], cells[start + 1]] for start in range(0, len(cells), 2)]
    made = parts.table(grid, [wide / 2] * 2, [("LEFTPADDING", (0, 0), (0, -1), 0)], header=0, ruled=False)
    return [CondPageBreak(PHOTO_PT[1] + 60), parts.heading("Photos of pieces not reground"), made]
