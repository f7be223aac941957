"""What a radius or a ball is held against at the check: the planned radius, and how far it may be off it."""

from dataclasses import dataclass

from regrind.geometry.units import to_nm
from regrind.record.models import Line

from ..grinding.prefill import option_of
from ..kinds.registry import KINDS
from ..models import Plan


@dataclass(frozen=True)
class CornerLimit:
    """The planned radius in nm, how far off it may be to both sides, and who publishes that."""

    form: str
    planned_nm: int
    within_nm: int
    source: str


def find_corner_limit(line: Line, plan: Plan | None) -> CornerLimit | None:
    """None where the plan grinds no radius or ball, or nobody publishes a tolerance for it."""
    option = option_of(plan) if plan else {}
    form = option.get("corner_form") or ""
    kind, size_mm = KINDS.get(form), option.get("corner_size_mm")
    tolerance = kind.tolerance(line.tolerance_nm) if kind and option.get("corner") else None
    if plan is None or tolerance is None or not size_mm:
        return None
    planned = (plan.diameter_nm or 0) // 2 if form == "ball" else to_nm(size_mm)
    return CornerLimit(form, planned, tolerance.within_nm, tolerance.source)
