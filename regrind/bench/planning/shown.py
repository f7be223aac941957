"""An answer's options and limits as the page shows them: words, and figures in the reader's unit."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from regrind.geometry.common_size import Miss, Size
from regrind.geometry.units import Unit, show, show_with_unit, to_nm

from . import words

WHY = {"too_deep": "clean from {}", "cut_back_too_long": "clean from {}, larger only with more off the end"}

MOST_NAMED = 4


@dataclass(frozen=True)
class LimitRow:
    name: str
    value: str
    at_least: str
    margin: str
    state: str
    rests_on: str


@dataclass(frozen=True)
class OptionRow:
    index: int
    does: str
    option: dict[str, Any]
    recommended: bool
    removal: str
    reasons: tuple[str, ...]
    notes: tuple[str, ...]
    limits: tuple[LimitRow, ...]


@dataclass(frozen=True)
class SizeRow:
    nm: int
    clean: int
    cut_back_nm: int
    best: bool
    left_out: tuple[str, ...]


def show_options(answer: dict[str, Any] | None, preferred: int | None, unit: Unit) -> list[OptionRow]:
    if not answer:
        return []
    return [
        OptionRow(
            index,
            words.say_option(option),
            option,
            index == preferred,
            _removal(option, unit),
            tuple(map(words.say_reason, option["reasons"])),
            tuple(map(words.say_reason, option["notes"])),
            tuple(_limit(line, unit) for line in option["limits"]),
        )
        for index, option in enumerate(answer["options"])
    ]


def _removal(option: dict[str, Any], unit: Unit) -> str:
    """What comes off the radius at each tooth, in order; between two figures where only the total runout is known."""
    if not option["sides"]:
        return ""
    each = option.get("removal_radial_mm")
    if each and len(set(each)) == 1:
        return f"{_mm(each[0], unit)} at every tooth"
    if each:
        return ", ".join(f"{n}: {show(to_nm(mm), unit)}" for n, mm in enumerate(each, 1))
    low, high = option["removal_radial_range_mm"]
    return f"{_mm(low, unit)} to {_mm(high, unit)}"


def _limit(line: dict[str, Any], unit: Unit) -> LimitRow:
    def say(value: float | None) -> str:
        if value is None:
            return "–"
        return f"{value:.1f}°" if line["limit"].endswith("_deg") else _mm(value, unit)

    spread = line["expanded_uncertainty"]
    margin = say(line["margin"]) + (f" ± {say(spread)}" if spread else "")
    return LimitRow(
        words.say_limit(line["limit"]),
        say(line["value"]),
        say(line["at_least"]),
        margin,
        line["verdict"],
        ", ".join(map(words.say_field, line["rests_on"])),
    )


def show_defaults(answer: dict[str, Any] | None, unit: Unit) -> list[tuple[str, str, str, str]]:
    """(what, value, confidence, source) of everything the program assumed."""
    return [
        (words.say_field(d["field"]), _value(d["field"], d["value"], unit), d["confidence"], d["source"])
        for d in (answer or {}).get("defaults", [])
    ]


def _value(field: str, value: Any, unit: Unit) -> str:
    if not isinstance(value, int | float):
        return "none" if value is None else str(value)
    return f"{value:g}°" if field.endswith("_deg") else _mm(value, unit)


def show_sizes(sizes: Sequence[Size], best: set[int], unit: Unit) -> list[SizeRow]:
    return [
        SizeRow(
            size.diameter_nm,
            len(size.clean),
            max((cut for _, cut in size.clean), default=0),
            size.diameter_nm in best,
            _left_out(size.misses, unit),
        )
        for size in sizes
    ]


def _left_out(misses: Sequence[Miss], unit: Unit) -> tuple[str, ...]:
    """Pieces left out for the same reason are named together."""
    alike: dict[str, list[str]] = {}
    for miss in misses:
        largest = "no size" if miss.largest_nm is None else show_with_unit(miss.largest_nm, unit)
        alike.setdefault(WHY[miss.why].format(largest), []).append(miss.name)
    return tuple(f"{_names(names)} {why}" for why, names in alike.items())


def _names(names: Sequence[str]) -> str:
    return ", ".join(names[:MOST_NAMED]) + (f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else "")


def _mm(value: float, unit: Unit) -> str:
    return show_with_unit(to_nm(value), unit)
