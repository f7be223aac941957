"""Tolerances of shanks and cutting diameters (ISO 286), and of a reamer for its hole."""

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


def find_hole_tolerance(grade: str, nominal_mm: float) -> int:
    """The width of a tolerance grade ("IT6" to "IT10") in whole micrometres.

    grade: one of the table's. nominal_mm: above 0, up to 80.
    Raises Refused naming `grade` or `nominal_mm`.
    Source: ISO 286-1 in shared/28_iso286_it.csv (from memory, compared with a library).

    >>> find_hole_tolerance("IT7", 10.0)
    15
    """
    require_above_zero("nominal_mm", nominal_mm, most=80)
    table = [row for row in rows("28_iso286_it") if row["grade"] == grade]
    if not table:
        known = dict.fromkeys(row["grade"] for row in rows("28_iso286_it"))
        raise Refused("grade", f"must be one of {', '.join(known)}")
    return next(int(row["tolerance_um"]) for row in table if nominal_mm <= float(row["up_to_incl_mm"]))


def find_reamer_sizes(hole_lower_nm: int, hole_upper_nm: int) -> tuple[int, int]:
    """Lower and upper size in whole nm of a new reamer for a hole between two sizes in whole nm.

    hole_lower_nm: below hole_upper_nm. The reamer's upper size stays 15 % of the hole's tolerance below the
    hole's, and its own tolerance is 35 % of it, each rounded up to a whole micrometre.
    Raises Refused naming `hole_upper_nm`.
    Source: the rule of ISO 522 / DIN 1420, read on two makers' pages (shared/29, 30).

    >>> find_reamer_sizes(10_000_000, 10_015_000)
    (10006000, 10012000)
    """
    if hole_upper_nm <= hole_lower_nm:
        raise Refused("hole_upper_nm", f"must be above the lower size, {hole_lower_nm} nm")
    tolerance = hole_upper_nm - hole_lower_nm
    upper = hole_upper_nm - _share_up(tolerance, 15)
    return upper - _share_up(tolerance, 35), upper


def _share_up(tolerance_nm: int, percent: int) -> int:
    """A share of a tolerance, up to a whole micrometre: whole numbers, so that 35 % of 20 um is 7 um and not 8."""
    return -(-tolerance_nm * percent // 100_000) * 1_000
