"""Ball end mills: one arc from the tip to the side; the radius is kept and moved back, or it shrinks with the sides."""

from collections.abc import Sequence
from dataclasses import replace

from regrind.geometry.inputs import Allowances, Corner, Mark, Tool

from .kind import Agreed, BenchKind, Known, Tolerance
from .wear import find_ways

# A ball has no end teeth of its own, and one reading for all teeth is not enough for an arc.
END_TEETH = (
    *("dish", "end_primary", "end_secondary", "end_drop", "end_drop_over"),
    *("centre_cutting", "recess", "end_depth", "end_wear_land", "end_rake", "end_land", "tir"),
)
SOURCE = "a maker’s posted tolerance for ball radii: half that of the diameter"  # shared/27_endform.csv


def fit_ball(tool: Tool, known: Known) -> Tool:
    return replace(tool, corner=Corner("ball"))


def find_arc(known: Known) -> int:
    """Half the diameter as it was measured, else half the nominal one."""
    return (known.inspection.diameter_nm or known.family.nominal_nm or 0) // 2


def offer_radius(tool: Tool, marks: Sequence[Mark], allow: Allowances, agreed: Agreed) -> tuple[Corner, ...]:
    """The corner radius that the customer takes instead of the ball."""
    return (Corner("radius", agreed.other_radius_nm),) if agreed.other_radius_nm else ()


KIND = BenchKind(
    fit=fit_ball,
    ways=find_ways,
    offer=offer_radius,
    arc=find_arc,
    labels={"damage_depth": "Depth, square to the edge", "reach": "How far back from the tip"},
    hints={
        "damage_depth": "Read across the axis, a depth near the tip comes out too large.",
        "reach": "A height, or the angle from the axis where the damage ends: 45°.",
    },
    unasked=END_TEETH,
    damages=(("depth", "a depth"), ("nothing", "no damage")),
    corner_part="ball",
    tolerance=lambda diameter_within_nm: Tolerance(diameter_within_nm // 2, SOURCE),
)
