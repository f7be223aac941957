"""Whether the helix is asked for first: where nobody has read it, the relief that is ground can hang on it alone."""

import math
from typing import cast

from regrind.geometry.defaults import Default
from regrind.geometry.errors import Refused
from regrind.geometry.lag import Hand, find_setup_uncertainty, hands_agree, set_stylus
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Family, Line
from regrind.shop.models import ShopSettings

from ..from_family import assume_helix
from ..grinding.card import DISTANCE_U_MM, TIP_U_MM


def find_deciding_helix(line: Line, shop: ShopSettings) -> Default | None:
    """The helix that the plan would assume, where its spread brings more than half of the relief's variance.

    None where the helix was stated or confirmed, the sides are never ground, or teeth and size are not known.
    """
    worn, known, kind = tool_of(line), tool_of(line, with_assumed=False), line.family.kind_data
    if known.helix_cdeg is not None or not kind.computed or kind.no_sides or not worn.teeth or not worn.nominal_nm:
        return None
    try:
        assumed, relief_rad = assume_helix(worn)
        sure = _find_deciding(worn, relief_rad, assumed, shop.stylus_distance_nm / 1_000_000)
    except Refused:
        return None
    return assumed if sure == "helix" else None


def _find_deciding(worn: Family, relief_rad: float, assumed: Default, distance_mm: float) -> str | None:
    """The input that decides the relief's uncertainty, as the setup card works it out."""
    radius_mm, helix_rad = (worn.nominal_nm or 0) / 2_000_000, math.radians(assumed.value)
    hands = [cast(Hand, hand or "right") for hand in (worn.hand_of_cut, worn.hand_of_helix)]
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
