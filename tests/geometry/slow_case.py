"""A valid case of the plan's interface as plain exact values, for the slow model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from tests.geometry.slow_lengths import length_mm

LENGTHS_OF_TOOL = ("core_diameter", "primary_land", "face_arc_radius")
ANGLES_OF_TOOL = ("rake_deg", "primary_relief_deg", "secondary_relief_deg", "helix_deg")


@dataclass(frozen=True)
class Mark:
    """A mark on the side of a tooth; `depth` or `wear_land` is None. Teeth count from 0 here."""

    tooth: int
    start: Fraction
    to: Fraction
    depth: Fraction | None
    wear_land: Fraction | None


@dataclass(frozen=True)
class Case:
    """All that the model needs; `fields` are the tool's values, `defaulted` names those that nobody gave."""

    teeth: int
    method: str
    nominal: Fraction
    diameter: Fraction
    flute: Fraction
    new_flute: Fraction
    readings: tuple[Fraction, ...] | None
    readings_given: bool
    tir: Fraction | None
    fields: Mapping[str, object]
    defaulted: Mapping[str, float]
    ground_before: bool
    damaged: bool
    marks: tuple[Mark, ...]
    ends: tuple[Fraction, ...]
    finish_radial: Fraction
    finish_end: Fraction
    stylus: Fraction
    limits: Mapping[str, object]
    published: bool
    spread: Mapping[str, float]
    stock: Fraction
    cut_back: Fraction


def read_case(case: dict, defaults: list[dict] | None = None) -> Case:
    """The case with the defaults the program says it used; without any, every field must stand in the case."""
    tool, measured, allow = case["tool"], case["measured"], case["allow"]
    fields, defaulted = _tool_fields(tool, defaults or [])
    damage = case.get("damage", [])
    return Case(
        tool["teeth"],
        measured["method"],
        length_mm(tool["nominal_diameter"]),
        length_mm(measured["diameter"]),
        length_mm(tool["flute_length"]),
        length_mm(tool.get("new_flute_length", tool["flute_length"])),
        _readings(tool["teeth"], measured),
        "tooth_readings" in measured,
        length_mm(measured["tir"]) if "tir" in measured else None,
        fields,
        defaulted,
        tool.get("sides_ground_before", False),
        bool(damage),
        tuple(_mark(d) for d in damage if "tooth" in d),
        tuple(length_mm(d["end_depth"]) for d in damage if "end_depth" in d),
        *(length_mm(allow[key]) for key in ("finish_radial", "finish_end", "stylus_distance")),
        _limits(case.get("limits", {})),
        case.get("limits", {}).get("published_reduction", False),
        {key: _number(value) for key, value in case.get("uncertainty", {}).items()},
        length_mm(case.get("typical", {}).get("stock_radial", "0 mm")),
        length_mm(case.get("typical", {}).get("cut_back", "0 mm")),
    )


def _number(value: object) -> float:
    return float(length_mm(value)) if isinstance(value, str) else float(value)


def _tool_fields(tool: dict, defaults: list[dict]) -> tuple[dict, dict]:
    fields = {key: length_mm(tool[key]) for key in LENGTHS_OF_TOOL if key in tool}
    fields |= {key: tool[key] for key in ANGLES_OF_TOOL if key in tool}
    defaulted = {}
    for default in defaults:
        name = default["field"].removeprefix("tool.")
        value = default["value"]
        if name in LENGTHS_OF_TOOL:
            value = length_mm(value) if isinstance(value, str) else Fraction(str(value))
        if name in LENGTHS_OF_TOOL + ANGLES_OF_TOOL:
            fields[name], defaulted[name] = value, _number(default["standard_uncertainty"])
    return fields, defaulted


def _readings(teeth: int, measured: dict) -> tuple[Fraction, ...] | None:
    if "tir" in measured:
        return None
    return tuple(length_mm(text) for text in measured.get("tooth_readings", ["0 mm"] * teeth))


def _mark(damage: dict) -> Mark:
    depth, wear = damage.get("depth"), damage.get("wear_land")
    return Mark(
        damage["tooth"] - 1,
        length_mm(damage["from"]),
        length_mm(damage["to"]),
        None if depth is None else length_mm(depth),
        None if wear is None else length_mm(wear),
    )


def _limits(limits: dict) -> dict:
    return {
        key: length_mm(value) if isinstance(value, str) else value
        for key, value in limits.items()
        if key != "published_reduction"
    }
