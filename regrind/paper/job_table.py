"""A line's pieces on the job sheet: the plan's figures, and room to write beside them."""

from collections.abc import Callable, Sequence

from reportlab.lib.colors import black
from reportlab.platypus import Flowable

from regrind.paper import parts, text
from regrind.paper.type import width
from regrind.paper.values import JobLine, JobPiece, Length, Style

Read = Callable[[JobPiece], Length | None]
FIGURES: tuple[tuple[str, Read], ...] = (
    ("⌀ now", lambda piece: piece.diameter_now),
    ("Off radius,\nmean", lambda piece: piece.removal_radial),
    ("To ⌀", lambda piece: piece.diameter_after),
    ("Cut back", lambda piece: piece.cut_back),
    ("Stop", lambda piece: piece.travel_stop),
    ("Usable", lambda piece: piece.usable_after),
)
BOX = 15.0
PIECE = 0.125  # of the width; what comes next takes no more
PADDING = 12.0  # beside the words of a cell, both sides together
EXCEPTIONS = 2


def pieces_table(line: JobLine, style: Style, wide: float) -> Flowable:
    """The plan's figures to the left of a heavy line, room to write to its right, in the order of entry.

    A figure that no piece of the line has is left out. Below a row that stands for several pieces there are
    empty ones for the exceptions.
    """
    figures = [(name, read) for name, read in FIGURES if any(read(piece) for piece in line.pieces)]
    unit = f"{style.unit} ({text.other_unit(style)})"
    widths = _widths(line, figures, unit, style, wide)
    heads = [parts.cell(name, widths[-1], parts.NAME) for name in line.write_ins]
    rows: list[list[parts.Cell]] = [["", "Piece", "Next", *(f"{name}\n{unit}" for name, _ in figures), *heads]]
    commands = _frame(len(figures), len(line.write_ins))
    for piece in line.pieces:
        first = len(rows)
        rows.append(_row(piece, [read for _, read in figures], style, widths))
        rows += [["", parts.paragraph(piece.note, parts.SMALL)]] if piece.note else []
        rows += _exceptions(piece)
        commands += _joined(first, len(rows) - 1, 2 + len(figures) if piece.note else 0)
    return parts.table(rows, widths, commands, ruled=False)


def _widths(line: JobLine, figures: Sequence[tuple[str, Read]], unit: str, style: Style, wide: float) -> list[float]:
    """A figure's column is as wide as what stands in it, and the rest is room to write."""
    needed = [
        max(_widest(f"{name}\n{unit}"), *(_widest(text.taken(read(piece), style)) for piece in line.pieces))
        for name, read in figures
    ]
    todo = max(map(_widest, ("Next", *(piece.todo for piece in line.pieces))))
    names = [BOX, (wide - BOX) * PIECE, min(todo, wide * PIECE)]
    rest = wide - sum(names) - sum(needed)
    return [*names, *needed, *([rest / len(line.write_ins)] * len(line.write_ins))]


def _widest(words: str) -> float:
    """The widest of some lines with the room beside it, in points."""
    return max(width(one, parts.SMALL.fontSize) for one in words.split("\n")) + PADDING


def _frame(figures: int, write_ins: int) -> list[parts.Command]:
    first = 3 + figures
    made: list[parts.Command] = [("LEFTPADDING", (0, 0), (0, -1), 1), ("BOTTOMPADDING", (0, 1), (-1, -1), 5)]
    if figures:
        made.append(("ALIGN", (3, 0), (first - 1, -1), "RIGHT"))
    for index in range(write_ins):
        weight = parts.HAIR if index else parts.THICK
        made.append(("LINEBEFORE", (first + index, 0), (first + index, -1), weight, black))
    return made


def _joined(first: int, last: int, note_to: int) -> list[parts.Command]:
    """A piece's rows stay together, with one rule below each; its note stands under the figures, up to a column,
    and leaves the room to write one tall field."""
    begin = first + 1 if note_to else first
    made: list[parts.Command] = [
        ("LINEBELOW", (0, row), (-1, row), parts.HAIR, black) for row in range(begin, last + 1)
    ]
    if note_to:
        made += [
            ("SPAN", (1, begin), (note_to if note_to > 2 else -1, begin)),
            ("BOTTOMPADDING", (0, first), (-1, first), 0),
        ]
    return [*made, ("NOSPLIT", (0, first), (-1, last))] if last > first else made


def _row(piece: JobPiece, reads: Sequence[Read], style: Style, widths: Sequence[float]) -> list[parts.Cell]:
    name = piece.number if piece.count == 1 else f"{piece.number}\n{text.plural(piece.count, 'piece')}"
    if piece.tag:
        name = f"{name}\ntag {piece.tag}"
    return [
        parts.Box(),
        parts.paragraph(name, parts.SMALL_STRONG),
        parts.cell(piece.todo, widths[2]),
        *(text.taken(read(piece), style) for read in reads),
    ]


def _exceptions(piece: JobPiece) -> list[list[parts.Cell]]:
    if piece.count == 1:
        return []
    return [[parts.Box(), parts.paragraph("Piece ____\n\u00a0", parts.SMALL)] for _ in range(EXCEPTIONS)]
