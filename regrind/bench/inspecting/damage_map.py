"""Damage tapped on the flank unrolled: bands of height along each tooth, and what a tap writes into a mark's row."""

from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import NotALength, Unit, parse, show_with_unit
from regrind.record.models import Line
from regrind.shop.fields.whole_numbers import read_whole

ROW = ("tooth", "from", "to", "depth", "wear_land", "what")
# Where the bands end, counted from the end: narrow there, where chips are, and wider towards the shank.
ENDS_NM = {
    "in": [n * 25_400 for n in (10, 20, 40, 80, 150, 300, 600, 1200)],
    "mm": [n * 1_000 for n in (250, 500, 1000, 2000, 4000, 8000, 16000, 32000)],
}
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
class Band:
    ends: str
    cells: tuple[Cell, ...]


def list_bands(line: Line) -> list[tuple[int, int]]:
    """(from, to) of each band from the end up to the flute's length, in nm."""
    family = line.family
    flute = family.flute_length_nm or FLUTE_TO_NOMINAL * (family.nominal_nm or ENDS_NM["in"][4])
    ends = [nm for nm in ENDS_NM[line.batch.customer.unit] if nm < 0.9 * flute] + [flute]
    return list(zip([0, *ends[:-1]], ends, strict=True))


def unroll(line: Line, teeth: int, marks: Mapping[int, Mapping[str, str]]) -> list[Band]:
    """The bands from the shank down to the end, each with a cell for each tooth, shaded by the marks typed so far."""
    unit = line.batch.customer.unit
    depths = [(mark, _deep(mark, unit)) for mark in marks.values()]
    deepest = max([deep for _, deep in depths], default=0) or 1
    bands = []
    for index, (low, high) in enumerate(list_bands(line)):
        name = f"{show_with_unit(low, unit) if low else 'end'} to {show_with_unit(high, unit)}"
        by_tooth = [
            [deep for mark, deep in depths if _lies(mark, tooth, low, high, unit)] for tooth in range(1, teeth + 1)
        ]
        shades = [_shade(max(deeps), deepest) if deeps else 0 for deeps in by_tooth]
        bands.append(
            Band(
                show_with_unit(high, unit, places=PLACES[unit]),
                tuple(Cell(f"at:{n}:{index}", f"Tooth {n}, {name}", shade) for n, shade in enumerate(shades, 1)),
            )
        )
    return bands[::-1]


def _nm(text: str, unit: Unit) -> int | None:
    try:
        return parse(text, unit=unit).nm
    except NotALength:
        return None


def _deep(mark: Mapping[str, str], unit: Unit) -> int:
    return _nm(mark["depth"], unit) or (_nm(mark["wear_land"], unit) or 0) // 5


def _shade(deep: int, deepest: int) -> int:
    return 1 + min(SHADES - 1, deep * SHADES // (deepest + 1))


def _lies(mark: Mapping[str, str], tooth: int, low: int, high: int, unit: Unit) -> bool:
    start, end = _nm(mark["from"] or "0", unit), _nm(mark["to"], unit)
    return mark["tooth"] == str(tooth) and start is not None and end is not None and start < high and end > low


def marks_in(typed: Mapping[str, Any], rows: int) -> dict[int, dict[str, str]]:
    """row number -> what is typed in it, of the rows that hold anything."""
    marks = {n: {name: str(typed.get(f"mark_{n}_{name}") or "") for name in ROW} for n in range(1, rows + 1)}
    return {n: mark for n, mark in marks.items() if any(mark.values())}


def is_deepest_missing(typed: Mapping[str, Any], marks: Mapping[int, Mapping[str, str]], unit: Unit) -> bool:
    """Whether marks are typed and none is as deep, or none reaches as far, as the deepest damage that is typed.

    False for half a number. A wear land may be as deep as any: what it comes to is worked out when it is saved.
    """
    depth, reach = (_nm(str(typed.get(name) or ""), unit) for name in ("damage_depth", "reach"))
    if not depth or not reach or typed.get("damage") == "nothing":
        return False
    whole = [mark for mark in marks.values() if _nm(mark["to"], unit)]
    depths = [depth if mark["wear_land"] else _nm(mark["depth"], unit) or 0 for mark in whole]
    return bool(whole) and (max(depths) < depth or max(_nm(mark["to"], unit) or 0 for mark in whole) < reach)


def tap(typed: MutableMapping[str, Any], button: str, line: Line, teeth: int, rows: int) -> int | None:
    """Do what a button of the flank asks, in `typed`: the number of the row that it is about, None for a strange one.

    `at:2:3` puts tooth 2, band 3 into the first empty row; tapped again before a depth is typed, the mark stretches to
    reach it. `every:4` repeats row 4 on every other tooth. Rows are added where none is empty.
    """
    action, *parts = button.split(":")
    numbers = [number for part in parts if (number := read_whole(part, 3)) is not None]
    typed["rows"] = rows
    if len(numbers) != len(parts):
        return None
    if action == "at" and len(numbers) == 2:
        return _place(typed, numbers[0], numbers[1], line, teeth, rows)
    if action == "every" and len(numbers) == 1:
        return _repeat(typed, numbers[0], teeth, rows)
    return None


def _place(typed: MutableMapping[str, Any], tooth: int, index: int, line: Line, teeth: int, rows: int) -> int | None:
    bands, unit = list_bands(line), line.batch.customer.unit
    if not 1 <= tooth <= teeth or index >= len(bands):
        return None
    (low, high), marks = bands[index], marks_in(typed, rows)
    n = read_whole(str(typed.get("tapped") or ""), 3) or 0
    mark = marks.get(n, {})
    if mark and mark["tooth"] == str(tooth) and not mark["depth"] and not mark["wear_land"]:
        low, high = min(low, _nm(mark["from"], unit) or 0), max(high, _nm(mark["to"], unit) or 0)
    else:
        n = _empty_row(marks)
    _write(
        typed,
        n,
        {"tooth": str(tooth), "from": show_with_unit(low, unit) if low else "0", "to": show_with_unit(high, unit)},
    )
    return n


def _repeat(typed: MutableMapping[str, Any], row: int, teeth: int, rows: int) -> int | None:
    marks = marks_in(typed, rows)
    mark = marks.get(row)
    if mark is None:
        return None
    same = {tuple(m[name] for name in ROW) for m in marks.values()}
    for tooth in range(1, teeth + 1):
        copy = mark | {"tooth": str(tooth)}
        if tuple(copy[name] for name in ROW) not in same:
            _write(typed, _empty_row(marks_in(typed, typed["rows"])), copy)
    return row


def _empty_row(marks: Mapping[int, Any]) -> int:
    return next(n for n in range(1, len(marks) + 2) if n not in marks)


def _write(typed: MutableMapping[str, Any], n: int, mark: Mapping[str, str]) -> None:
    """Into row `n`, which is there afterwards; where no more marks fit, `full` says that one was left out."""
    if n > MOST_MARKS:
        typed["full"] = True
        return
    typed.update({f"mark_{n}_{name}": text for name, text in mark.items()})
    typed["rows"] = max(typed["rows"], n)
