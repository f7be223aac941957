"""The pieces sheets are built of: paragraphs, headings, facts, tables, check boxes and lines to write on."""

from collections.abc import Sequence
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, KeepTogether, Paragraph, Spacer, Table

from regrind.paper import text
from regrind.paper.type import BOLD, REGULAR, width, write

BODY = ParagraphStyle(
    "body", fontName=REGULAR, fontSize=9, leading=11.5, textColor=black, splitLongWords=1, bulletFontName=REGULAR
)
STRONG = ParagraphStyle("strong", BODY, fontName=BOLD)
SMALL = ParagraphStyle("small", BODY, fontSize=7.5, leading=9.5)
SMALL_STRONG = ParagraphStyle("small strong", SMALL, fontName=BOLD)
STRONG_RIGHT = ParagraphStyle("strong right", STRONG, alignment=2)
SMALL_STRONG_RIGHT = ParagraphStyle("small strong right", SMALL_STRONG, alignment=2)
SMALL_RIGHT = ParagraphStyle("small right", SMALL, alignment=2)
NAME = ParagraphStyle("name", BODY, fontSize=7, leading=8.6)
NAME_RIGHT = ParagraphStyle("name right", NAME, alignment=2)
VALUE = ParagraphStyle("value", BODY, fontSize=10, leading=12.5)
HEADING = ParagraphStyle("heading", BODY, fontName=BOLD, fontSize=12, leading=15, spaceBefore=10, spaceAfter=3)
SETTING = ParagraphStyle("setting", BODY, fontSize=10, leading=12)  # read with dirty gloves beside a grinder
LEAD = ParagraphStyle("lead", BODY, fontSize=11, leading=14.5)

HAIR, THIN, THICK = 0.35, 0.6, 1.4
WITHIN_ROW_PT = 400
Cell = str | Flowable | list[Flowable]
Command = Any  # one of ReportLab's table style commands, a tuple


def paragraph(words: str, style: ParagraphStyle = BODY) -> Paragraph:
    """A paragraph of somebody's words: cleaned and escaped, line breaks kept."""
    return Paragraph(text.markup(words), style)


def heading(words: str) -> Paragraph:
    """A heading that stays with what follows."""
    return Paragraph(text.markup(words), ParagraphStyle("kept", HEADING, keepWithNext=1))


def cell(words: str, room: float, style: ParagraphStyle = SMALL) -> Cell:
    """Words for a table's cell: a plain string where they stand on one line, else a paragraph that wraps.

    Plain strings are drawn many times faster, and most cells are short.
    """
    one = text.line(words)
    bold = style.fontName == BOLD
    if "\n" not in words.strip() and width(one, style.fontSize, bold=bold) <= room - 6:
        return (
            one
            if style.fontName == REGULAR and style.fontSize == SMALL.fontSize
            else Paragraph(text.markup(one), style)
        )
    return Paragraph(text.markup(words.strip()), style)


def table(
    rows: Sequence[Sequence[Cell]],
    widths: Sequence[float],
    commands: Sequence[Command] = (),
    *,
    header: int = 1,
    ruled: bool = True,
) -> Table:
    """A table in the sheets' one style: header repeated on every page, rows that may break over pages.

    `commands` are ReportLab's table style commands on top of it.
    """
    made = Rows([list(row) for row in rows], colWidths=list(widths), repeatRows=header)
    made.setStyle([*_style(header, ruled), *commands])
    made.hAlign = "LEFT"
    unsplit = [one[2][1] for one in commands if one[0] == "NOSPLIT" and one[1][1] == header]
    made.begins = max([header, *unsplit]) + 1
    return made


def _style(header: int, ruled: bool) -> list[Command]:
    rules: list[Command] = [
        ("FONT", (0, 0), (-1, -1), REGULAR, SMALL.fontSize, SMALL.leading),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2.2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.8),
    ]
    if ruled:
        rules.append(("LINEBELOW", (0, 0), (-1, -1), HAIR, black))
    if header:
        rules += [
            ("FONT", (0, 0), (-1, header - 1), REGULAR, NAME.fontSize, NAME.leading),
            ("VALIGN", (0, 0), (-1, header - 1), "BOTTOM"),
            ("LINEBELOW", (0, header - 1), (-1, header - 1), THIN * 1.6, black),
        ]
    return rules


def facts(pairs: Sequence[tuple[str, str]], columns: int, room: float, style: ParagraphStyle = VALUE) -> Table:
    """Names in small letters above their values, in so many columns; an empty value is a line to write on."""
    cells: list[Cell] = [_fact(name, value, style) for name, value in pairs]
    cells += [""] * (-len(cells) % columns)
    rows = [cells[start : start + columns] for start in range(0, len(cells), columns)]
    return table(rows, [room / columns] * columns, [("LEFTPADDING", (0, 0), (0, -1), 0)], header=0)


def _fact(name: str, value: str, style: ParagraphStyle) -> list[Flowable]:
    if value:
        return [paragraph(name, NAME), paragraph(value, style)]
    return [paragraph(name, NAME), WriteIn(style.leading)]


def bullets(lines: Sequence[str], style: ParagraphStyle = BODY) -> list[Flowable]:
    """One indented paragraph a line."""
    hung = ParagraphStyle("hung", style, leftIndent=10, bulletIndent=0, spaceAfter=1.5)
    return [Paragraph(text.markup(line), hung, bulletText="•") for line in lines]


def together(flowables: list[Flowable]) -> KeepTogether:
    """Flowables that are not torn apart unless they are taller than a page."""
    return KeepTogether(flowables)


def gap(points: float) -> Spacer:
    """Empty height, in points."""
    return Spacer(0, points)


class Rows(Table):
    """A table that breaks within a row only where the row has most of a page to itself.

    ReportLab would also break a row of three lines at the foot of a page, where moving it is right. `begins` is how
    many rows its first page takes at least.
    """

    begins = 1

    def split(self, room: float, height: float) -> list[Flowable]:
        """Break between rows, or within one that is taller than what any page has left."""
        self.splitInRow = int(height > WITHIN_ROW_PT)
        made: list[Flowable] = super().split(room, height)
        return made


class WriteIn(Flowable):
    """A thin line to write on, as wide as there is room."""

    def __init__(self, height: float = 18) -> None:
        super().__init__()
        self.wanted = height

    def wrap(self, room: float, _height: float) -> tuple[float, float]:
        """Take all the width; sizes in points."""
        self.width, self.height = room, self.wanted
        return self.width, self.height

    def draw(self) -> None:
        """Draw the line at the foot."""
        self.canv.setLineWidth(HAIR)
        self.canv.line(0, 1, self.width - 8, 1)


class Box(Flowable):
    """A square to tick by hand: 3.4 mm, large enough for an oily pen."""

    def __init__(self, side: float = 9.6) -> None:
        super().__init__()
        self.width = self.height = side

    def draw(self) -> None:
        """Draw the square."""
        self.canv.setLineWidth(0.9)
        self.canv.rect(0, 0.4, self.width - 0.8, self.height - 0.8)


class Ruled(Flowable):
    """A title and thin lines to write on, down to the foot of the page; nothing where no line has room."""

    HEAD_PT, END_PT = 14.0, 20.0  # the title's height, and what the end mark takes below

    def __init__(self, title: str, each: float) -> None:
        super().__init__()
        self.title, self.each = title, each

    def wrap(self, room: float, height: float) -> tuple[float, float]:
        """As wide as there is room, as high as is left; sizes in points."""
        self.width, self.lines = room, max(0, int((height - self.HEAD_PT - self.END_PT) / self.each))
        self.height = self.lines * self.each + (self.HEAD_PT if self.lines else 0)
        return self.width, self.height

    def draw(self) -> None:
        """Draw the title and the lines."""
        if self.lines:
            write(self.canv, 0, self.height - STRONG.fontSize, self.title, STRONG.fontSize, bold=True)
        self.canv.setLineWidth(THIN)
        for index in range(self.lines):
            self.canv.line(0, index * self.each, self.width, index * self.each)
