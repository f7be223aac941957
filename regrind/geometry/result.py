"""The plan as values, and as the JSON that is printed and stored."""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

from regrind.geometry.defaults import Default
from regrind.geometry.floors import CountedTo
from regrind.geometry.inputs import Form, Way
from regrind.geometry.limits import LimitCheck
from regrind.geometry.verdict import Verdict

_DIGITS = 12


@dataclass(frozen=True, slots=True)
class FaceFigures:
    """What grinding the face makes of the tooth, and how it is set up (degrees, mm); the width None where unknown."""

    face_relief_deg: float
    face_rake_deg: float
    set_over_mm: float
    face_turn_deg: float
    face_stock_mm: float
    tooth_width_mm: float | None


@dataclass(frozen=True, slots=True)
class Option:
    """One way to clean the tool up: what is ground, what is left, and how that stands to the limits (mm, degrees).

    `core_ratio`: core to diameter, 0 to 1. `regrinds_left`: a count, None where no usual stock is known.
    On the face, what tells of the sides is None. `corner`: whether the corner is ground. `usual`: whether the
    tool's own corner is ground on the flank, or its kind is ground on the face alone.
    """

    way: Way
    corner_form: Form
    cut_back_mm: float
    sides: bool
    end: bool
    diameter_mm: float
    diameter_best_mm: float
    usable_length_mm: float
    limits: tuple[LimitCheck, ...]
    regrinds_left: int | None
    counted_to: CountedTo
    verdict: Verdict
    reasons: tuple[str, ...]
    corner_size_mm: float | None = None
    corner: bool | None = None
    removal_radial_mm: tuple[float, ...] | None = None
    removal_radial_range_mm: tuple[float, float] | None = None
    rake_deg: float | None = None
    zero_rake_diameter_mm: float | None = None
    flute_depth_mm: float | None = None
    core_ratio: float | None = None
    helix_deg: float | None = None
    primary_land_mm: float | None = None
    heel_drop_mm: float | None = None
    secondary_needed: bool | None = None
    gash_left_mm: float | None = None
    face: FaceFigures | None = None
    notes: tuple[str, ...] = ()
    usual: bool = True


@dataclass(frozen=True, slots=True)
class Answer:
    """All options worth having in the order of `list_cut_options`, the one recommended, and the case's verdict."""

    options: tuple[Option, ...]
    recommended: int | None
    verdict: Verdict
    reasons: tuple[str, ...]
    defaults: tuple[Default, ...]


def as_dict(answer: Answer, line: int | None = None) -> dict[str, Any]:
    """The answer ready for JSON, under the keys of the headless plan; `line` says which case it answers.

    Numbers are finite, in mm under keys that end in `_mm` and degrees under `_deg`, rounded to 1e-12 so that
    the last bit of a float is not printed.
    Source: the headless plan's answer (docs/plan.md).

    >>> as_dict(Answer((), None, "scrap", ("no_option_left",), ()), 3)["line"]
    3
    """
    head = {} if line is None else {"line": line}
    return head | {
        "options": [_option(option) for option in answer.options],
        "recommended": answer.recommended,
        "verdict": answer.verdict,
        "reasons": list(answer.reasons),
        "defaults": [_default(default) for default in answer.defaults],
    }


def _option(option: Option) -> dict[str, Any]:
    table = {
        "way": option.way,
        "corner_form": option.corner_form,
        "corner_size_mm": _round(option.corner_size_mm),
        "corner": option.corner,
        "cut_back_mm": _round(option.cut_back_mm),
        "sides": option.sides,
        "end": option.end,
        "diameter_mm": _round(option.diameter_mm),
        "diameter_worst_mm": _round(option.diameter_mm),
        "diameter_best_mm": _round(option.diameter_best_mm),
        "removal_radial_mm": _list(option.removal_radial_mm),
        "usable_length_mm": _round(option.usable_length_mm),
        "rake_deg": _round(option.rake_deg),
        "zero_rake_diameter_mm": _round(option.zero_rake_diameter_mm),
        "flute_depth_mm": _round(option.flute_depth_mm),
        "core_ratio": _round(option.core_ratio),
        "helix_deg": _round(option.helix_deg),
        "primary_land_mm": _round(option.primary_land_mm),
        "heel_drop_mm": _round(option.heel_drop_mm),
        "secondary_needed": option.secondary_needed,
        "limits": [_line(line) for line in option.limits],
        "regrinds_left": option.regrinds_left,
        "counted_to": _numbers(option.counted_to),
        "verdict": option.verdict,
        "reasons": list(option.reasons),
        "notes": list(option.notes),
    }
    if option.removal_radial_range_mm is not None:
        table["removal_radial_range_mm"] = _list(option.removal_radial_range_mm)
    if option.gash_left_mm is not None:
        table["gash_left_mm"] = _round(option.gash_left_mm)
    return table | (_numbers(option.face) if option.face else {})


def _numbers(values: CountedTo | FaceFigures) -> dict[str, float | None]:
    return {field.name: _round(getattr(values, field.name)) for field in fields(values)}


def _line(line: LimitCheck) -> dict[str, Any]:
    return {
        "limit": line.limit,
        "value": _round(line.value),
        "at_least": _round(line.at_least),
        "margin": line.margin,
        "expanded_uncertainty": line.expanded_uncertainty,
        "verdict": line.verdict,
        "formula": line.formula,
        "source": line.source,
        "rests_on": list(line.rests_on),
        "settle": [
            {"measure": item.measure, "from": _round(item.now), "to": _round(item.then)} for item in line.settle
        ],
    }


def _default(default: Default) -> dict[str, Any]:
    return {
        "field": default.field,
        "value": default.value,
        "standard_uncertainty": _round(default.standard_uncertainty),
        "source": default.source,
        "confidence": default.confidence,
    }


def _round(value: float | None) -> float | None:
    """`+ 0.0` turns a negative zero into 0."""
    return None if value is None else round(value, _DIGITS) + 0.0


def _list(values: Sequence[float] | None) -> list[float | None] | None:
    return None if values is None else [_round(value) for value in values]
