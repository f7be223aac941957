"""Whether the helix is asked for first: where nobody has read it, the relief that is ground can hang on it alone."""

import math
from typing import cast

from regrind.geometry.case import KIND
from regrind.geometry.defaults import Default, fill_shape
from regrind.geometry.errors import Refused
from regrind.geometry.inputs import Tool
from regrind.geometry.lag import Hand, find_setup_uncertainty, hands_agree, set_stylus
from regrind.record.models import Family
from regrind.shop.models import ShopSettings

from ..grinding.card import DISTANCE_U_MM, TIP_U_MM


def find_deciding_helix(family: Family, shop: ShopSettings) -> Default | None:
    """The helix that the plan would assume, where its spread brings more than half of the relief's variance.

    None where the helix is known, the sides are never ground, or teeth and size are not known.
    """
    kind = family.kind_data
    if family.helix_cdeg is not None or not kind.computed or kind.no_sides or not family.teeth or not family.nominal_nm:
        return None
    tool = Tool(KIND, family.teeth, family.nominal_nm, family.nominal_nm, material=family.material or None)
    try:
        shape = fill_shape(tool)
        assumed = next(default for default in shape.defaults if default.field == "helix_deg")
        sure = _spread(family, tool, shape.flank.primary_rad, assumed, shop.stylus_distance_nm / 1_000_000)
    except Refused:
        return None
    return assumed if sure == "helix" else None


def _spread(family: Family, tool: Tool, relief_rad: float, assumed: Default, distance_mm: float) -> str | None:
    """The input that decides the relief's uncertainty, as the setup card works it out."""
    radius_mm, helix_rad = tool.nominal_diameter_nm / 2_000_000, math.radians(assumed.value)
    hands = [cast(Hand, hand or "right") for hand in (family.hand_of_cut, family.hand_of_helix)]
    agree = hands_agree(*hands)
    stylus = set_stylus(radius_mm, relief_rad, helix_rad, distance_mm, agree=agree)
    sure = find_setup_uncertainty(
        radius_mm,
        stylus.tip_below_mm,
        helix_rad,
        distance_mm,
        agree=agree,
        tip_u_mm=TIP_U_MM,
        lag_distance_u_mm=DISTANCE_U_MM,
        radius_u_mm=0.0,
        helix_u_rad=math.radians(assumed.standard_uncertainty),
    )
    return sure.decided_by
