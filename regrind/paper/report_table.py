"""The complete table behind the report's first page: a piece before and after, in two rows."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from reportlab.lib.colors import black
from reportlab.platypus import Flowable

from regrind.paper import parts, text
from regrind.paper.values import Length, ReportPiece, State, Style

Read = Callable[[State], str]
Take = Callable[[ReportPiece], Length | None]
MOST_LETTERS = 10  # of a word that stands in a column of figures
OFF: tuple[tuple[str, Take], ...] = (
    ("Off the\nradius", lambda piece: piece.removed_radial),
    ("Cut\nback", lambda piece: piece.cut_back),
)


_ASKED: tuple[tuple[str, Callable[[State], object]], ...] = (
    ("diameter", lambda state: state.diameter),
    ("overall length", lambda state: state.overall_length),
    ("usable length", lambda state: state.usable_length),
    ("runout", lambda state: state.runout),
    ("relief", lambda state: state.clearance),
    ("width", lambda state: state.width),
    ("chamfer", lambda state: state.chamfer),
    ("angle", lambda state: state.point),
)


class Column(NamedTuple):
    """What is read of a state, and whether some piece of the line has it as it came, and as it is now."""

    name: str
    read: Read
    before: bool
    now: bool


def pieces_table(pieces: Sequence[ReportPiece], style: Style, wide: float) -> Flowable:
    """Up to two rows of figures per piece, "before" above "now"; words of the piece across the row below.

    A column that no piece of the line has is left out, a row in which nothing was read as well. Where a column was
    read of no piece before, or of none afterwards, that side stays empty: `unread` says it once.
    """
    every = [
        Column(name, read, any(read(piece.before) for piece in pieces), any(read(piece.after) for piece in pieces))
        for name, read in _columns(style)
    ]
    columns = [column for column in every if column.before or column.now]
    off = [(name, take) for name, take in OFF if any(take(piece) for piece in pieces)]
    taken = [wide * 0.13, wide * 0.085, wide * 0.07]
    each = (wide - sum(taken)) / max(4, len(columns) + len(off))
    widths = [*taken, *([each] * (len(columns) + len(off)))]
    names = [*(column.name for column in columns), *(name for name, _ in off)]
    rows: list[list[parts.Cell]] = [["Piece", "Result", "", *names]]
    commands: list[parts.Command] = [("ALIGN", (3, 0), (-1, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    for piece in pieces:
        first = len(rows)
        figures, words = _figures(piece, columns, [take for _, take in off], style), _words(piece, style)
        rows += _rows(piece, figures, words)
        commands += _joined(first, len(rows) - 1, bool(words) or not figures)
    return parts.table(rows, widths, commands, ruled=False)


def unread(pieces: Sequence[ReportPiece], names: Sequence[str]) -> str:
    """In one or two sentences, what was measured on no piece of a line: as received, and after grinding.

    names: the quantities that count for such tools.
    """
    sides = any(state.difference or state.clearance for piece in pieces for state in (piece.before, piece.after))
    asked = [(quantity, read) for quantity, read in _ASKED if quantity in names and (quantity != "relief" or sides)]
    sentences = []
    for when, states in (
        ("as received", [piece.before for piece in pieces]),
        ("after grinding", [piece.after for piece in pieces if piece.result == "ground"]),
    ):
        missing = [quantity for quantity, read in asked if not any(read(state) for state in states)]
        if states and missing:
            sentences.append(f"Not measured {when}: {', '.join(missing)}.")
    return " ".join(sentences)


def _columns(style: Style) -> list[tuple[str, Read]]:
    return [
        ("⌀", lambda state: _known(text.stacked(state.diameter, style))),
        ("From\nnominal", lambda state: _known(text.stacked(state.difference, style, sign=True))),
        ("Overall", lambda state: _known(text.stacked(state.overall_length, style))),
        ("Usable", lambda state: _known(text.stacked(state.usable_length, style))),
        ("Runout", lambda state: _known(text.stacked(state.runout, style))),
        ("Relief", lambda state: _relief(state, style)),
        ("Drop", lambda state: _drop(state, style)),
        ("Angle", lambda state: text.angle(state.point, style) if state.point else ""),
        ("Width", lambda state: _known(text.stacked(state.width, style))),
        ("Chamfer", lambda state: _known(text.stacked(state.chamfer, style))),
    ]


def _known(words: str) -> str:
    return "" if words == text.UNKNOWN else words


def _relief(state: State, style: Style) -> str:
    relief = state.clearance.relief if state.clearance else None
    return text.angle(relief, style).replace(" ", "\n") if relief else ""


def _drop(state: State, style: Style) -> str:
    """The drop in both units, and the distance and its way, without which it means nothing."""
    if state.clearance is None or state.clearance.drop is None:
        return ""
    distance = state.clearance.drop_at
    distance_words = f"\nat {text.number(distance, style.unit, style)}" if distance else ""
    words = text.clean(state.clearance.how).split()
    way = "".join(f"\n{word[:MOST_LETTERS]}" for word in words[:2])  # `along`, `tangent`: one below the other
    return text.stacked(state.clearance.drop, style) + distance_words + way


def _figures(
    piece: ReportPiece, columns: Sequence[Column], off: Sequence[Take], style: Style
) -> list[list[parts.Cell]]:
    """What was read before and what was read afterwards, each where there is any."""
    made: list[list[parts.Cell]] = []
    if any(column.read(piece.before) for column in columns):
        made.append(["before", *(_cell(column.read(piece.before), column.before) for column in columns)])
    if any(column.read(piece.after) for column in columns):
        made.append(
            [
                "now",
                *(_cell(column.read(piece.after), column.now) for column in columns),
                *(text.taken(take(piece), style) for take in off),
            ]
        )
    return made


def _rows(piece: ReportPiece, figures: list[list[parts.Cell]], words: str) -> list[list[parts.Cell]]:
    """The piece and its result stand on the first row; the words on the last, below the figures or in their place."""
    head = _head(piece)
    if not figures:
        unseen = "" if piece.result == "missing" else "not measured"
        remark = " · ".join(part for part in (unseen, words) if part)
        return [[*head, parts.paragraph(remark, parts.SMALL)]]
    below: list[list[parts.Cell]] = [["", parts.paragraph(words, parts.SMALL)]] if words else []
    first, *others = figures
    return [[*head, *first], *(["", "", *row] for row in others), *below]


def _cell(words: str, read_of_some: bool) -> str:
    return words or (text.UNKNOWN if read_of_some else "")


def _head(piece: ReportPiece) -> list[parts.Cell]:
    name = "\n".join(
        part
        for part in (
            piece.number,
            text.plural(piece.count, "piece") if piece.count > 1 else "",
            f"tag {text.line(piece.tag)}" if piece.tag else "",
        )
        if part
    )
    return [parts.paragraph(name, parts.SMALL_STRONG), parts.paragraph(piece.result, parts.SMALL)]


def _words(piece: ReportPiece, style: Style) -> str:
    """What has no column: what was done, corner and coating now, how often before, and why not."""
    regrinds_left = "" if piece.regrinds_left is None else f"regrinds left: about {piece.regrinds_left}"
    reground = "" if piece.times_reground is None else f"reground {text.times(piece.times_reground)}"
    shank = f"shank runout {text.dual(piece.shank_runout, style)}" if piece.shank_runout else ""
    return " · ".join(
        part
        for part in (
            piece.why,
            piece.done,
            _change("corner", piece.before.corner, piece.after.corner),
            _change("coating", piece.before.coating, piece.after.coating),
            reground,
            regrinds_left,
            shank,
        )
        if part
    )


def _change(name: str, before: str, after: str) -> str:
    if not after:
        return f"{name} {before}" if before else ""
    return f"{name} {before} → {after}" if before and before != after else f"{name} {after}"


def _joined(first: int, last: int, words: bool) -> list[parts.Command]:
    """A piece's rows share one rule below, stay on one page, and the words reach across."""
    commands: list[parts.Command] = [("LINEBELOW", (0, last), (-1, last), parts.HAIR, black)]
    if last > first:
        commands += [("NOSPLIT", (0, first), (-1, last)), ("TOPPADDING", (0, first + 1), (-1, last), 0)]
    return [*commands, ("SPAN", (2 if last == first else 1, last), (-1, last))] if words else commands
