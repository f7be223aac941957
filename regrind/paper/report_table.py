"""The complete table behind the report's first page: a piece before and after, in two rows."""

from collections.abc import Callable, Sequence

from reportlab.lib.colors import black
from reportlab.platypus import Flowable

from regrind.paper import parts, text
from regrind.paper.values import Length, ReportPiece, State, Style

Read = Callable[[State], str]
Take = Callable[[ReportPiece], Length | None]
OFF: tuple[tuple[str, Take], ...] = (
    ("Off a\nside", lambda piece: piece.removed_radial), ("Cut\nback", lambda piece: piece.cut_back))


def pieces_table(pieces: Sequence[ReportPiece], style: Style, wide: float) -> Flowable:
    """One row of figures per piece, "before" above "now" in each; words of the piece across the row below.

    A column that no piece of the line has is left out.
    """
    columns = [(name, read) for name, read in _columns(style) if _used(pieces, read)]
    off = [(name, take) for name, take in OFF if any(take(piece) for piece in pieces)]
    taken = [wide * 0.13, wide * 0.085, wide * 0.07]
    each = (wide - sum(taken)) / max(4, len(columns) + len(off))
    widths = [*taken, *([each] * (len(columns) + len(off)))]
    names = [name for name, _ in (*columns, *off)]
    rows: list[list[parts.Cell]] = [["Piece", "Result", "", *names]]
    commands: list[parts.Command] = [
        ("ALIGN", (3, 0), (-1, -1), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    for piece in pieces:
        at = len(rows)
        figures, words = _figures(piece, columns, [take for _, take in off], style), _words(piece, style)
        rows += [*figures, ["", parts.paragraph(words, parts.SMALL)]] if words else figures
        commands += _joined(at, len(rows) - 1, bool(words))
    return parts.table(rows, widths, commands, ruled=False)


def _columns(style: Style) -> list[tuple[str, Read]]:
    return [
        ("⌀", lambda state: _given(text.stacked(state.diameter, style))),
        ("From\nnominal", lambda state: _given(text.stacked(state.difference, style, sign=True))),
        ("Radius", lambda state: _given(text.stacked(state.radius, style))),
        ("Overall", lambda state: _given(text.stacked(state.overall_length, style))),
        ("Usable", lambda state: _given(text.stacked(state.usable_length, style))),
        ("Runout", lambda state: _given(text.stacked(state.runout, style))),
        ("Relief", lambda state: _relief(state, style)),
        ("Drop", lambda state: _drop(state, style)),
        ("Point", lambda state: text.angle(state.point, style) if state.point else ""),
    ]


def _given(words: str) -> str:
    return "" if words == text.UNKNOWN else words


def _relief(state: State, style: Style) -> str:
    relief = state.clearance.relief if state.clearance else None
    return text.angle(relief, style).replace(" ", "\n") if relief else ""


def _drop(state: State, style: Style) -> str:
    """The drop in both units, and the distance it is taken at, which it means nothing without."""
    if state.clearance is None or state.clearance.drop is None:
        return ""
    at = state.clearance.drop_at
    said = f"\nat {text.number(at, style.unit, style)}" if at else ""
    return text.stacked(state.clearance.drop, style) + said


def _used(pieces: Sequence[ReportPiece], read: Read) -> bool:
    return any(read(piece.before) or read(piece.after) for piece in pieces)


def _figures(piece: ReportPiece, columns: Sequence[tuple[str, Read]], off: Sequence[Take],
             style: Style) -> list[list[parts.Cell]]:
    name = "\n".join(part for part in (
        piece.number, text.plural(piece.count, "piece") if piece.count > 1 else "",
        f"tag {text.line(piece.tag)}" if piece.tag else "") if part)
    head: list[parts.Cell] = [
        parts.paragraph(name, parts.SMALL_STRONG), parts.paragraph(piece.result, parts.SMALL)]
    before: list[parts.Cell] = [read(piece.before) or text.UNKNOWN for _, read in columns]
    made = [[*head, "before", *before]]
    if any(read(piece.after) for _, read in columns):
        now: list[parts.Cell] = [read(piece.after) or text.UNKNOWN for _, read in columns]
        made.append(["", "", "now", *now, *(text.stacked(take(piece), style) for take in off)])
    return made


def _words(piece: ReportPiece, style: Style) -> str:
    """What has no column: what was done, corner and coating now, how often before, and why not."""
    left = "" if piece.regrinds_left is None else f"regrinds left: about {piece.regrinds_left}"
    reground = "" if piece.times_reground is None else f"reground {text.times(piece.times_reground)}"
    shank = f"shank runout {text.dual(piece.shank_runout, style)}" if piece.shank_runout else ""
    return " · ".join(part for part in (
        piece.why, piece.done, _change("corner", piece.before.corner, piece.after.corner),
        _change("coating", piece.before.coating, piece.after.coating), reground, left, shank) if part)


def _change(name: str, before: str, after: str) -> str:
    if not after:
        return f"{name} {before}" if before else ""
    return f"{name} {before} → {after}" if before and before != after else f"{name} {after}"


def _joined(first: int, last: int, words: bool) -> list[parts.Command]:
    """A piece's rows share one rule below, stay on one page, and the words reach across."""
    commands: list[parts.Command] = [("LINEBELOW", (0, last), (-1, last), parts.HAIR, black)]
    if last > first:
        commands += [("NOSPLIT", (0, first), (-1, last)), ("TOPPADDING", (0, first + 1), (-1, last), 0)]
    return [*commands, ("SPAN", (1, last), (-1, last))] if words else commands
