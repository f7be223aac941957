"""The primary relief from an indicator drop, with what the gauges make it uncertain by."""

import math
from dataclasses import dataclass

from regrind.geometry.relief import Way, read_relief
from regrind.shop.models import Gauge


@dataclass(frozen=True)
class Relief:
    """Hundredths of a degree: the angle, its expanded uncertainty (k = 2), and what half a digit is worth."""

    cdeg: int
    expanded_cdeg: int
    half_digit_cdeg: int

    def as_finding(self) -> dict[str, object]:
        return {
            "what": "primary relief",
            "cdeg": self.cdeg,
            "expanded_cdeg": self.expanded_cdeg,
            "half_digit_cdeg": self.half_digit_cdeg,
            "state": "",
        }


def find(
    drop_nm: int, over_nm: int, way: str, diameter_nm: int, indicator: Gauge | None, gauge: Gauge | None
) -> Relief:
    """Raises geometry's Refused, naming the field, where no flat land can show that drop."""
    reading = read_relief(
        drop_nm / 1e6,
        over_nm / 1e6,
        Way(way or "tangent"),
        diameter_nm / 2e6,
        digit_mm=min(indicator.resolution_nm, over_nm) / 1e6 if indicator else 0.0,
        drop_u_mm=min(indicator.uncertainty_nm, over_nm) / 1e6 if indicator else 0.0,
        radius_u_mm=_diameter_u_mm(gauge, diameter_nm) / 2,
    )
    return Relief(
        *(
            round(math.degrees(rad) * 100)
            for rad in (reading.relief_rad, reading.expanded_uncertainty_rad, reading.half_digit_rad)
        )
    )


def _diameter_u_mm(gauge: Gauge | None, diameter_nm: int) -> float:
    if gauge is None:
        return 0.0
    return min(math.hypot(gauge.uncertainty_nm, gauge.resolution_nm / math.sqrt(12)), diameter_nm) / 1e6
