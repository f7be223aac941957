"""What each kind of label says, as lines: those beside the code, and those across the label below it."""

from functools import singledispatch
from typing import NamedTuple

from regrind.paper import text
from regrind.paper.block import Line, Run, plain, wrapped
from regrind.paper.values import ArrivalTag, Clearance, DrillLabel, Label, Length, NotGroundLabel, ReturnLabel, Style

BIG, MIDDLE, SMALL = 13.0, 6.4, 5.4
NOTE = 0.52  # what stands beside the figure of a label, as a share of its size


class Lines(NamedTuple):
    """A label's words: beside the code from the top, and below it."""

    beside: list[Line]
    below: list[Line]


@singledispatch
def lines(label: Label, *, brief: bool = False) -> Lines:
    """The words of a label by its kind; raises TypeError for a kind without words. brief: what is not the diameter
    stands in the customer's unit alone."""
    raise TypeError(f"label: {type(label).__name__} is no kind of label")


@lines.register
def _return(label: ReturnLabel, *, brief: bool = False) -> Lines:
    style = label.style
    read = [
        *_clearance(label.clearance, style, brief),
        _length("Runout ", label.runout, style, brief),
        _length("Width ", label.width, style, brief),
        _length("Chamfer ", label.chamfer, style, brief),
        _length("Cutting length ", label.usable_length, style, brief),
        _length("Overall ", label.overall_length, style, brief),
    ]
    head = [_figure(label, style), _not_measured(label), _figure_other(label, style, brief)]
    beside = [*head, *(_paired(_present(read)) if brief else read)]
    state = _dots(_if("Hole: ", label.hole), _if("Corner: ", label.corner), _if("Coating: ", label.coating))
    teeth = text.plural(label.teeth, "tooth", "teeth") if label.teeth else ""
    below = [
        wrapped(state, SMALL) if state else None,
        wrapped(_dots(_reground(label.times_reground), teeth, text.line(label.description)), SMALL),
    ]
    return Lines(_present(beside), _present(below))


@lines.register
def _drill(label: DrillLabel, *, brief: bool = False) -> Lines:
    style = label.style
    point = text.angle(label.point, style)
    beside = [
        _diameter(label.diameter, style),
        _other_line(label.diameter, style),
        plain(f"{label.angle_name} {point}", MIDDLE * 1.6, bold=True) if label.point else None,
        _length("Flute ", label.flute_length, style, brief),
        _length("Overall ", label.overall_length, style, brief),
        _length("Lip height difference ", label.lip_height_difference, style, brief),
    ]
    below = [
        wrapped(_if("Coating: ", label.coating), SMALL) if label.coating else None,
        wrapped(_dots(_reground(label.times_reground), text.line(label.description)), SMALL),
    ]
    return Lines(_present(beside), _present(below))


@lines.register
def _not_ground(label: NotGroundLabel, *, brief: bool = False) -> Lines:
    beside = [
        plain("NOT REGROUND", 11, bold=True),
        wrapped(text.line(label.result), MIDDLE, bold=True) if label.result else None,
        wrapped(text.line(label.why), MIDDLE) if label.why else None,
    ]
    size = "" if label.diameter is None else f"⌀ {text.dual(label.diameter, label.style)}"
    return Lines(_present(beside), [wrapped(_dots(_pieces(label), size, text.line(label.description)), SMALL)])


@lines.register
def _arrival(label: ArrivalTag, *, brief: bool = False) -> Lines:
    due = f"Due {text.day(label.due)}" if label.due else ""
    rush = "  RUSH" if label.rush else ""
    beside = [
        plain(_pieces(label) + rush, 11, bold=True),
        wrapped(text.line(label.customer), MIDDLE, bold=True) if label.customer else None,
        plain(f"Order {text.line(label.order_number)}", MIDDLE) if label.order_number else None,
        plain(due, MIDDLE, bold=True) if due else None,
    ]
    below = [wrapped(text.line(part), SMALL) for part in (label.description, label.note) if part]
    return Lines(_present(beside), below)


def _figure(label: ReturnLabel, style: Style) -> Line | None:
    """The diameter as it is now, the figure of the label, and beside it the nominal one."""
    if label.diameter is None:
        return None
    nominal = f"   nominal {text.number(label.nominal, style.unit, style)}" if label.nominal else ""
    unit = f"{text.NARROW}{style.unit}{nominal}"
    return Line((Run("now ", False, NOTE), Run(_range(label, style), True), Run(unit, False, NOTE)), BIG)


def _not_measured(label: ReturnLabel) -> Line | None:
    """Where the diameter was not measured on this piece: that, and the piece it was measured on."""
    if label.diameter is None or not label.diameter.assumed:
        return None
    other = f", as {text.line(label.measured_on)}" if label.measured_on else ""
    return Line((Run(f"Not measured: assumed{other}", bold=True),), MIDDLE, least=5.1)


def _figure_other(label: ReturnLabel, style: Style, brief: bool) -> Line | None:
    """The same in the other unit, and the difference from nominal in both."""
    there = Style(text.other_unit(style), style.decimal_mark, style.page)
    now = f"now {_range(label, there)}{text.NARROW}{there.unit}   " if label.diameter else ""
    off = _both(label.difference, style, brief, sign=True) if label.difference else ""
    return Line((Run(f"{now}from nominal " if off else now), Run(off, bold=True)), SMALL) if now or off else None


def _range(label: ReturnLabel, style: Style) -> str:
    """The diameter, or the smallest and largest in the tube where they print differently."""
    low = text.number(label.diameter, style.unit, style) if label.diameter else ""
    high = text.number(label.diameter_to, style.unit, style) if label.diameter_to else low
    return low if low == high else f"{low}–{high}"


def _diameter(value: Length | None, style: Style) -> Line | None:
    if value is None:
        return None
    runs = (
        Run("⌀ ", False, 0.8),
        Run(text.number(value, style.unit, style), True),
        Run(f"{text.NARROW}{style.unit}", False, NOTE),
    )
    return Line(runs, BIG)


def _other_line(value: Length | None, style: Style) -> Line | None:
    return plain(text.other(value, style), SMALL) if value else None


def _paired(rows: list[Line]) -> list[Line]:
    """Short lines two to a line where both are short; a line of a drop has its way and stands alone."""
    short = [row.runs[0].text for row in rows if not row.runs[0].text.startswith("Drop")]
    drop = [row for row in rows if row.runs[0].text.startswith("Drop")]
    pairs = [_dots(*short[start : start + 2]) for start in range(0, len(short), 2)]
    return [*drop, *(plain(pair, SMALL) for pair in pairs)]


def _both(value: Length, style: Style, brief: bool, *, sign: bool = False) -> str:
    """A length in both units; brief: in the customer's alone."""
    return text.length(value, style, sign=sign) if brief else text.dual(value, style, sign=sign)


def _length(name: str, value: Length | None, style: Style, brief: bool) -> Line | None:
    return plain(f"{name}{_both(value, style, brief)}", SMALL) if value else None


def _clearance(value: Clearance | None, style: Style, brief: bool) -> list[Line]:
    """The primary relief, and on a line of its own the drop it gives at a distance, and its way."""
    if value is None:
        return []
    distance = f" at {text.length(value.drop_at, style)}" if value.drop_at else ""
    distance += f" {value.how or 'way not recorded'}"
    relief = [plain(f"Relief {text.angle(value.relief, style)}", SMALL)] if value.relief else []
    return relief + ([plain(f"Drop {_both(value.drop, style, brief)}{distance}", SMALL)] if value.drop else [])


def _pieces(label: Label) -> str:
    return text.plural(label.pieces, "pc", "pcs")


def _reground(count: int | None) -> str:
    return "" if count is None else f"reground {text.times(count)}" if count else "not reground before"


def _if(name: str, value: str) -> str:
    return f"{name}{text.line(value)}" if value else ""


def _dots(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def _present(lines_or_none: list[Line | None]) -> list[Line]:
    return [line for line in lines_or_none if line is not None]
