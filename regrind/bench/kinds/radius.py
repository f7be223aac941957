"""End mills with a corner radius: damage lies on the arc, and the same radius or another agreed one is put on again."""

from collections.abc import Sequence
from dataclasses import replace

from regrind.geometry.inputs import Allowances, Corner, Mark, Tool

from .arcs import RADIUS_WITHIN_NM
from .kind import Agreed, BenchKind, Known, Tolerance
from .wear import find_ways

SOURCE = "a maker’s posted tolerance for corner radii"  # shared/27_endform.csv: ± .001 in


def find_radius(known: Known) -> int:
    """The corner radius as it was read, else as the tool's family has it; nm, 0 where nobody knows."""
    return known.read_nm("corner_size") or known.family.corner_radius_nm or 0


def fit_corner(tool: Tool, known: Known) -> Tool:
    return replace(tool, corner=Corner("radius", find_radius(known)))


def find_lacks(known: Known) -> tuple[str, ...]:
    return () if find_radius(known) else ("the corner radius",)


def offer_radius(tool: Tool, marks: Sequence[Mark], allow: Allowances, agreed: Agreed) -> tuple[Corner, ...]:
    """The other radius that the customer named for this line."""
    other = agreed.other_radius_nm
    return (Corner("radius", other),) if other and other != tool.corner.size_nm else ()


KIND = BenchKind(
    fit=fit_corner,
    lacks=find_lacks,
    ways=find_ways,
    offer=offer_radius,
    arc=find_radius,
    readings=("corner_size",),
    unasked=("tir",),
    labels={"damage_depth": "Depth, square to the edge"},
    hints={"reach": "A height, or the angle from the axis where the damage ends: 45°."},
    tolerance=lambda diameter_within_nm: Tolerance(RADIUS_WITHIN_NM, SOURCE),
)
