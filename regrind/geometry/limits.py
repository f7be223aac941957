"""Each limit against what would be left: value, limit, margin, expanded uncertainty, and the verdict of that line."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from regrind.geometry.cleanup import CutOption, RequiredRadius
from regrind.geometry.floors import Published, describe_published, find_diameter_floor, find_flute_floor, find_published
from regrind.geometry.flow import Flow
from regrind.geometry.section import find_rake, find_rake_slopes
from regrind.geometry.setters import list_setters
from regrind.geometry.tool_state import State, ToolState
from regrind.geometry.uncertainty import K, Setters, Slopes, Spread, follow, propagate
from regrind.geometry.units import NM_PER_MM

LimitVerdict = Literal["inside", "too_close", "outside"]
NO_RAKE_DEG = -90.0
_DIGITS = 9
_NOTHING = 1e-20  # variance below which an input brings nothing but rounding


@dataclass(frozen=True, slots=True)
class Settle:
    """A measurement that would settle a line: U `now`, and `then`, with that figure known; in the line's unit."""

    measure: str
    now: float
    then: float


@dataclass(frozen=True, slots=True)
class LimitCheck:
    """One limit's line: `value`, `at_least`, `margin` and `expanded_uncertainty` in mm, or degrees where the name
    says so.

    `rests_on` names defaults; `best_inside` says that only the worst way the teeth may stand keeps it from being
    inside.
    """

    limit: str
    value: float
    at_least: float
    margin: float
    expanded_uncertainty: float
    verdict: LimitVerdict
    formula: str
    rests_on: tuple[str, ...]
    settle: tuple[Settle, ...]
    source: str | None = None
    best_inside: bool = False


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with its limit and how it follows the inputs, for each tie of what sets it.

    `value`, `at_least`: in mm, or degrees where the limit's name says so. `scale`: of the slopes to the value's unit.
    `rests`: flows that say what it rests on where it has no slope.
    """

    limit: str
    value: float
    at_least: float
    flows: Sequence[Flow]
    formula: str
    scale: float = 1.0
    source: str | None = None
    rests: Sequence[Flow] = ()


def judge(margin: float, expanded_uncertainty: float) -> LimitVerdict:
    """Inside where margin >= U (tested first), outside where margin <= -U, else too close to call.

    margin, expanded_uncertainty (U, 0 or more): in one unit, rounded to 1e-9. Source: the idea of ISO 14253-1.

    >>> judge(0.0, 0.0), judge(0.01, 0.02), judge(-0.02, 0.02)
    ('inside', 'too_close', 'outside')
    """
    if margin >= expanded_uncertainty:
        return "inside"
    return "outside" if margin <= -expanded_uncertainty else "too_close"


def check_limits(tool_state: ToolState, cut_option: CutOption, inputs: Mapping[str, float]) -> tuple[LimitCheck, ...]:
    """A line for every limit that is to be checked, worst case; `inputs` as `find_standard_uncertainties` says.

    Source: each value's formula by name; the margin as `judge` says.

    >>> from regrind.geometry.cleanup import list_options
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> from regrind.geometry.uncertainty import find_standard_uncertainties
    >>> tool_state = build_state(read_example())
    >>> lines = check_limits(tool_state, list_options(tool_state)[0], find_standard_uncertainties(tool_state))
    >>> lines[0].limit, round(lines[0].margin, 4), round(lines[0].expanded_uncertainty, 4), lines[0].verdict
    ('diameter', 0.2743, 0.0066, 'inside')
    """
    lines = _check_state(tool_state, tool_state.worst, cut_option, cut_option.worst, inputs)
    if not tool_state.is_range:
        return lines
    others = _check_state(tool_state, tool_state.best, cut_option, cut_option.best, inputs)
    return tuple(_range_line(line, other) for line, other in zip(lines, others, strict=True))


def _check_state(
    tool_state: ToolState, state: State, cut_option: CutOption, need: RequiredRadius, inputs: Mapping[str, float]
) -> tuple[LimitCheck, ...]:
    setters = list_setters(tool_state, cut_option, need)
    return tuple(
        check_limit(tool_state, state, quantity, inputs)
        for quantity in _measure(tool_state, state, cut_option, need.radius_mm, setters)
    )


def _measure(
    tool_state: ToolState, state: State, cut_option: CutOption, radius: float, setters: list[Setters]
) -> list[Quantity]:
    limits, core, after = tool_state.case.limits, tool_state.shape.core_mm, follow(setters, Slopes(by_after=2.0))
    quantities = measure_diameter(tool_state, 2 * radius, after)
    if limits.rake_deg is not None:
        quantities.append(_rake(tool_state, state, radius, limits.rake_deg, setters))
    if limits.flute_depth_nm is not None:
        flows = follow(setters, Slopes(by_after=1.0, others={"core_diameter": -1.0}))
        least = limits.flute_depth_nm / NM_PER_MM
        quantities.append(Quantity("flute_depth", radius - core, least, flows, "flute_depth_after"))
    quantities += measure_lengths(tool_state, cut_option.cut_back_nm, cut_option.usable_length_nm, setters)
    return quantities + measure_published(tool_state, 2 * radius, after)


def measure_diameter(tool_state: ToolState, diameter_mm: float, flows: Sequence[Flow]) -> list[Quantity]:
    """The customer's diameter; where none is named, and none published is asked for, the floor.

    Source: margin as `judge`; U by `uncertainty.propagate`.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> measure_diameter(build_state(read_example()), 6.0, [])[0].limit
    'diameter'
    """
    least, nominal = tool_state.case.limits.diameter_nm, tool_state.case.tool.nominal_diameter_nm
    if least is not None:
        return [Quantity("diameter", diameter_mm, least / NM_PER_MM, flows, "diameter_after")]
    if _published_asked(tool_state):
        return []
    floor = find_diameter_floor(nominal)
    quantity = Quantity("diameter_floor", diameter_mm, floor.at_least_mm, flows, "diameter_after", 1.0, floor.source)
    return [quantity]


def measure_published(tool_state: ToolState, diameter_mm: float, flows: Sequence[Flow]) -> list[Quantity]:
    """The published reduction, where it is asked for and there is one.

    Source: margin as `judge`; U by `uncertainty.propagate`.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> measure_published(build_state(read_example()), 6.0, [])
    []
    """
    published = _published_asked(tool_state)
    if not published:
        return []
    least, source = published.least_diameter_mm, describe_published(published)
    return [Quantity("published_reduction", diameter_mm, least, flows, "diameter_after", 1.0, source)]


def _published_asked(tool_state: ToolState) -> Published | None:
    asked = tool_state.case.limits.published_reduction
    return find_published(tool_state.case.tool.nominal_diameter_nm) if asked else None


def _rake(tool_state: ToolState, state: State, radius_mm: float, least_deg: float, setters: list[Setters]) -> Quantity:
    """Where the face does not reach the radius there is no rake: the line is outside by any measure."""
    rake, face = find_rake(state.face, radius_mm), state.face
    slopes = find_rake_slopes(face, radius_mm)
    others = {"rake_deg": slopes.by_rake, "core_diameter": slopes.by_core}
    by_high = slopes.by_anchor if face.anchor_moves else 0.0
    value = NO_RAKE_DEG if rake is None else math.degrees(rake)
    through = follow(setters, Slopes(by_high, slopes.by_radius, others=others))
    made_of = Flow(others=dict.fromkeys(_rake_stands_on(state, value), 1.0))
    # no rake, no slope: what it rests on is what the radius rests on that the face does not reach
    rests = follow(setters, Slopes(by_after=1.0)) if rake is None else []
    return Quantity("rake_deg", value, least_deg, through, "rake_on_face", math.degrees(1), rests=[made_of, *rests])


def measure_lengths(
    tool_state: ToolState, cut_back_nm: float, usable_nm: float, setters: Sequence[Setters]
) -> list[Quantity]:
    """The customer's usable length; where none is named, and the end is cut, the floor of the flute.

    They follow the flute length, and the cut-back as far as anything measured sets that.
    Source: margin as `judge`; U by `uncertainty.propagate`.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> measure_lengths(build_state(read_example()), 0, 19_050_000, [])[0].limit
    'usable_length'
    """
    least, tool = tool_state.case.limits.usable_length_nm, tool_state.case.tool
    flows = follow(setters, Slopes(by_cut=-1.0, others={"flute_length": 1.0}))
    if least is not None:
        usable = usable_nm / NM_PER_MM
        return [Quantity("usable_length", usable, least / NM_PER_MM, flows, "usable_length_after")]
    if not cut_back_nm:
        return []
    floor, flute_mm = find_flute_floor(tool), (tool.flute_length_nm - cut_back_nm) / NM_PER_MM
    return [Quantity("flute_floor", flute_mm, floor.at_least_mm, flows, "flute_after", 1.0, floor.source)]


def check_limit(tool_state: ToolState, state: State, item: Quantity, inputs: Mapping[str, float]) -> LimitCheck:
    """One quantity against its limit, with its expanded uncertainty.

    Source: margin as `judge`; U by `uncertainty.propagate`.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> from regrind.geometry.uncertainty import find_standard_uncertainties
    >>> tool_state = build_state(read_example())
    >>> item = Quantity("diameter", 6.0, 5.9, [Flow(by_high=2.0)], "diameter_after")
    >>> check_limit(tool_state, tool_state.worst, item, find_standard_uncertainties(tool_state)).verdict
    'inside'
    """
    spread = propagate(tool_state, state, item.flows, inputs, item.scale)
    margin, expanded = round(item.value - item.at_least, _DIGITS), round(spread.expanded, _DIGITS)
    rests = spread.rests_on | (propagate(tool_state, state, item.rests, inputs).rests_on if item.rests else frozenset())
    return LimitCheck(
        item.limit,
        item.value,
        item.at_least,
        margin,
        expanded,
        judge(margin, expanded),
        item.formula,
        tuple(sorted(rests)),
        _settle(spread),
        item.source,
    )


def _rake_stands_on(state: State, value: float) -> set[str]:
    """What a rake is made of even where its slope says nothing: at the edge itself, or past the face's reach."""
    made_of = {"core_diameter"} if state.face.assumed else set()
    return made_of | ({"rake_deg"} if value == NO_RAKE_DEG else set())


def _settle(spread: Spread) -> tuple[Settle, ...]:
    """The measurements that bring most, largest first: at most three, none that brings nothing."""
    total = sum(spread.variances.values())
    ranked = sorted(spread.variances.items(), key=lambda item: -item[1])[:3]
    return tuple(
        Settle(name, spread.expanded, K * math.sqrt(max(0.0, total - part))) for name, part in ranked if part > _NOTHING
    )


def _range_line(worst: LimitCheck, best: LimitCheck) -> LimitCheck:
    """The worst line, told whether the best is inside and what measuring tooth by tooth would make of it."""
    half = abs(best.value - worst.value) / 2
    each = Settle("tooth_readings", half + worst.expanded_uncertainty, worst.expanded_uncertainty)
    return replace(worst, best_inside=best.verdict == "inside", settle=((each,) if half else ()) + worst.settle)
