"""Wheel speed, its marked maximum, which abrasive for which work, and the wheel's trued runout.

A computed speed is never a permission: what the wheel is marked with and the machine's own limits rule.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_within
from regrind.geometry.tables import rows

Abrasive = Literal["diamond", "CBN"]
Mode = Literal["wet", "dry"]
Warned = Literal["diamond_on_steel", "cbn_on_carbide"]

_MOST_RPM = 500_000.0
_MOST_M_S = 500.0
_STEELS = ("HSS", "HSS-Co", "tool steel")


@dataclass(frozen=True, slots=True)
class SpeedBand:
    """A recommended range of surface speed, who recommends it and for what."""

    low_m_s: float
    high_m_s: float
    work: str
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class TruedRunout:
    """Four opposed readings taken apart: total, the sideways offset and its direction, and what is left."""

    total_mm: float
    offset_mm: float
    offset_direction_rad: float
    unround_mm: float


def find_surface_speed(wheel_diameter_mm: float, rpm: float) -> float:
    """The surface speed in m/s of a wheel at `rpm`: pi D n.

    wheel_diameter_mm: above 0. rpm: 0 or more. Raises Refused naming the field and its range.
    Source: speed on a circle; shared/15b.

    >>> round(find_surface_speed(100.0, 3437.75), 2)
    18.0
    """
    require_above_zero("wheel_diameter_mm", wheel_diameter_mm)
    require_within("rpm", rpm, 0, _MOST_RPM, "rpm")
    return math.pi * wheel_diameter_mm * rpm / 60_000


def find_rpm(wheel_diameter_mm: float, surface_speed_m_s: float, marked_max_rpm: float) -> float:
    """The spindle speed in rpm for a surface speed, refused where the wheel's marking does not allow it.

    wheel_diameter_mm, surface_speed_m_s: above 0. marked_max_rpm: what the wheel is marked with, or
    `find_marked_rpm`'s answer; there is no default, a wheel without a marking has no speed.
    A speed given back is within the marking and no more than that: machine, flanges and guard have limits
    of their own.
    Raises Refused naming `surface_speed_m_s` and the highest speed that the marking allows.
    Source: n = v/(pi D), shared/15b; the marked maximum rules, shared/16 (29 CFR 1910.243(c)(5) and others).

    >>> round(find_rpm(100.0, 18.0, 4000.0))
    3438
    """
    require_above_zero("wheel_diameter_mm", wheel_diameter_mm)
    require_above_zero("surface_speed_m_s", surface_speed_m_s, "m/s", _MOST_M_S)
    require_above_zero("marked_max_rpm", marked_max_rpm, "rpm", _MOST_RPM)
    rpm = 60_000 * surface_speed_m_s / (math.pi * wheel_diameter_mm)
    if rpm > marked_max_rpm:
        most = find_surface_speed(wheel_diameter_mm, marked_max_rpm)
        raise Refused(
            "surface_speed_m_s",
            f"would need {rpm:.0f} rpm; this wheel is marked {marked_max_rpm:g} rpm at most, {most:.4g} m/s",
        )
    return rpm


def check_rpm(rpm: float, marked_max_rpm: float) -> None:
    """Refuse a spindle speed above the wheel's marked maximum; say nothing when it is within.

    rpm, marked_max_rpm: above 0. Silence is no permission: it says only that the marking is kept.
    Raises Refused naming `rpm` and the marked maximum. Source: shared/16, as `find_rpm`.

    >>> check_rpm(3400.0, 4000.0)
    """
    require_above_zero("marked_max_rpm", marked_max_rpm, "rpm", _MOST_RPM)
    if not 0 < rpm <= marked_max_rpm:
        raise Refused("rpm", f"must be above 0 and at most the marked maximum, {marked_max_rpm:g} rpm")


def find_marked_rpm(
    diameter_new_mm: float, *, marked_rpm: float | None = None, marked_m_s: float | None = None
) -> float:
    """The highest spindle speed in rpm that a wheel's markings allow, whichever of the two is lower.

    diameter_new_mm: the wheel's diameter as new, above 0; a worn wheel is not given more. marked_rpm,
    marked_m_s: as marked; one of them is required.
    Raises Refused naming the field; `marked_rpm` where neither marking is given.
    Source: superabrasive wheels are marked in rpm and m/s (EN 13236, shared/16).

    >>> round(find_marked_rpm(100.0, marked_rpm=7000, marked_m_s=35))
    6685
    """
    require_above_zero("diameter_new_mm", diameter_new_mm)
    allowed = []
    if marked_rpm is not None:
        require_above_zero("marked_rpm", marked_rpm, "rpm", _MOST_RPM)
        allowed.append(marked_rpm)
    if marked_m_s is not None:
        require_above_zero("marked_m_s", marked_m_s, "m/s", _MOST_M_S)
        allowed.append(60_000 * marked_m_s / (math.pi * diameter_new_mm))
    if not allowed:
        raise Refused("marked_rpm", "is required, above 0 rpm: a wheel without a marked maximum is not run")
    return min(allowed)


def recommend_speed(abrasive: Abrasive, mode: Mode) -> SpeedBand:
    """The recommended surface speed of an abrasive, wet or dry, on the work it is for.

    abrasive: "diamond" (carbide) or "CBN" (high-speed steel). mode: "wet" or "dry". A recommendation, below
    the marked maximum or not.
    Raises Refused naming `abrasive` or `mode`. Source: shared/15_wheel_speed_recommended.csv.

    >>> band = recommend_speed("diamond", "wet")
    >>> band.low_m_s, band.high_m_s, band.work
    (20.0, 30.0, 'carbide')
    """
    _require_abrasive(abrasive)
    if mode not in ("wet", "dry"):
        raise Refused("mode", "must be wet or dry")
    for row in rows("15_wheel_speed_recommended"):
        if (row["abrasive"], row["mode"]) == (abrasive, mode):
            low, high = float(row["low_m_s"]), float(row["high_m_s"])
            return SpeedBand(low, high, row["work"], row["source"], row["confidence"])
    raise Refused("mode", f"has no recommended speed for {abrasive}")


def warn_of_abrasive(abrasive: Abrasive, material: str) -> Warned | None:
    """The code of a warning where the abrasive is the wrong one for the tool's material, else None.

    material: "carbide", "HSS", "HSS-Co" or "tool steel", in any case; of any other nothing is said.
    Raises Refused naming `abrasive`.
    Source: diamond for carbide, CBN for high-speed steel (common practice; shared/15 pairs them so).

    >>> warn_of_abrasive("diamond", "HSS")
    'diamond_on_steel'
    """
    _require_abrasive(abrasive)
    work = material.strip().casefold()
    if abrasive == "diamond" and work in (steel.casefold() for steel in _STEELS):
        return "diamond_on_steel"
    return "cbn_on_carbide" if abrasive == "CBN" and work == "carbide" else None


def read_trued_runout(readings_mm: Sequence[float]) -> TruedRunout:
    """A trued wheel's runout from indicator readings at four opposed marks, in order round the wheel.

    readings_mm: four, any common zero. `total_mm` is highest less lowest of the four; `offset_mm` how far
    the wheel's centre stands off the spindle's axis, in `offset_direction_rad` from the first mark towards
    the second; `unround_mm` what an offset does not explain.
    Raises Refused naming `readings_mm`.
    Source: readings c + e cos(theta - phi) at 0, 90, 180, 270 degrees (docs/setup-notes.md); four opposed
    marks are common practice.

    >>> wheel = read_trued_runout([0.005, 0.0, -0.005, 0.0])
    >>> wheel.total_mm, wheel.offset_mm, wheel.unround_mm
    (0.01, 0.005, 0.0)
    """
    if len(readings_mm) != 4:
        raise Refused("readings_mm", "must be four readings, at opposed marks round the wheel")
    for reading in readings_mm:
        require_within("readings_mm", reading, -10, 10)
    first, second, third, fourth = readings_mm
    along, across = (first - third) / 2, (second - fourth) / 2
    unround = abs(first + third - second - fourth) / 4
    total = max(readings_mm) - min(readings_mm)
    return TruedRunout(total, math.hypot(along, across), math.atan2(across, along), unround)


def _require_abrasive(abrasive: str) -> None:
    if abrasive not in ("diamond", "CBN"):
        raise Refused("abrasive", "must be diamond or CBN")
