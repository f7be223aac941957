"""Guards of the module's edge: a number that is not finite or outside its range is refused by name."""

import math

from regrind.geometry.errors import Refused

LONGEST_MM = 10_000.0
_LEAST = 1e-6 * (1 - 1e-9)


def require_above_zero(field: str, value: float, unit: str = "mm", most: float = LONGEST_MM) -> None:
    """Refuse `value` unless 0 < value <= most, both in `unit`; NaN and infinity are refused too.

    Less than a millionth counts as 0 (a nanometre is the finest length that is kept), so that no quotient
    leaves the range of floats.
    Raises Refused naming `field` and the range. Source: none needed, a guard.

    >>> require_above_zero("radius_mm", 3.175)
    """
    if not _LEAST <= value <= most:
        raise Refused(field, f"must be above 0 and at most {most:g} {unit}".rstrip())


def require_within(field: str, value: float, low: float, high: float, unit: str = "mm") -> None:
    """Refuse `value` unless low <= value <= high, all in `unit`; NaN and infinity are refused too.

    Raises Refused naming `field` and the range. Source: none needed, a guard.

    >>> require_within("tir_mm", 0.01, 0.0, 1.0)
    """
    if not low <= value <= high:
        raise Refused(field, f"must be from {low:g} to {high:g} {unit}".rstrip())


def require_below(field: str, value: float, limit: float, limit_name: str, unit: str = "mm") -> None:
    """Refuse `value` unless its size is below `limit`, which the message calls `what`.

    Raises Refused naming `field`, the limit and what it is. Source: none needed, a guard.

    >>> require_below("removal_radial_mm", 0.05, 3.175, "the radius")
    """
    if not abs(value) < limit:
        raise Refused(field, f"must be smaller than {limit_name}, {limit:.6g} {unit}".rstrip())


def require_angle(field: str, value_rad: float, low_deg: float, high_deg: float) -> None:
    """Refuse an angle in radians unless low < angle < high, the bounds in degrees and themselves refused.

    Raises Refused naming `field` and the range. Source: none needed, a guard.

    >>> require_angle("helix_rad", math.radians(30), -90, 90)
    """
    if not math.radians(low_deg) < value_rad < math.radians(high_deg):
        raise Refused(field, f"must be between {low_deg:g} and {high_deg:g} degrees")


def require_whole(field: str, value: int, low: int, high: int) -> None:
    """Refuse `value` unless it is a whole number from low to high.

    Raises Refused naming `field` and the range. Source: none needed, a guard.

    >>> require_whole("teeth", 3, 2, 99)
    """
    if value != int(value) or not low <= value <= high:
        raise Refused(field, f"must be a whole number from {low} to {high}")
