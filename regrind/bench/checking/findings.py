"""What a final check says against plan, tolerance and terms: each with value, limit, margin, uncertainty, state."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from regrind.geometry.limits import judge
from regrind.geometry.units import Unit, show_with_unit
from regrind.record.models import Line
from regrind.shop.models import Gauge

from ..grinding.prefill import option_of
from ..grinding.relief_target import TOLERANCE_CDEG, relief_target_cdeg
from ..kinds.kind import Hold
from ..models import Plan
from .corner_limit import CornerLimit
from .holds import judge_angle
from .relief import Relief
from .runout_left import RunoutLeft
from .runout_limit import RunoutLimit

PLANNED, SMALLEST, SHORTEST = "planned diameter", "smallest diameter", "shortest usable length"
CORNERS = {"radius": "corner radius", "ball": "ball radius"}
UNCHANGED, MATCHED, RELIEF = "diameter as received", "matched set", "primary relief"
RUNOUT = {"runout_sides": "runout on the sides", "runout_end": "runout on the end teeth"}
FIELDS = {
    PLANNED: "diameter",
    SMALLEST: "diameter",
    UNCHANGED: "diameter",
    SHORTEST: "usable",
    RELIEF: "drop",
} | {name: field for field, name in (*RUNOUT.items(), *(("corner_size", name) for name in CORNERS.values()))}
AGREED = (SMALLEST, SHORTEST)
# A face takes the diameter along by its relief, which is seldom read: a maker's span for roughers, to both sides.
FACED_NM = 76_200
FACED_SOURCE = "a maker’s posted tolerance for roughers, borrowed for every tool ground on its face"
Window = tuple[int | None, int | None]  # the least and the most, nm; None where that side is open
WORDS = {"outside": "is outside", "too_close": "is too close to call against", "inside": "is inside"}
# What was read, and whose limit it is held against, where the finding's own name would read as the limit's.
READ_AGAINST = {
    PLANNED: ("diameter", "the planned "),
    SMALLEST: ("diameter", "the agreed "),
    SHORTEST: ("usable length", "the agreed "),
    UNCHANGED: ("diameter", "the diameter received, "),
    MATCHED: ("spread of the matched set", "the agreed "),
}


@dataclass(frozen=True)
class Finding:
    """One comparison. Lengths in whole nanometres; state is inside, too_close or outside.

    agreed: the limit was agreed with the customer. source: where the limit comes from, '' for plan and terms.
    """

    what: str
    nm: int
    least_nm: int | None
    most_nm: int | None
    margin_nm: int
    expanded_nm: int
    state: str
    agreed: bool = False
    source: str = ""


@dataclass(frozen=True)
class Limits:
    """What a piece is compared with. came_nm: the diameter it was received with, where the sides are never ground.

    runout_left: of the teeth, as inspected, where the sides were left alone.
    """

    line: Line
    plan: Plan | None
    sides_ground: bool = True
    came_nm: int | None = None
    corner: CornerLimit | None = None
    runout: RunoutLimit | None = None
    runout_left: RunoutLeft | None = None
    holds: tuple[Hold, ...] = ()


def expanded(gauge: Gauge | None) -> int:
    """U (k = 2) of one reading: the gauge's own standard uncertainty, and its resolution over the root of twelve."""
    if gauge is None:
        return 0
    twofold_nm: float = 2 * (gauge.uncertainty_nm**2 + gauge.resolution_nm**2 / 12) ** 0.5
    return round(twofold_nm)


def compare(
    quantity: str, nm: int, least_nm: int | None, most_nm: int | None, expanded_nm: int, source: str = ""
) -> dict[str, Any]:
    """A value against its bounds: the smaller margin decides."""
    margin = min(([nm - least_nm] if least_nm is not None else []) + ([most_nm - nm] if most_nm is not None else []))
    state = judge(margin, expanded_nm)
    return asdict(Finding(quantity, nm, least_nm, most_nm, margin, expanded_nm, state, quantity in AGREED, source))


def list_findings(
    limits: Limits,
    lengths_nm: Mapping[str, int | None],
    relief: Relief | None,
    gauge: Gauge | None,
    indicator: Gauge | None = None,
) -> list[dict[str, Any]]:
    """The findings of one piece, ready to be stored.

    lengths_nm: what was read on it, by the form's fields; angles in hundredths of a degree. gauge: of the diameter;
    indicator: of runout and lengths. Compared are the planned diameter within the line's tolerance, the smallest
    diameter, the shortest usable length and the largest runout; where the sides are never ground that the diameter is
    still the one received; where they were, the primary relief against the window of the setup card; and what the
    kind itself is held against.
    """
    diameter, usable = lengths_nm.get("diameter"), lengths_nm.get("usable")
    shortest = limits.line.shortest_usable_nm()
    findings = [] if diameter is None else _of_diameter(limits, diameter, expanded(gauge))
    if usable is not None and shortest:
        findings.append(compare(SHORTEST, usable, shortest, None, expanded(indicator)))
    findings += _of_corner(limits, lengths_nm.get("corner_size"), expanded(indicator))
    findings += _of_runout(limits, lengths_nm, expanded(indicator))
    findings += _of_holds(limits, lengths_nm, expanded(indicator))
    return findings + ([relief_finding(limits, relief)] if relief else [])


def list_windows(limits: Limits) -> dict[str, Window]:
    """By the form's field the least and the most that a reading may be, nm; None where that side has no bound.

    The runout on the end teeth has one only where the customer named it.
    """
    windows: dict[str, Window] = {}
    if accepted := accepted_window(limits):
        windows["diameter"] = accepted
    if shortest := limits.line.shortest_usable_nm():
        windows["usable"] = (shortest, None)
    if limits.corner:
        windows["corner_size"] = corner_window(limits.corner)
    if limits.runout:
        ends = ("runout_end",) if limits.runout.agreed else ()
        windows |= dict.fromkeys(("runout_sides", *ends), (None, limits.runout.most_nm))
    return windows


def corner_window(corner: CornerLimit) -> tuple[int, int]:
    return corner.planned_nm - corner.within_nm, corner.planned_nm + corner.within_nm


def planned_window(line: Line, plan: Plan | None) -> tuple[int, int] | None:
    """The least and the most diameter within the tolerance of a plan, nm; None where none is planned."""
    if plan is None or not plan.diameter_nm:
        return None
    within_nm = tolerance_of(line, plan)
    return plan.diameter_nm - within_nm, plan.diameter_nm + within_nm


def tolerance_of(line: Line, plan: Plan | None) -> int:
    """How far the diameter may be off the plan's, nm to both sides."""
    within_nm: int = line.tolerance_nm
    return max(within_nm, FACED_NM) if is_faced(plan) else within_nm


def accepted_window(limits: Limits) -> Window | None:
    """What a diameter may be at the check, nm: within the plan's tolerance, the terms, and what the kind is held to.

    None where no diameter is planned.
    """
    planned = planned_window(limits.line, limits.plan)
    if planned is None:
        return None
    holds = [(hold.least, hold.most) for hold in limits.holds if hold.field == "diameter"]
    windows: list[Window] = [planned, (limits.line.smallest_diameter_nm(), None), *holds]
    least = max(low for low, _ in windows if low is not None)
    return least, min(high for _, high in windows if high is not None)


def is_faced(plan: Plan | None) -> bool:
    option = option_of(plan) if plan else {}
    return option.get("way") == "face" or "face" in option.get("grind", ())


def _of_diameter(limits: Limits, nm: int, expanded_nm: int) -> list[dict[str, Any]]:
    line, within, faced = limits.line, limits.line.tolerance_nm, is_faced(limits.plan)
    smallest, findings = line.smallest_diameter_nm(), []
    if window := planned_window(line, limits.plan):
        findings.append(compare(PLANNED, nm, *window, expanded_nm, FACED_SOURCE if faced else ""))
    if line.family.kind_data.no_sides and limits.came_nm and not faced and not limits.holds:
        findings.append(compare(UNCHANGED, nm, limits.came_nm - within, limits.came_nm + within, expanded_nm))
    if smallest:
        findings.append(compare(SMALLEST, nm, smallest, None, expanded_nm))
    return findings


def _of_corner(limits: Limits, nm: int | None, expanded_nm: int) -> list[dict[str, Any]]:
    """The radius of a corner or a ball against the planned one; nothing where nobody publishes a tolerance."""
    corner = limits.corner
    if nm is None or corner is None:
        return []
    return [compare(CORNERS[corner.form], nm, *corner_window(corner), expanded_nm, corner.source)]


def _of_runout(limits: Limits, lengths_nm: Mapping[str, int | None], expanded_nm: int) -> list[dict[str, Any]]:
    """The sides against any limit, the end teeth against the customer's own alone; nothing without a limit.

    A runout that was inspected and left alone counts where it was not read again.
    """
    limit, findings = limits.runout, []
    for field, quantity in RUNOUT.items():
        nm = lengths_nm.get(field)
        if nm is None or limit is None or (field == "runout_end" and not limit.agreed):
            continue
        finding = compare(quantity, nm, None, limit.most_nm, expanded_nm, limit.source)
        findings.append(finding | {"agreed": limit.agreed})
    left_alone = limits.runout_left if lengths_nm.get("runout_sides") is None else None
    if limit and left_alone:
        source = f"{limit.source}; read at the inspection, the sides were left alone"
        finding = compare(RUNOUT["runout_sides"], left_alone.nm, None, limit.most_nm, left_alone.expanded_nm, source)
        findings.append(finding | {"agreed": limit.agreed})
    return findings


def _of_holds(limits: Limits, values: Mapping[str, int | None], expanded_nm: int) -> list[dict[str, Any]]:
    """What the kind itself is held against."""
    findings = []
    for hold in limits.holds:
        value = values.get(hold.field)
        if value is not None and hold.angle:
            findings.append(judge_angle(hold, value))
        elif value is not None:
            findings.append(compare(hold.quantity, value, hold.least, hold.most, expanded_nm, hold.source))
    return findings


def relief_finding(limits: Limits, relief: Relief) -> dict[str, Any]:
    """The relief with its uncertainty; judged against the window of the card where the sides were ground by one."""
    finding = relief.as_finding()
    target = relief_target_cdeg(limits.plan) if limits.sides_ground else None
    if target is None:
        return finding
    least, most = target - TOLERANCE_CDEG, target + TOLERANCE_CDEG
    margin = min(relief.cdeg - least, most - relief.cdeg)
    return finding | {
        "least_cdeg": least,
        "most_cdeg": most,
        "margin_cdeg": margin,
        "state": judge(margin, relief.expanded_cdeg),
    }


def find_spread(line: Line, diameters_nm: Sequence[int], gauge: Gauge | None) -> list[dict[str, Any]]:
    """A set that is kept matched: the spread of the diameters that were measured, against the set's tolerance."""
    if not line.matched or not line.match_tolerance_nm or len(diameters_nm) < 2:
        return []
    spread = max(diameters_nm) - min(diameters_nm)
    return [compare(MATCHED, spread, None, line.match_tolerance_nm, round(expanded(gauge) * 2**0.5))]


def field_of(finding: Mapping[str, Any], holds: Sequence[Hold]) -> str:
    """The form's field that a finding is of; holds: what the kind itself is held against."""
    return {**FIELDS, **{hold.quantity: hold.field for hold in holds}}[finding["what"]]


def objects(finding: dict[str, Any]) -> bool:
    """Whether a finding stands in the way of a release until somebody says why it may go all the same.

    Outside in anything; too close to call in what was agreed with the customer.
    """
    state = finding["state"]
    return bool(state == "outside" or (state == "too_close" and finding.get("agreed", False)))


def say(finding: dict[str, Any], unit: Unit) -> str:
    """A finding in words: `diameter: .2420 in is outside the planned .2395 in to .2405 in`."""
    quantity, whose = READ_AGAINST.get(finding["what"], (finding["what"], ""))
    value = _degrees(finding["cdeg"]) if "cdeg" in finding else show_with_unit(finding["nm"], unit)
    return f"{quantity}: {value} {WORDS[finding['state']]} {whose}{say_limit(finding, unit)}"


def say_limit(finding: dict[str, Any], unit: Unit) -> str:
    """The bounds of a finding: `.2395 in to .2405 in`, `.2300 in or more`, `11.0° to 13.0°`."""
    if "cdeg" in finding:
        return f"{_degrees(finding['least_cdeg'])} to {_degrees(finding['most_cdeg'])}"
    least, most = finding["least_nm"], finding["most_nm"]
    if least is not None and most is not None:
        return f"{show_with_unit(least, unit)} to {show_with_unit(most, unit)}"
    return f"{show_with_unit(least, unit)} or more" if least is not None else f"{show_with_unit(most, unit)} or less"


def say_expanded(finding: dict[str, Any], unit: Unit) -> str:
    """`U .0001 in`: the uncertainty (k = 2) of what was compared; '' where no gauge was named."""
    if finding.get("expanded_cdeg"):
        return f"U {_degrees(finding['expanded_cdeg'])}"
    return f"U {show_with_unit(finding['expanded_nm'], unit)}" if finding.get("expanded_nm") else ""


def _degrees(cdeg: int) -> str:
    return f"{cdeg / 100:.1f}°"
