"""What a final check says against plan, tolerance and terms: each with value, limit, margin, uncertainty, state."""
from dataclasses import asdict, dataclass

from regrind.geometry.limits import judge
from regrind.record.models import Line
from regrind.shop.models import Gauge

from ..models import Plan


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
    return round(2 * (gauge.uncertainty_nm**2 + gauge.resolution_nm**2 / 12) ** 0.5)


def compare(what: str, nm: int, least_nm: int | None, most_nm: int | None, expanded_nm: int) -> Finding:
    """A value against its bounds: the smaller margin decides."""
    margin = min(([nm - least_nm] if least_nm is not None else []) + ([most_nm - nm] if most_nm is not None else []))
    return Finding(what, nm, least_nm, most_nm, margin, expanded_nm, judge(margin, expanded_nm))


def find(line: Line, plan: Plan | None, diameter_nm: int | None, usable_nm: int | None,
         gauge: Gauge | None) -> list[dict]:
    """The findings of one piece, ready to be stored: planned diameter, smallest diameter, shortest length."""
    found, u = [], expanded(gauge)
    if diameter_nm is not None and plan is not None and plan.diameter_nm:
        found.append(compare("planned diameter", diameter_nm, plan.diameter_nm - line.tolerance_nm,
                             plan.diameter_nm + line.tolerance_nm, u))
    smallest, shortest = line.smallest_diameter_nm(), line.shortest_usable_nm()
    if diameter_nm is not None and smallest:
        found.append(compare("smallest diameter", diameter_nm, smallest, None, u))
    if usable_nm is not None and shortest:
        found.append(compare("shortest usable length", usable_nm, shortest, None, 0))
    return [asdict(finding) for finding in found]
