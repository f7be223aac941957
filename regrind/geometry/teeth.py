"""How the teeth stand on the grinding axis, from readings per tooth or from one total indicator reading."""

from collections.abc import Mapping
from dataclasses import dataclass

from regrind.geometry.inputs import Measured, Method
from regrind.geometry.units import NM_PER_MM


@dataclass(frozen=True, slots=True)
class ToothRadii:
    """One way the teeth may stand: radii in mm about the grinding axis.

    `count`: of teeth. `radii_mm` is None where only a total reading is known: then some tooth stands at `low_mm`,
    some other at `high_mm`. `tops` are the teeth (from 0) that are highest, `pairs` the opposite pairs a micrometer
    spans at its largest reading: several where they tie, for the uncertainty. `read` is false where all teeth are
    taken as alike, so that no reading carries an uncertainty.
    """

    method: Method
    count: int
    low_mm: float
    high_mm: float
    radii_mm: tuple[float, ...] | None
    tops: tuple[int, ...] = ()
    pairs: tuple[tuple[int, int], ...] = ()
    read: bool = False


def find_tooth_radii(measured: Measured, teeth: int) -> tuple[ToothRadii, ToothRadii]:
    """The lowest and the highest way the teeth may stand (one and the same where each tooth was read).

    measured: lengths in whole nm, the method fitting the number of teeth (`case.read` sees to that).
    Source: the mean of V-anvil readings and the pair of micrometer readings, derived in the notes.

    >>> low, high = find_tooth_radii(Measured(10_006_667, "v-anvil", (0, -10_000, -10_000)), 3)
    >>> round(2 * low.high_mm, 4), low == high
    (10.02, True)
    """
    if measured.tir_nm is not None:
        return _stand_by_total(measured, measured.tir_nm, teeth)
    radii = _stand_by_readings(measured, measured.tooth_readings_nm or (0,) * teeth)
    return radii, radii


def _stand_by_readings(measured: Measured, readings: tuple[int, ...]) -> ToothRadii:
    """r_i = r_0 + h_i, with whole numbers up to one last division."""
    teeth = len(readings)
    over, under, pairs = _datum(measured, readings)
    radii = tuple((over + under * reading) / (under * NM_PER_MM) for reading in readings)
    top = max(readings)
    tops = tuple(tooth for tooth, reading in enumerate(readings) if reading == top)
    read = measured.tooth_readings_nm is not None
    return ToothRadii(measured.method, teeth, min(radii), max(radii), radii, tops, pairs, read)


def _datum(measured: Measured, readings: tuple[int, ...]) -> tuple[int, int, tuple[tuple[int, int], ...]]:
    """r_0 as an exact fraction in nm, and the pairs that the micrometer may have spanned."""
    diameter, teeth = measured.diameter_nm, len(readings)
    if measured.method == "swept":
        return diameter - 2 * max(readings), 2, ()
    if measured.method == "v-anvil":
        return diameter * teeth - 2 * sum(readings), 2 * teeth, ()
    half = teeth // 2
    sums = [readings[tooth] + readings[tooth + half] for tooth in range(half)]
    most = max(sums)
    return diameter - most, 2, tuple((tooth, tooth + half) for tooth in range(half) if sums[tooth] == most)


def _stand_by_total(measured: Measured, tir: int, teeth: int) -> tuple[ToothRadii, ToothRadii]:
    """r_high = r_low + t, r_low anywhere between two bounds that depend on the method (in units of t)."""
    least, most, under = _low_tooth_bounds(measured.method, teeth)
    lows = [(measured.diameter_nm * under - 2 * part * tir) / (2 * under * NM_PER_MM) for part in (least, most)]
    rise = tir / NM_PER_MM
    low, high = (ToothRadii(measured.method, teeth, bound, bound + rise, None) for bound in lows)
    return low, high


def _low_tooth_bounds(method: Method, teeth: int) -> tuple[int, int, int]:
    """How far the lowest tooth stands below D/2, at most and at least, as numerators over one denominator."""
    if method == "swept":
        return 1, 1, 1
    if method == "v-anvil":
        return teeth - 1, 1, teeth
    return (1, 1, 2) if teeth == 2 else (2, 1, 2)


def vary_by_readings(radii: ToothRadii, by_high: float, by_tooth: Mapping[int | None, float]) -> float:
    """Sum of squared partial derivatives (mm per mm) by every tooth's reading, the highest tooth's 0 included.

    by_high: how the answer follows the highest tooth's radius; by_tooth: that of single teeth (from 0).
    Where several teeth are highest or several pairs largest, the choice that gives most is taken.
    Source: r_i = D/2 + h_i - datum, the datum being the highest, the mean or half a pair's sum.

    >>> low, _ = find_tooth_radii(Measured(10_000_000, "swept", (0, -10_000)), 2)
    >>> vary_by_readings(low, 0.0, {1: 1.0})
    2.0
    """
    slopes = {tooth: slope for tooth, slope in by_tooth.items() if tooth is not None and slope}
    if not radii.read or not (by_high or slopes):
        return 0.0
    if radii.method == "v-anvil":
        return max(_square_by_mean(radii.count, by_high, slopes, top) for top in _few_tops(radii, slopes, ()))
    pairs = _few_pairs(radii, slopes) if radii.method == "micrometer" else [None]
    return max(
        _square_by_datum(by_high, slopes, top, pair) for pair in pairs for top in _few_tops(radii, slopes, pair or ())
    )


def _few_pairs(radii: ToothRadii, slopes: Mapping[int, float]) -> list[tuple[int, int] | None]:
    """Largest pairs that differ in what they hold: teeth the answer follows, another highest tooth or none."""
    others = set(radii.tops) - set(slopes)
    return list(
        {
            (tuple(tooth for tooth in pair if tooth in slopes), not others.isdisjoint(pair)): pair
            for pair in radii.pairs
        }.values()
    )


def _few_tops(radii: ToothRadii, slopes: Mapping[int, float], pair: tuple[int, ...]) -> list[int]:
    """Highest teeth that stand differently to the teeth that the answer follows and to the pair."""
    return list({(top if top in slopes else None, top in pair): top for top in radii.tops}.values())


def _square_by_mean(teeth: int, by_high: float, slopes: Mapping[int, float], top: int) -> float:
    full = dict(slopes)
    full[top] = full.get(top, 0.0) + by_high
    return sum(slope**2 for slope in full.values()) - sum(full.values()) ** 2 / teeth


def _square_by_datum(by_high: float, slopes: Mapping[int, float], top: int, pair: tuple[int, int] | None) -> float:
    """The datum is half the pair's sum, or the highest tooth's reading where there is no pair."""
    full, whole = dict(slopes), by_high + sum(slopes.values())
    full[top] = full.get(top, 0.0) + by_high
    for tooth in pair or (top, top):
        full[tooth] = full.get(tooth, 0.0) - whole / 2
    return sum(slope**2 for slope in full.values())
