"""Damage tapped on the flank unrolled: bands of height along each tooth, and what a tap writes into a mark's row."""

from collections.abc import Callable, Mapping, MutableMapping
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import Unit, show, show_with_unit
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line
from regrind.shop.fields.whole_numbers import read_whole

from ..kinds.arcs import find_angle, find_height
from .heights import read_height

ROW = ("tooth", "from", "to", "depth", "wear_land", "what")
# Where the bands end, counted from the end: narrow there, where chips are, and wider towards the shank.
ENDS_NM = {
    "in": [n * 25_400 for n in (10, 20, 40, 80, 150, 300, 600, 1200)],
    "mm": [n * 1_000 for n in (250, 500, 1000, 2000, 4000, 8000, 16000, 32000)],
}
BAND_DEG = 15  # of an arc
PLACES = {"in": 3, "mm": 2}
FLUTE_TO_NOMINAL = 3  # how much of a flute to offer where its length is not known
KINDS_OF_DAMAGE = ("chip", "wear", "broken corner", "crack", "burn")
SHADES = 3
MOST_MARKS = 48


@dataclass(frozen=True)
class Cell:
    """One tooth at one height: what its button sends, what it is called, and how deep the damage there is, 0 to 3."""

    sends: str
    name: str
    shade: int


@dataclass(frozen=True)
class Tap:
    """A button of the damage: what it sends, and its words."""

    sends: str
    words: str


@dataclass(frozen=True)
class Chip:
    """A ready value: the id of the field that it fills, whether it stands there, and where it comes from."""

    fills: str
    value: str
    is_chosen: bool
    source: str = ""

    @property
    def pressed(self) -> str:
        return str(self.is_chosen).lower()


@dataclass(frozen=True)
class Band:
    """A stretch of the flute on every tooth. ends: where it ends, counted from the end, without its unit."""

    ends: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Place:
    """How places are written on one tool: in the customer's unit; on an arc of so many nm as angles from the axis."""

    unit: Unit
    arc_nm: int = 0

    def write(self, nm: int) -> str:
        """`1.000 mm`; on the arc `45°`; the end is 0."""
        if not self.arc_nm or nm > self.arc_nm or not nm:
            return show_with_unit(nm, self.unit) if nm else "0"
        return f"{find_angle(nm, self.arc_nm):.0f}°"

    def read(self, text: str) -> int | None:
        """The reverse, of what anybody typed; None for half a number."""
        return read_height(text, self.unit, self.arc_nm)


def list_bands(line: Line, arc_nm: int = 0) -> list[tuple[int, int]]:
    """(from, to) of each band from the end up to the flute's length, in nm; on an arc a band is so many degrees."""
    tool = tool_of(line)
    flute = tool.flute_length_nm or FLUTE_TO_NOMINAL * (tool.nominal_nm or ENDS_NM["in"][4])
    on_arc = [find_height(degrees, arc_nm) for degrees in range(BAND_DEG, 91, BAND_DEG)] if arc_nm else []
    behind = [nm for nm in ENDS_NM[line.batch.customer.unit] if 1.2 * arc_nm < nm < 0.9 * flute]
    ends = [*on_arc, *behind, flute] if flute > arc_nm else on_arc
    return list(zip([0, *ends[:-1]], ends, strict=True))


def unroll(line: Line, teeth: int, marks: Mapping[int, Mapping[str, str]], arc_nm: int = 0) -> list[Band]:
    """The bands from the end towards the shank, each with a cell for each tooth, shaded by the marks typed so far."""
    unit = line.batch.customer.unit
    place = Place(unit, arc_nm)
    depths = [(mark, _deep(mark, unit)) for mark in marks.values()]
    deepest = max([deep for _, deep in depths], default=0) or 1
    bands = []
    for index, (low, high) in enumerate(list_bands(line, arc_nm)):
        name = f"{place.write(low) if low else 'end'} to {place.write(high)}"
        by_tooth = [
            [deep for mark, deep in depths if _lies(mark, tooth, low, high, place)] for tooth in range(1, teeth + 1)
        ]
        shades = [_shade(max(deeps), deepest) if deeps else 0 for deeps in by_tooth]
        bands.append(
            Band(
                place.write(high) if high <= arc_nm else show(high, unit, places=PLACES[unit]),
                tuple(Cell(f"at:{n}:{index}", f"Tooth {n}, {name}", shade) for n, shade in enumerate(shades, 1)),
            )
        )
    return bands


def _deep(mark: Mapping[str, str], unit: Unit) -> int:
    return read_height(mark["depth"], unit) or (read_height(mark["wear_land"], unit) or 0) // 5


def _shade(deep: int, deepest: int) -> int:
    return 1 + min(SHADES - 1, deep * SHADES // (deepest + 1))


def _lies(mark: Mapping[str, str], tooth: int, low: int, high: int, place: Place) -> bool:
    start, end = place.read(mark["from"] or "0"), place.read(mark["to"])
    return mark["tooth"] == str(tooth) and start is not None and end is not None and start < high and end > low


def marks_in(typed: Mapping[str, Any], rows: int) -> dict[int, dict[str, str]]:
    """row number -> what is typed in it, of the rows that hold anything."""
    marks = {n: {name: str(typed.get(f"mark_{n}_{name}") or "") for name in ROW} for n in range(1, rows + 1)}
    return {n: mark for n, mark in marks.items() if any(mark.values())}


def say_mark(mark: Mapping[str, str]) -> str:
    """`tooth 2, end to .0400 in, 4 thou, chip`: a mark as it is typed so far."""
    start = mark["from"] if mark["from"] not in ("", "0") else "end"
    land = mark["wear_land"] and f"land {mark['wear_land']}"
    return ", ".join(
        filter(None, (f"tooth {mark['tooth']}", f"{start} to {mark['to']}", mark["depth"] or land, mark["what"]))
    )


def is_deepest_missing(typed: Mapping[str, Any], marks: Mapping[int, Mapping[str, str]], place: Place) -> bool:
    """Whether marks are typed and none is as deep, or none reaches as far, as the deepest damage that is typed.

    False for half a number. A wear land may be as deep as any: what it comes to is worked out when it is saved.
    """
    depth, reach = (place.read(str(typed.get(name) or "")) for name in ("damage_depth", "reach"))
    if not depth or not reach or typed.get("damage") == "nothing":
        return False
    whole = [mark for mark in marks.values() if place.read(mark["to"])]
    depths = [depth if mark["wear_land"] else place.read(mark["depth"]) or 0 for mark in whole]
    return bool(whole) and (max(depths) < depth or max(place.read(mark["to"]) or 0 for mark in whole) < reach)


def tap(typed: MutableMapping[str, Any], button: str, line: Line, teeth: int, rows: int, arc_nm: int = 0) -> int | None:
    """Do what a button of the flank asks, in `typed`: the number of the row that it is about, None for a strange one.

    `at:2:3` puts tooth 2, band 3 into the first empty row; tapped again before a depth is typed, the mark stretches to
    reach it. `every:4` repeats row 4 on every other tooth, `mark:4` takes it up again, `clear:4` empties it. Rows are
    added where none is empty.
    """
    action, *parts = button.split(":")
    numbers = [number for part in parts if (number := read_whole(part, 3)) is not None]
    typed["rows"] = rows
    if len(numbers) != len(parts):
        return None
    if action == "at" and len(numbers) == 2:
        return _place(typed, (numbers[0], numbers[1]), line, teeth, rows, arc_nm)
    if action in ROW_TAPS and len(numbers) == 1 and numbers[0] in marks_in(typed, rows):
        return ROW_TAPS[action](typed, numbers[0], teeth, rows)
    return None


def _place(
    typed: MutableMapping[str, Any], cell: tuple[int, int], line: Line, teeth: int, rows: int, arc_nm: int
) -> int | None:
    (tooth, index), bands, place = cell, list_bands(line, arc_nm), Place(line.batch.customer.unit, arc_nm)
    if not 1 <= tooth <= teeth or index >= len(bands):
        return None
    (low, high), marks = bands[index], marks_in(typed, rows)
    n = read_whole(str(typed.get("tapped") or ""), 3) or 0
    mark = marks.get(n, {})
    if mark and mark["tooth"] == str(tooth) and not mark["depth"] and not mark["wear_land"]:
        low, high = min(low, place.read(mark["from"]) or 0), max(high, place.read(mark["to"]) or 0)
    else:
        n = _empty_row(marks)
    _write(typed, n, {"tooth": str(tooth), "from": place.write(low), "to": place.write(high)})
    return n


def _repeat(typed: MutableMapping[str, Any], row: int, teeth: int, rows: int) -> int:
    marks = marks_in(typed, rows)
    mark = marks[row]
    same = {tuple(m[name] for name in ROW) for m in marks.values()}
    for tooth in range(1, teeth + 1):
        copy = mark | {"tooth": str(tooth)}
        if tuple(copy[name] for name in ROW) not in same:
            _write(typed, _empty_row(marks_in(typed, typed["rows"])), copy)
    return row


def _take_up(typed: MutableMapping[str, Any], row: int, teeth: int, rows: int) -> int:
    return row


def _clear(typed: MutableMapping[str, Any], row: int, teeth: int, rows: int) -> None:
    _write(typed, row, dict.fromkeys(ROW, ""))


ROW_TAPS: Mapping[str, Callable[[MutableMapping[str, Any], int, int, int], int | None]] = {
    "every": _repeat,
    "mark": _take_up,
    "clear": _clear,
}


def _empty_row(marks: Mapping[int, Any]) -> int:
    return next(n for n in range(1, len(marks) + 2) if n not in marks)


def _write(typed: MutableMapping[str, Any], n: int, mark: Mapping[str, str]) -> None:
    """Into row `n`, which is there afterwards; where no more marks fit, `full` says that one was left out."""
    if n > MOST_MARKS:
        typed["full"] = True
        return
    typed.update({f"mark_{n}_{name}": text for name, text in mark.items()})
    typed["rows"] = max(typed["rows"], n)
