"""An answer's options and limits as the page shows them: words, and figures in the reader's unit."""

from dataclasses import dataclass
from typing import Any

from regrind.geometry.bibliography import Reference, short_reference
from regrind.geometry.units import Unit, both, show_with_unit, to_nm
from regrind.record.kinds import RADIAL

from ..inspecting.serialization import NAMES
from ..kinds.registry import KIND_DAMAGE
from ..models import Inspection, Plan
from . import words
from .more_figures import More, list_more, say_corner
from .prices import OptionPrice

RECOMMENDED = "recommended"
COUNTED_TO = {"diameter_mm": "{}", "usable_length_mm": "{} of usable length", "flute_mm": "{} of flute"}


@dataclass(frozen=True)
class LimitRow:
    name: str
    value: str
    allowed: str
    margin: str
    state: str
    rests_on: str


@dataclass(frozen=True)
class Link:
    """A link of the page to itself: its query, and its words."""

    query: str
    words: str


@dataclass(frozen=True)
class OptionRow:
    """One option.

    number: what the page calls it; does: what is ground; sizes: after it, the first that it is known by; mark:
    `recommended` or `taken`, or nothing; reasons: with what it notes.
    """

    index: int
    number: int
    does: str
    option: dict[str, Any]
    sizes: tuple[str, str]
    mark: str
    removal: str
    off_the_end: str
    regrinds_left: str
    counted_to: str
    corner: str
    more: tuple[More, ...]
    reasons: tuple[str, ...]
    limits: tuple[LimitRow, ...]
    link: Link
    price: OptionPrice | None = None


def show_options(
    answer: dict[str, Any] | None,
    preferred: int | None,
    unit: Unit,
    key: str,
    mark: str,
    received_nm: int | None = None,
) -> list[OptionRow]:
    """The options of an answer. key: of their group; mark: what the preferred one is called; received_nm: the diameter
    that was read before."""
    if not answer:
        return []
    return [
        OptionRow(
            index,
            index + 1,
            words.say_option(option, unit),
            option,
            _say_sizes(option, unit),
            _mark(option, mark) if index == preferred else "",
            _removal(option, unit),
            say_cut_back(to_nm(option.get("cut_back_mm", 0.0)), unit),
            "unknown" if option["regrinds_left"] is None else str(option["regrinds_left"]),
            _say_counted_to(option, unit),
            say_corner(option, unit),
            tuple(list_more(option, unit)),
            _say_reasons(option, received_nm, unit),
            tuple(_limit(line, unit) for line in option["limits"]),
            Link(f"?group={key}&option={index}", "Show"),
        )
        for index, option in enumerate(answer["options"])
    ]


def _mark(option: dict[str, Any], mark: str) -> str:
    """What the preferred option is called: one that asks is not recommended."""
    return "to ask about" if mark == RECOMMENDED and option["verdict"] == "ask" else mark


def _say_reasons(option: dict[str, Any], received_nm: int | None, unit: Unit) -> tuple[str, ...]:
    """The reasons of an option and what it notes; a limit that the tool was past when it was received says so."""
    phrases = {code: words.say_reason(code) for code in (*option["reasons"], *option.get("notes", ()))}
    smallest = next((line["at_least"] for line in option["limits"] if line["limit"] == "diameter"), None)
    if "outside_diameter" in phrases and smallest and received_nm is not None and received_nm < to_nm(smallest):
        phrases["outside_diameter"] += (
            f", and was so before any grinding: received at {show_with_unit(received_nm, unit)}"
        )
    return tuple(phrases.values())


def _say_sizes(option: dict[str, Any], unit: Unit) -> tuple[str, str]:
    """The diameter after, and what else tells the options apart."""
    for name, form in (("usable_length_mm", "{} long"), ("width_mm", "{} wide")):
        if option.get(name) is not None:
            return _mm(option["diameter_mm"], unit), form.format(_mm(option[name], unit))
    return (_mm(option["diameter_mm"], unit) if "diameter_mm" in option else words.say_option(option, unit)), ""


def say_cut_back(nm: int, unit: Unit) -> str:
    return show_with_unit(nm, unit) if nm else "nothing"


def _say_counted_to(option: dict[str, Any], unit: Unit) -> str:
    """Down to which diameter and length regrinds are counted: the customer's, else what is usually left."""
    counted_to = option.get("counted_to") or {}
    if not option["regrinds_left"]:
        return ""
    limits = [words.format(_mm(counted_to[name], unit)) for name, words in COUNTED_TO.items() if counted_to.get(name)]
    return " and ".join(limits)


def _removal(option: dict[str, Any], unit: Unit) -> str:
    """What comes off the radius at each tooth, in order; between two figures where only the total runout is known."""
    if not option.get("sides"):
        return ""
    each = option.get("removal_radial_mm")
    if each and len(set(each)) == 1:
        return f"{_mm(each[0], unit)} at every tooth"
    if each:
        return ", ".join(f"tooth {n} {_mm(mm, unit)}" for n, mm in enumerate(each, 1))
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
        f"at most {say(line['at_most'])}" if "at_most" in line else f"at least {say(line['at_least'])}",
        margin,
        line["verdict"],
        ", ".join(map(words.say_field, line.get("rests_on", ()))),
    )


def say_inspection(row: Inspection, unit: Unit) -> list[str]:
    """The diameter and the damage of an inspection, as phrases."""
    phrases = []
    if row.diameter_nm:
        how = [row.get_diameter_source_display()] + ([row.get_method_display()] if row.method else [])
        phrases.append(f"diameter {_both(row.diameter_nm, unit)}, {', '.join(how)}")
    depth = f" {_both(row.damage_nm, unit)}" if row.damage_nm else ""
    reach = f", back to {_both(row.reach_nm, unit)}" if row.reach_nm else ""
    if back := row.readings.get("back"):
        return [*phrases, f"damage: {_both(back.nm or 0, unit)} back from the edge"]
    if read := [name for name in KIND_DAMAGE if name in row.readings]:
        return phrases + [f"{NAMES[name]} {_both(row.readings[name].nm or 0, unit)}" for name in read]
    return [*phrases, f"damage: {row.get_damage_display()}{depth}{reach}"]


def say_plan(row: Plan, unit: Unit) -> str:
    """What a stored plan grinds and to which figures, to stand after its decision."""
    sides = set(RADIAL) & set(row.grinds.split())
    figures = (
        (": {}", row.ground_words),
        (", to {}" if sides else ", the diameter stays {}", row.diameter_nm and _both(row.diameter_nm, unit)),
        (", {} off the end", row.cut_back_nm and _both(row.cut_back_nm, unit)),
        (", usable length {}", row.usable_nm and _both(row.usable_nm, unit)),
    )
    return "".join(words.format(value) for words, value in figures if value)


def _both(nm: int, unit: Unit) -> str:
    first, other = both(nm, unit)
    return f"{first} ({other})"


def show_defaults(answer: dict[str, Any] | None, unit: Unit) -> list[tuple[str, str, str, Reference]]:
    """(what, value, confidence, source) of everything the program assumed."""
    return [
        (
            words.say_field(d["field"]),
            _value(d["field"], d["value"], unit),
            d["confidence"],
            short_reference(d["source"]),
        )
        for d in (answer or {}).get("defaults", [])
    ]


def _value(field: str, value: Any, unit: Unit) -> str:
    if not isinstance(value, int | float):
        return "none" if value is None else str(value)
    return f"{value:g}°" if field.endswith("_deg") else _mm(value, unit)


def _mm(value: float, unit: Unit) -> str:
    return show_with_unit(to_nm(value), unit)
