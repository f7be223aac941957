"""Each limit against what would be left: value, limit, margin, expanded uncertainty, and the verdict of that line."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from regrind.geometry.cleanup import Choice, Need, find_end_depth
from regrind.geometry.floors import Published, find_diameter_floor, find_flute_floor, find_published, tell_published
from regrind.geometry.present import Present, State
from regrind.geometry.section import find_rake, find_rake_slopes
from regrind.geometry.uncertainty import K, Slopes, Spread, propagate
from regrind.geometry.units import NM_PER_MM

LineVerdict = Literal["inside", "too_close", "outside"]
NO_RAKE_DEG = -90.0
_LENGTHS = {"usable_length": "usable_length_after", "flute_floor": "flute_after"}
_DIGITS = 9
_NOTHING = 1e-20  # variance below which an input brings nothing but rounding


@dataclass(frozen=True, slots=True)
class Settle:
    """A measurement that would settle a line: its expanded uncertainty now, and with that figure known."""

    measure: str
    now: float
    then: float


@dataclass(frozen=True, slots=True)
class Line:
    """One limit's line: mm, or degrees for `rake_deg`. `rests_on` names defaults; `best_inside` says that only
    the worst way the teeth may stand keeps it from being inside."""

    limit: str
    value: float
    at_least: float
    margin: float
    expanded_uncertainty: float
    verdict: LineVerdict
    formula: str
    rests_on: tuple[str, ...]
    settle: tuple[Settle, ...]
    source: str | None = None
    best_inside: bool = False


@dataclass(frozen=True, slots=True)
class _Quantity:
    """A value with its limit and how it follows the inputs."""

    limit: str
    value: float
    at_least: float
    slopes: Slopes
    formula: str
    scale: float = 1.0
    source: str | None = None


def judge(margin: float, expanded_uncertainty: float) -> LineVerdict:
    """Inside where margin >= U (tested first), outside where margin <= -U, else too close to call.

    Both rounded to 1e-9. Source: the idea of ISO 14253-1.

    >>> judge(0.0, 0.0), judge(0.01, 0.02), judge(-0.02, 0.02)
    ('inside', 'too_close', 'outside')
    """
    if margin >= expanded_uncertainty:
        return "inside"
    return "outside" if margin <= -expanded_uncertainty else "too_close"


def draw_lines(present: Present, choice: Choice, inputs: Mapping[str, float]) -> tuple[Line, ...]:
    """A line for every limit that is to be checked, worst case; `inputs` as `find_standard_uncertainties` says.

    Source: each value's formula by name; the margin as `judge` says.

    >>> from regrind.geometry.cleanup import choose
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.present import stand
    >>> from regrind.geometry.uncertainty import find_standard_uncertainties
    >>> present = stand(read_example())
    >>> lines = draw_lines(present, choose(present)[0], find_standard_uncertainties(present))
    >>> lines[0].limit, round(lines[0].margin, 4), round(lines[0].expanded_uncertainty, 4), lines[0].verdict
    ('diameter', 0.2743, 0.0066, 'inside')
    """
    worst = _measure(present, present.worst, choice, choice.worst)
    lines = tuple(_line(present, present.worst, choice.worst, quantity, inputs) for quantity in worst)
    if not present.is_range:
        return lines
    best = _measure(present, present.best, choice, choice.best)
    others = (_line(present, present.best, choice.best, quantity, inputs) for quantity in best)
    return tuple(_range_line(line, other) for line, other in zip(lines, others, strict=True))


def _measure(present: Present, state: State, choice: Choice, need: Need) -> list[_Quantity]:
    limits, radius = present.case.limits, need.radius_mm
    found = _diameters(present, radius)
    if limits.rake_deg is not None:
        found.append(_rake(state, radius, limits.rake_deg))
    if limits.flute_depth_nm is not None:
        depth = radius - present.shape.core_mm
        slopes = Slopes(by_after=1.0, others={"core_diameter": -1.0})
        found.append(_Quantity("flute_depth", depth, limits.flute_depth_nm / NM_PER_MM, slopes, "flute_depth_after"))
    found += _lengths(present, choice)
    published = _published_asked(present)
    if published:
        least, source = published.least_diameter_mm, tell_published(published)
        found.append(_diameter("published_reduction", radius, least, source))
    return found


def _diameters(present: Present, radius_mm: float) -> list[_Quantity]:
    """The customer's diameter; where none is named, and none published is asked for, the floor."""
    least, nominal = present.case.limits.diameter_nm, present.case.tool.nominal_diameter_nm
    if least is not None:
        return [_diameter("diameter", radius_mm, least / NM_PER_MM)]
    if _published_asked(present):
        return []
    floor = find_diameter_floor(nominal)
    return [_diameter("diameter_floor", radius_mm, floor.at_least_mm, floor.source)]


def _published_asked(present: Present) -> Published | None:
    asked = present.case.limits.published_reduction
    return find_published(present.case.tool.nominal_diameter_nm) if asked else None


def _diameter(limit: str, radius_mm: float, least_mm: float, source: str | None = None) -> _Quantity:
    return _Quantity(limit, 2 * radius_mm, least_mm, Slopes(by_after=2.0), "diameter_after", 1.0, source)


def _rake(state: State, radius_mm: float, least_deg: float) -> _Quantity:
    """Where the face does not reach the radius there is no rake: the line is outside by any measure."""
    rake, face = find_rake(state.face, radius_mm), state.face
    slopes = find_rake_slopes(face, radius_mm)
    others = {"rake_deg": slopes.by_rake, "core_diameter": slopes.by_core}
    by_high = slopes.by_anchor if face.anchor_moves else 0.0
    value = NO_RAKE_DEG if rake is None else math.degrees(rake)
    through = Slopes(by_high, slopes.by_radius, others)
    return _Quantity("rake_deg", value, least_deg, through, "rake_on_face", math.degrees(1))


def _lengths(present: Present, choice: Choice) -> list[_Quantity]:
    """The customer's usable length; where none is named, and the end is cut, the floor of the flute."""
    least, tool = present.case.limits.usable_length_nm, present.case.tool
    if least is not None:
        return [_length(present, choice, "usable_length", choice.usable_length_nm, least / NM_PER_MM)]
    if not choice.cut_back_nm:
        return []
    floor, left = find_flute_floor(tool), tool.flute_length_nm - choice.cut_back_nm
    return [_length(present, choice, "flute_floor", left, floor.at_least_mm, floor.source)]


def _length(
    present: Present, choice: Choice, limit: str, left_nm: int, least_mm: float, source: str | None = None
) -> _Quantity:
    """Follows the flute length, and the end's own damage where that sets the cut-back."""
    others = {"flute_length": 1.0}
    if choice.cut_back_nm and choice.depth_nm == find_end_depth(present):
        others["depth"] = -1.0
    return _Quantity(limit, left_nm / NM_PER_MM, least_mm, Slopes(others=others), _LENGTHS[limit], 1.0, source)


def _line(present: Present, state: State, need: Need, item: _Quantity, inputs: Mapping[str, float]) -> Line:
    length = item.limit in _LENGTHS
    spread = propagate(present, state, Need(0.0, ()) if length else need, item.slopes, inputs, item.scale)
    margin, expanded = round(item.value - item.at_least, _DIGITS), round(spread.expanded, _DIGITS)
    rests = spread.rests_on
    if item.limit == "rake_deg":
        rests |= present.shape.by_default & _rake_stands_on(state, item.value)
    if item.limit == "rake_deg" and item.value == NO_RAKE_DEG:
        # no rake, no slope: what it rests on is what the radius rests on that the face does not reach
        rests |= propagate(present, state, need, Slopes(by_after=1.0), inputs).rests_on
    verdict = judge(margin, expanded)
    return Line(
        item.limit, item.value, item.at_least, margin, expanded, verdict,
        item.formula, tuple(sorted(rests)), _settle(spread), item.source,
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
        Settle(name, spread.expanded, K * math.sqrt(max(0.0, total - part)))
        for name, part in ranked
        if part > _NOTHING
    )


def _range_line(worst: Line, best: Line) -> Line:
    """The worst line, told whether the best is inside and what measuring tooth by tooth would make of it."""
    half = abs(best.value - worst.value) / 2
    each = Settle("tooth_readings", half + worst.expanded_uncertainty, worst.expanded_uncertainty)
    return replace(worst, best_inside=best.verdict == "inside", settle=((each,) if half else ()) + worst.settle)
