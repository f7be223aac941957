"""The table on the report's first page: every piece as it is now, like ones in one row."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from regrind.paper import parts, text
from regrind.paper.values import Length, PieceNow, ReportLine, Style

SHARES = (0.14, 0.13, 0.12, 0.12, 0.2, 0.29)

UNREAD = "not measured"


def now_table(lines: Sequence[ReportLine], style: Style, wide: float) -> list[Flowable]:
    """Heading and table of all lines; nothing where no line tells its pieces."""
    listed = [row for line in lines for row in line.now]
    if not listed:
        return []
    unit = f"{style.unit} ({text.other_unit(style)})"
    widths = [wide * share for share in SHARES]
    head: list[parts.Cell] = ["Piece", f"⌀ now\n{unit}", f"Overall\n{unit}", f"Usable\n{unit}"]
    rows = [[*head, "Shape and coating now", "Limits"], *(_row(one, style, widths) for one in listed)]
    commands: list[parts.Command] = [("ALIGN", (1, 0), (3, 0), "RIGHT"), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    return [parts.heading("Every piece as it is now"), parts.table(rows, widths, commands)]


def _row(one: PieceNow, style: Style, widths: Sequence[float]) -> list[parts.Cell]:
    name = "\n".join([one.number, *([text.plural(one.count, "piece")] if one.count > 1 else [])])
    cells: list[parts.Cell] = [parts.cell(name, widths[0], parts.SMALL_STRONG)]
    if one.result != "ground":
        return [*cells, parts.paragraph(one.result, parts.SMALL), "", "", "", ""]
    sizes = (
        (one.diameter, one.diameter_of, parts.SMALL_STRONG_RIGHT),
        (one.overall_length, one.lengths_of, parts.SMALL_RIGHT),
        (one.usable_length, one.lengths_of, parts.SMALL_RIGHT),
    )
    none_read = all(value is None for value, _, _ in sizes)
    words = [UNREAD, "", ""] if none_read else [_size(value, model, style) for value, model, _ in sizes]
    cells += [parts.paragraph(size, face) if size else "" for size, (_, _, face) in zip(words, sizes, strict=True)]
    state = [f"corner {one.corner}" if one.corner else "", *one.other, f"coating {one.coating}" if one.coating else ""]
    cells.append(parts.paragraph("\n".join(filter(None, state)), parts.SMALL))
    return [*cells, parts.paragraph("\n".join(one.limits), parts.SMALL)]


def _size(value: Length | None, model: str, style: Style) -> str:
    """A size in both units, and the piece that it was measured on where it is another one."""
    if value is None:
        return UNREAD
    return f"as {model}:\n{text.stacked(value, style)}" if model else text.stacked(value, style)
