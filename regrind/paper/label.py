"""Labels and tags: return label, drill label, label for what was not ground, arrival tag."""

from collections.abc import Sequence
from io import BytesIO
from typing import NamedTuple

from reportlab.pdfgen.canvas import Canvas

from regrind.paper import block, qr, text
from regrind.paper.block import Line, Run
from regrind.paper.label_lines import SMALL, Lines, lines
from regrind.paper.stock import Box, page_points, place, places
from regrind.paper.type import new_canvas
from regrind.paper.type import width as width_of
from regrind.paper.values import ROLL_50X25, DrillLabel, Label, LabelStock, ReturnLabel

MARGIN = 1.2 * 72 / 25.4
GAP = 1.0
LARGEST, SMALLEST = 2.4, 0.55
_NUMBER_PT = 9.5
OURS_PT = 8.2  # its digits are 2 mm high


class Room(NamedTuple):
    """What a label has inside its margins, in points: the code's side, the width and the height."""

    code: float
    width: float
    height: float


def draw(labels: Sequence[Label], stock: LabelStock = ROLL_50X25, start: int = 1) -> bytes:
    """The labels as a PDF: one to a page on a roll, or on sheets from the start position on (1 is top left).

    The page is a whole number of the printer's dots. Raises ValueError for no labels, a start position that
    is not on the sheet, or a number that cannot be a code.
    """
    if not labels:
        raise ValueError("labels: there is none to print")
    boxes, _ = places(stock), place(stock, start)
    buffer = BytesIO()
    canvas = new_canvas(
        buffer,
        page_points(stock),
        title=f"Labels {text.line(labels[0].number)}",
        author=text.line(labels[0].shop),
    )
    for index, label in enumerate(labels, start=start - 1):
        if index % len(boxes) == 0 and index >= start:
            canvas.showPage()
        _draw_label(canvas, label, boxes[index % len(boxes)], stock.dpi)
    canvas.save()
    return buffer.getvalue()


def _draw_label(canvas: Canvas, label: Label, box: Box, dpi: int) -> None:
    """The code at the top left, words beside it, the numbers and the rest across the label below it."""
    point = 72 / dpi
    code = label.link or qr.code_of(label.number)
    side = qr.side_dots(code, dpi)
    if side > box.height or side * 2 > box.width:
        raise ValueError(f"stock: a code of {side} dots leaves no room on {box.width} × {box.height}")
    qr.draw(canvas, code, box.left, box.top, dpi)
    x, top = box.left * point + MARGIN, box.top * point - MARGIN
    room = Room(side * point - MARGIN, box.width * point - 2 * MARGIN, box.height * point - 2 * MARGIN)
    beside, below = _fit(label, room)
    used = block.height(below)
    block.draw(canvas, beside, x + room.code, top, room.width - room.code, room.height - used - GAP)
    block.draw(canvas, below, x, top - room.height + used, room.width, used)


def _fit(label: Label, room: Room) -> tuple[list[Line], list[Line]]:
    """Both blocks with nothing cut: in both units where that has room, else in the customer's alone.

    Where neither has room at the smallest size, an ellipsis says that more was written.
    """
    made = _fit_words(label, lines(label), room) or _fit_words(label, lines(label, brief=True), room)
    return made or _shorten(label, lines(label, brief=True), room)


def _fit_words(label: Label, words: Lines, room: Room) -> tuple[list[Line], list[Line]] | None:
    """Both blocks at the largest common scale at which all of the words stand; None where no scale will do."""
    scale = LARGEST
    while scale >= SMALLEST:
        beside = block.fit(words.beside, scale, room.width - room.code)
        below = block.fit(_below(label, words.below, room.width), scale, room.width)
        top = max(block.height(beside) + GAP, room.code)
        if top + block.height(below) <= room.height:
            return _grown(words.beside, scale, room, block.height(below)), below
        scale *= 0.95
    return None


def _grown(words: Sequence[Line], scale: float, room: Room, used: float) -> list[Line]:
    """The words beside the code as large as the code's height takes: the words below need not hold them small."""
    width, height = room.width - room.code, room.height - used - GAP
    made = block.fit(words, scale, width)
    while scale < LARGEST:
        scale *= 1.05
        larger = block.even(words, block.fit(words, scale, width))
        if block.height(larger) > height:
            break
        made = larger
    return made


def _shorten(label: Label, words: Lines, room: Room) -> tuple[list[Line], list[Line]]:
    beside = block.fit(words.beside, SMALLEST, room.width - room.code)
    *below, foot = block.fit(_below(label, words.below, room.width), SMALLEST, room.width)
    shortened = [*block.shorten(below, room.height - room.code - block.height([foot]), room.width), foot]
    return block.shorten(beside, room.height - block.height(shortened) - GAP, room.width - room.code), shortened


def _below(label: Label, words: list[Line], width: float) -> list[Line]:
    return [*_numbers(label, width), *words, block.wrapped(_foot(label, width), SMALL)]


def _foot(label: Label, width: float) -> str:
    """Count, day and shop, never cut; where some pieces of a tube were measured, those, as far as one line has room."""
    if not isinstance(label, ReturnLabel | DrillLabel):
        return " · ".join((text.day(label.dated), text.line(label.shop)))
    count, day, shop = text.plural(label.pieces, "pc", "pcs"), text.day(label.dated), text.line(label.shop)
    measured = f"{count}, measured on {text.line(label.read_on)}" if label.read_on else count
    feet = [" · ".join(filter(None, parts)) for parts in ((measured, day, shop), (measured, day), (count, day, shop))]
    return next((foot for foot in feet if width_of(foot, SMALL) <= width), feet[-1])


def _numbers(label: Label, width: float) -> list[Line]:
    """Ours and theirs on one line, or on two where one line would make them small; ours is never under 2 mm."""
    ours, theirs = Run(text.line(label.named or label.number), bold=True), Run(text.line(label.part_number), bold=True)
    alone = Line((ours,), _NUMBER_PT, least=OURS_PT)
    if not theirs.text:
        return [alone]
    together = Line((ours, theirs), _NUMBER_PT, spread=True, least=OURS_PT)
    if width / together.width_at_1 >= OURS_PT:
        return [together]
    return [alone, block.wrapped(theirs.text, min(_NUMBER_PT, width / 1.3 / theirs.width_at_1), bold=True)]
