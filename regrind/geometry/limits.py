"""Each limit against what would be left: value, limit, margin, expanded uncertainty, and the verdict of that line."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Literal

from regrind.geometry.cleanup import Choice, Need, find_end_depth
from regrind.geometry.present import Present, State
from regrind.geometry.section import find_rake, find_rake_slopes
from regrind.geometry.tables import rows
from regrind.geometry.uncertainty import K, Slopes, Spread, propagate
from regrind.geometry.units import NM_PER_IN, NM_PER_MM

LineVerdict = Literal["inside", "too_close", "outside"]
NO_RAKE_DEG = -90.0
_REDUCTION_ITEM = "largest reduction of original diameter"
_INCHES = re.compile(r"\d*\.?\d+")
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
class Published:
    """The published largest reduction for a nominal diameter; `between` says it fell into a gap of the source."""

    least_diameter_mm: float
    percent: float
    between: bool
    source: str


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
    found: list[_Quantity] = []
    if limits.diameter_nm is not None:
        after = Slopes(by_after=2.0)
        found.append(_Quantity("diameter", 2 * radius, limits.diameter_nm / NM_PER_MM, after, "diameter_after"))
    if limits.rake_deg is not None:
        found.append(_rake(state, radius, limits.rake_deg))
    if limits.flute_depth_nm is not None:
        depth = radius - present.shape.core_mm
        slopes = Slopes(by_after=1.0, others={"core_diameter": -1.0})
        found.append(_Quantity("flute_depth", depth, limits.flute_depth_nm / NM_PER_MM, slopes, "flute_depth_after"))
    if limits.usable_length_nm is not None:
        found.append(_usable(present, choice, limits.usable_length_nm))
    if limits.published_reduction and (published := find_published(present.case.tool.nominal_diameter_nm)):
        after, least = Slopes(by_after=2.0), published.least_diameter_mm
        quantity = _Quantity("published_reduction", 2 * radius, least, after, "diameter_after", 1.0, _tell(published))
        found.append(quantity)
    return found


def _rake(state: State, radius_mm: float, least_deg: float) -> _Quantity:
    """Where the face does not reach the radius there is no rake: the line is outside by any measure."""
    rake, face = find_rake(state.face, radius_mm), state.face
    slopes = find_rake_slopes(face, radius_mm)
    others = {"rake_deg": slopes.by_rake, "core_diameter": slopes.by_core}
    by_high = slopes.by_anchor if face.anchor_moves else 0.0
    value = NO_RAKE_DEG if rake is None else math.degrees(rake)
    through = Slopes(by_high, slopes.by_radius, others)
    return _Quantity("rake_deg", value, least_deg, through, "rake_on_face", math.degrees(1))


def _usable(present: Present, choice: Choice, least_nm: int) -> _Quantity:
    """Follows the flute length, and the end's own damage where that sets the cut-back."""
    others = {"flute_length": 1.0}
    if choice.cut_back_nm and choice.depth_nm == find_end_depth(present):
        others["depth"] = -1.0
    value = choice.usable_length_nm / NM_PER_MM
    return _Quantity("usable_length", value, least_nm / NM_PER_MM, Slopes(others=others), "usable_length_after")


def _line(present: Present, state: State, need: Need, item: _Quantity, inputs: Mapping[str, float]) -> Line:
    length = item.limit == "usable_length"
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


@lru_cache(maxsize=1024)
def find_published(nominal_diameter_nm: int) -> Published | None:
    """The smallest diameter a published rule leaves of a nominal one; None below its first band (1/4 in).

    Between two bands the stricter one, that of larger diameters, is taken.
    Source: shared/18_practice_and_tolerances.csv.

    >>> find_published(6_350_000).percent, find_published(13_500_000).between, find_published(6_000_000)
    (15.0, True, None)
    """
    above = [band for band in _bands() if nominal_diameter_nm <= band[1]]
    if nominal_diameter_nm < _bands()[0][0]:
        return None
    first, _, percent, source = above[0] if above else _bands()[-1]
    least = nominal_diameter_nm * (100 - percent) / (100 * NM_PER_MM)
    return Published(least, float(percent), nominal_diameter_nm < first, source)


@cache
def _bands() -> list[tuple[int, int, int, str]]:
    """First and last nominal diameter (nm), percent and source of each band, in rising order; the last is open."""
    table = [row for row in rows("18_practice_and_tolerances") if row["item"].startswith(_REDUCTION_ITEM)]
    bands = []
    for row in table:
        ends = [round(float(inch) * NM_PER_IN) for inch in _INCHES.findall(row["condition"])]
        first, last = (ends[0] + 1, 10**11) if len(ends) == 1 else (ends[0], ends[1])
        bands.append((first, last, int(row["value"]), row["source"]))
    return sorted(bands)


def _tell(published: Published) -> str:
    side = "; between two bands of the source, the stricter taken" if published.between else ""
    return f"{published.source}: {published.percent:g} % of the nominal diameter{side}"
