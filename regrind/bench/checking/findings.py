"""What a final check says against plan, tolerance and terms: each with value, limit, margin, uncertainty, state."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from regrind.geometry.limits import judge
from regrind.geometry.units import Unit, show_with_unit
from regrind.record.models import Line
from regrind.shop.models import Gauge

from ..models import Plan

PLANNED, SMALLEST, SHORTEST = "planned diameter", "smallest diameter", "shortest usable length"
UNCHANGED, MATCHED = "diameter as it came", "matched set"
WORDS = {"outside": "is outside", "too_close": "is too close to call against", "inside": "is inside"}


@dataclass(frozen=True)
class Finding:
    """One comparison. Lengths in whole nanometres; state is inside, too_close or outside."""

    what: str
    nm: int
    least_nm: int | None
    most_nm: int | None
    margin_nm: int
    expanded_nm: int
    state: str


def expanded(gauge: Gauge | None) -> int:
    """U (k = 2) of one reading: the gauge's own standard uncertainty, and its resolution over the root of twelve."""
    if gauge is None:
        return 0
    twofold_nm: float = 2 * (gauge.uncertainty_nm**2 + gauge.resolution_nm**2 / 12) ** 0.5
    return round(twofold_nm)


def compare(what: str, nm: int, least_nm: int | None, most_nm: int | None, expanded_nm: int) -> dict[str, Any]:
    """A value against its bounds: the smaller margin decides."""
    margin = min(([nm - least_nm] if least_nm is not None else []) + ([most_nm - nm] if most_nm is not None else []))
    return asdict(Finding(what, nm, least_nm, most_nm, margin, expanded_nm, judge(margin, expanded_nm)))


def find(
    line: Line,
    plan: Plan | None,
    diameter_nm: int | None,
    usable_nm: int | None,
    gauge: Gauge | None,
    length_gauge: Gauge | None = None,
    came_nm: int | None = None,
) -> list[dict[str, Any]]:
    """The findings of one piece, ready to be stored.

    Compared are the planned diameter within the line's tolerance, the smallest diameter and the shortest usable
    length of the customer's terms, and where the sides are never ground that the diameter is still what came
    (came_nm), within the line's tolerance. gauge: of the diameter; length_gauge: of the usable length.
    """
    found, u, within = [], expanded(gauge), line.tolerance_nm
    smallest, shortest = line.smallest_diameter_nm(), line.shortest_usable_nm()
    if diameter_nm is not None:
        if plan is not None and plan.diameter_nm:
            found.append(compare(PLANNED, diameter_nm, plan.diameter_nm - within, plan.diameter_nm + within, u))
        if line.family.kind_data.no_sides and came_nm:
            found.append(compare(UNCHANGED, diameter_nm, came_nm - within, came_nm + within, u))
        if smallest:
            found.append(compare(SMALLEST, diameter_nm, smallest, None, u))
    if usable_nm is not None and shortest:
        found.append(compare(SHORTEST, usable_nm, shortest, None, expanded(length_gauge)))
    return found


def find_spread(line: Line, diameters_nm: Sequence[int], gauge: Gauge | None) -> list[dict[str, Any]]:
    """A set that is kept matched: the spread of the diameters that were measured, against the set's tolerance."""
    if not line.matched or not line.match_tolerance_nm or len(diameters_nm) < 2:
        return []
    spread = max(diameters_nm) - min(diameters_nm)
    return [compare(MATCHED, spread, None, line.match_tolerance_nm, round(expanded(gauge) * 2**0.5))]


def objects(finding: dict[str, Any]) -> bool:
    """Whether a finding stands in the way of a release until somebody says that it may go all the same.

    Outside in anything; too close to call in what was agreed with the customer.
    """
    state = finding["state"]
    return state == "outside" or (state == "too_close" and finding["what"] in (SMALLEST, SHORTEST))


def say(finding: dict[str, Any], unit: Unit) -> str:
    """A finding in words: `planned diameter: .2420 in is outside .2395 to .2405 in`."""

    def show(nm: int) -> str:
        return show_with_unit(nm, unit)

    word = WORDS[finding["state"]]
    least, most = finding["least_nm"], finding["most_nm"]
    if least is not None and most is not None:
        limit = f"{show(least)} to {show(most)}"
    else:
        limit = f"{show(least)} or more" if least is not None else f"{show(most)} or less"
    return f"{finding['what']}: {show(finding['nm'])} {word} {limit}"
