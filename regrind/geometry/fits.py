"""Tolerances of shanks and cutting diameters (ISO 286), and of a reamer for its hole."""

import math
from dataclasses import dataclass

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero
from regrind.geometry.tables import rows


@dataclass(frozen=True, slots=True)
class Deviations:
    """Upper and lower deviation from a nominal size, in micrometres."""

    upper_um: float
    lower_um: float


def find_shaft_deviations(tolerance_class: str, nominal_mm: float) -> Deviations:
    """The deviations of a shaft such as a tool's shank ("h6") or cutting diameter ("e8", "js14").

    tolerance_class: one of the table's. nominal_mm: above 0, up to 50.
    Raises Refused naming `tolerance_class` or `nominal_mm`.
    Source: ISO 286-1/-2 in shared/12_iso286_shaft_deviations.csv (from memory, compared with a library).

    >>> find_shaft_deviations("h6", 6.0)
    Deviations(upper_um=0.0, lower_um=-8.0)
    """
    require_above_zero("nominal_mm", nominal_mm, most=50)
    table = [row for row in rows("12_iso286_shaft_deviations") if row["class"] == tolerance_class]
    if not table:
        known = sorted({row["class"] for row in rows("12_iso286_shaft_deviations")})
        raise Refused("tolerance_class", f"must be one of {', '.join(known)}")
    row = next(row for row in table if nominal_mm <= float(row["up_to_incl_mm"]))
    return Deviations(float(row["upper_dev_um"]), float(row["lower_dev_um"]))


def find_reamer_deviations(hole_tolerance_um: int) -> Deviations:
    """The deviations of a reamer's diameter for a hole whose lower deviation is 0 (H).

    hole_tolerance_um: the hole's tolerance, from 1 to 1000 whole micrometres. The reamer's largest size
    stays 15 % of it below the hole's, and its own tolerance is 35 % of it, each rounded up to a micrometre.
    Raises Refused naming `hole_tolerance_um`.
    Source: the rule of ISO 522 / DIN 1420, from memory; shared/08b.

    >>> find_reamer_deviations(15)
    Deviations(upper_um=12, lower_um=6)
    """
    if hole_tolerance_um != int(hole_tolerance_um) or not 1 <= hole_tolerance_um <= 1000:
        raise Refused("hole_tolerance_um", "must be a whole number from 1 to 1000 um")
    # whole numbers, so that 0.35 x 20 is 7 and not 7.000000000000001
    upper = hole_tolerance_um - math.ceil(15 * hole_tolerance_um / 100)
    return Deviations(upper, upper - math.ceil(35 * hole_tolerance_um / 100))
