"""Square end mills: a clipped corner is worked out beside their own, to be taken where the customer agrees."""

from collections.abc import Sequence

from regrind.geometry.inputs import Allowances, Corner, Mark, Tool

from .kind import Agreed, BenchKind
from .wear import find_ways

STEP_NM = {True: 50_800, False: 50_000}  # widths go up in steps of .002 in on inch tools, of 0.05 mm on others
# How wide a clip is proposed where the customer named none: our choice, no source (shared/27_endform.csv).
WIDEST_SHARE = 0.05
SIXTY_FOURTH_NM = 396_875


def offer_corners(tool: Tool, marks: Sequence[Mark], allow: Allowances, agreed: Agreed) -> tuple[Corner, ...]:
    """The least 45° clip that takes the damage at the corner, and the radius that the customer named.

    Not agreed is what is wider than the customer takes, or what nobody named: its options ask.
    """
    radius = (Corner("radius", agreed.other_radius_nm),) if agreed.other_radius_nm else ()
    width_nm = find_clip(tool, marks, allow, agreed.widest_chamfer_nm)
    if not width_nm:
        return radius
    return Corner("chamfer", width_nm, agreed=width_nm <= (agreed.widest_chamfer_nm or 0)), *radius


def find_clip(tool: Tool, marks: Sequence[Mark], allow: Allowances, widest_nm: int | None = None) -> int:
    """The width in nm of the clip, its leg along the axis, that takes every mark which such a clip can take; 0: none.

    A rectangular chip is gone where its reach, its depth and the end's finish allowance add up to the leg or less
    (geometry notes: which options). widest_nm: as the customer says, else a twentieth of the diameter.
    """
    widest = widest_nm or round(WIDEST_SHARE * tool.nominal_diameter_nm)
    legs = [mark.to_nm + (mark.depth_radial_nm or 0) + allow.finish_end_nm for mark in marks if mark.depth_radial_nm]
    least = max((leg for leg in legs if leg <= widest), default=0)
    step = STEP_NM[tool.nominal_diameter_nm % SIXTY_FOURTH_NM == 0]
    return min(-(-least // step) * step, widest) if least else 0


KIND = BenchKind(offer=offer_corners, ways=find_ways)
