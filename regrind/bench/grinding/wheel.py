"""What a wheel may do: its speed beside the marked maximum, and the infeed that its grit bears."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from regrind.geometry.bibliography import short_reference
from regrind.geometry.errors import Refused
from regrind.geometry.grit import find_grit, find_most_infeed
from regrind.geometry.wheels import find_rpm, find_surface_speed, recommend_speed
from regrind.shop.models import Wheel

Found = TypeVar("Found")


@dataclass(frozen=True)
class Speed:
    """The recommended surface speed of a wheel and the rev/min for it, beside the marked maximum; or why not."""

    low_m_s: float | None = None
    high_m_s: float | None = None
    low_rpm: int | None = None
    high_rpm: int | None = None
    marked_m_s: float | None = None
    source: str = ""
    refused: str = ""

    @property
    def source_words(self) -> str:
        return str(short_reference(self.source))


def attempt(work: Callable[[], Found]) -> tuple[Found | None, str]:
    """A figure, or why the geometry refuses it."""
    try:
        return work(), ""
    except Refused as refused:
        return None, refused.message


def most_infeed_mm(wheel: Wheel | None) -> float | None:
    """The largest radial infeed a pass for a wheel's grit, by the table; None where the grit is not in it."""
    if wheel is None:
        return None
    grit, _ = attempt(lambda: find_grit(wheel.grit))
    return find_most_infeed(grit.mesh_fine).most_mm if grit else None


def find_speed(wheel: Wheel | None, mode: str) -> Speed:
    """The speed recommended for a wheel, never above its marking; without a marking there is none."""
    if wheel is None:
        return Speed(refused="No wheel is chosen.")
    diameter, most = wheel.diameter_nm / 1e6, wheel.marked_maximum_rpm
    band, why = attempt(lambda: recommend_speed(wheel.abrasive, mode))  # type: ignore[arg-type]  # refuses others
    if not most:
        return Speed(
            refused="No marked maximum is on record for this wheel, so no speed is worked out. "
            "Read it on the wheel and add it to the register before the wheel turns."
        )
    marked = find_surface_speed(diameter, most)
    if band is None:
        return Speed(marked_m_s=marked, refused="No speed is recommended here for this abrasive: as its maker says.")
    low, why = attempt(lambda: find_rpm(diameter, band.low_m_s, most))
    high, _ = attempt(lambda: find_rpm(diameter, band.high_m_s, most))
    if low is None:
        return Speed(
            band.low_m_s,
            band.high_m_s,
            marked_m_s=marked,
            source=band.source,
            refused=f"The recommended {band.low_m_s:g} m/s {why}. Stay under the marking.",
        )
    return Speed(band.low_m_s, band.high_m_s, math.ceil(low), math.floor(high) if high else most, marked, band.source)
