"""The address label of a parcel: the sender small, where it goes as large as the label takes, the parcel below."""

from io import BytesIO
from typing import NamedTuple

from reportlab.pdfgen.canvas import Canvas

from regrind.paper import block, text
from regrind.paper.block import Line, plain, wrapped
from regrind.paper.stock import Box, page_points, place
from regrind.paper.type import new_canvas
from regrind.paper.values import AddressLabel, LabelStock

MARGIN = 0.035  # of the label's shorter side
LARGEST_PT, SMALLEST_PT = 26.0, 5.5  # letters of the address
NOTES = 0.04  # size of sender and facts, of the label's height; never under the least that can be read
NOTES_MOST_PT = 11.0


def draw(label: AddressLabel, stock: LabelStock, start: int = 1) -> bytes:
    """The label as a PDF on one page of its stock, at the start position of a sheet (1 is top left).

    Raises ValueError for a start position that is not on the sheet, and where the address has no room.
    """
    box, buffer = place(stock, start), BytesIO()
    canvas = new_canvas(
        buffer, page_points(stock), title=f"Address of parcel {text.line(label.number)}", author=label.sender[0]
    )
    _draw(canvas, label, box, 72 / stock.dpi, stock.name)
    canvas.save()
    return buffer.getvalue()


class Sizes(NamedTuple):
    """Points of the letters of the address, and of the sender and the facts."""

    address: float
    notes: float


def sizes(label: AddressLabel, stock: LabelStock) -> Sizes:
    """The sizes of letters that the label gets on this stock. Raises ValueError as `draw`."""
    set_label = _set(label, place(stock, 1), 72 / stock.dpi, stock.name)
    return Sizes(min(row.size for row in set_label.to), set_label.sender[0].size)


class _Set(NamedTuple):
    """The three blocks in fitted lines; edge: the margin, free: the height for the address, all in points."""

    sender: list[Line]
    to: list[Line]
    facts: list[Line]
    edge: float
    free: float


def _set(label: AddressLabel, box: Box, point: float, name: str) -> _Set:
    tall = box.height * point
    edge = MARGIN * min(box.width * point, tall)
    wide, size = box.width * point - 2 * edge, min(NOTES_MOST_PT, max(block.FLOOR_PT, tall * NOTES))
    sender = block.fit([wrapped("From " + ", ".join(map(text.line, label.sender)), size)], 1, wide)
    facts = block.fit([wrapped(text.line(fact), size) for fact in label.facts], 1, wide)
    free = tall - 6 * edge - block.height(sender) - block.height(facts)
    to = _fit(label, wide, free)
    if to is None:
        raise ValueError(f"the address of parcel {label.number} has no room on {name}")
    return _Set(sender, to, facts, edge, free)


def _draw(canvas: Canvas, label: AddressLabel, box: Box, point: float, name: str) -> None:
    sender, to, facts, edge, free = _set(label, box, point, name)
    x, top, wide = box.left * point + edge, box.top * point - edge, box.width * point - 2 * edge
    upper, lower = top - block.height(sender) - edge, top - block.height(sender) - 3 * edge - free
    canvas.setLineWidth(0.5)
    for y in (upper, lower) if facts else (upper,):
        canvas.line(x, y, x + wide, y)
    block.draw(canvas, sender, x, top, wide, block.height(sender))
    block.draw(canvas, to, x, upper - edge - (free - block.height(to)) / 3, wide, block.height(to))
    block.draw(canvas, facts, x, lower - edge, wide, block.height(facts))


def _fit(label: AddressLabel, wide: float, free: float) -> list[Line] | None:
    """The lines of the address as large as they go on one line each, else wrapped; None where they have no room."""
    lines = [plain(text.line(line), 1, bold=not index) for index, line in enumerate(label.to)]
    widest = max(line.width_at_1 for line in lines)
    size = min(LARGEST_PT, wide / widest, free / (len(lines) * block.LEADING))
    if size >= SMALLEST_PT:
        return block.fit(lines, size, wide)
    rows = block.fit([wrapped(line.runs[0].text, SMALLEST_PT, bold=line.runs[0].bold) for line in lines], 1, wide)
    return rows if block.height(rows) <= free else None
