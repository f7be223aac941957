"""Measuring across teeth: micrometer, V-anvil, and what flat anvils make of an odd number of teeth.

Radii are each tooth's own, in mm from the axis, in the order in which the teeth come round; teeth evenly
spaced. With unequal index none of this holds and the methods are refused: measure the swept diameter.
"""

import math
from collections.abc import Sequence
from typing import Literal

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_whole, require_within

Method = Literal["micrometer", "v-anvil", "swept"]
METHODS = ("micrometer", "v-anvil", "swept")
MOST_TEETH = 99


def check_method(method: str, teeth: int | None, *, unequal_index: bool = False) -> None:
    """Refuse a way of measuring that cannot give this tool's diameter; say nothing when it can.

    method: "micrometer" needs an even number of teeth, "v-anvil" an odd one from 3, both evenly spaced;
    "swept" (an indicator over each tooth against a gauge pin) fits every tool. teeth: 2 to 99, None where unknown.
    Raises Refused naming `teeth`, `unequal_index` or `method`.
    Source: no two teeth of an odd number stand opposite (common practice); a V-anvil's angle holds for
    evenly spaced teeth only.

    >>> check_method("micrometer", 4)
    """
    if teeth is not None:
        require_whole("teeth", teeth, 2, MOST_TEETH)
    if method not in METHODS:
        raise Refused("method", f"must be one of {', '.join(METHODS)}")
    if unequal_index and method != "swept":
        raise Refused("unequal_index", f"{method} needs evenly spaced teeth; must be swept, against a gauge pin")
    if teeth is None:
        return
    if method == "micrometer" and teeth % 2:
        raise Refused(
            "method",
            f"a plain micrometer needs an even number of teeth and cannot span {teeth}; must be v-anvil or swept",
        )
    if method == "v-anvil" and teeth % 2 == 0:
        raise Refused(
            "method", f"a V-anvil needs an odd number of teeth from 3, not {teeth}; must be micrometer or swept"
        )


def read_micrometer(radii_mm: Sequence[float]) -> float:
    """What a plain micrometer reads in mm over the largest pair of opposite teeth.

    radii_mm: an even number from 2 to 99, each above 0.
    Raises Refused naming `method` for an odd number, else the field and its range.
    Source: sum of two opposite radii.

    >>> read_micrometer([5.0, 4.75, 4.9, 4.9])
    9.9
    """
    check_method("micrometer", len(radii_mm))
    _require_radii(radii_mm)
    half = len(radii_mm) // 2
    return max(radii_mm[i] + radii_mm[i + half] for i in range(half))


def find_vee_angle(teeth: int) -> float:
    """The included angle in radians of the V-anvil for an odd number of teeth: 180 - 360/N degrees.

    teeth: odd, 3 to 99. Raises Refused naming `teeth` or `method`.
    Source: the V's faces are then square to the radii of the two teeth that touch them.

    >>> round(math.degrees(find_vee_angle(7)), 2)
    128.57
    """
    check_method("v-anvil", teeth)
    return math.pi - 2 * math.pi / teeth


def find_vee_height(radius_mm: float, teeth: int) -> float:
    """The height in mm from the V's apex to the top tooth: r (1 + 1/sin(half the angle)), teeth all alike.

    radius_mm: above 0. teeth: odd, 3 to 99. Raises Refused naming the field and its range.
    Source: right triangle of apex, axis and contact (docs/setup-notes.md); shared/13.

    >>> find_vee_height(5.0, 3)
    15.0
    """
    require_above_zero("radius_mm", radius_mm)
    return radius_mm * (1 + 1 / _half_sine(teeth))


def find_vee_diameter(height_mm: float, teeth: int) -> float:
    """The diameter in mm from the apex-to-top height of a V-anvil, the inverse of `find_vee_height`.

    height_mm: above 0. teeth: odd, 3 to 99. Raises Refused naming the field and its range.
    Source: as `find_vee_height`.

    >>> round(find_vee_diameter(15.0, 3), 6)
    10.0
    """
    require_above_zero("height_mm", height_mm)
    return 2 * height_mm / (1 + 1 / _half_sine(teeth))


def read_vee(radii_mm: Sequence[float], top: int) -> float:
    """The diameter in mm that a V-anvil's scale shows with tooth number `top` uppermost.

    radii_mm: odd count, each above 0. top: from 1 to the number of teeth. For three teeth every reading is
    twice the mean radius, whichever tooth is on top.
    Raises Refused naming the field and its range.
    Source: 2 [r_k + (r_a + r_b)/(2 sin phi)] / (1 + 1/sin phi), with a and b the two teeth opposite k
    (docs/setup-notes.md).

    >>> round(read_vee([5.01, 5.0, 5.0], 1), 4)
    10.0067
    """
    teeth = len(radii_mm)
    sine = _half_sine(teeth)
    _require_radii(radii_mm)
    require_whole("top", top, 1, teeth)
    across = [radii_mm[(top - 1 + step) % teeth] for step in (teeth // 2, teeth // 2 + 1)]
    return 2 * (radii_mm[top - 1] + sum(across) / (2 * sine)) / (1 + 1 / sine)


def find_swept_diameter(vee_mean_mm: float, heights_mm: Sequence[float]) -> float:
    """The diameter in mm that the highest tooth sweeps, from a V-anvil's mean reading and teeth's heights.

    vee_mean_mm: for three teeth any reading, for five and more the mean with each tooth once on top.
    heights_mm: as indicated, the highest tooth 0, the others below 0; odd count.
    Raises Refused naming the field and its range.
    Source: the mean reading is twice the mean radius, so r_max = D/2 - mean(h) (docs/setup-notes.md).

    >>> round(find_swept_diameter(10.0067, [0.0, -0.01, -0.01]), 3)
    10.02
    """
    check_method("v-anvil", len(heights_mm))
    require_above_zero("vee_mean_mm", vee_mean_mm)
    for height in heights_mm:
        require_within("heights_mm", height, -vee_mean_mm / 4, 0)
    if max(heights_mm) < 0:
        raise Refused("heights_mm", "must count from the highest tooth: one of them is 0")
    return vee_mean_mm - 2 * math.fsum(heights_mm) / len(heights_mm)


def find_flat_anvil_range(diameter_mm: float, teeth: int) -> tuple[float, float]:
    """The least and the most in mm that flat anvils read over an odd number of teeth, as the tool is turned.

    diameter_mm: above 0. teeth: odd, 3 to 99. Both are less than the diameter: a plain micrometer cannot
    span it.
    Raises Refused naming the field and its range.
    Source: width of the regular polygon of the tips, D (1 + cos(pi/N))/2 to D cos(pi/(2 N)); shared/13.

    >>> [round(reading, 3) for reading in find_flat_anvil_range(10.0, 3)]
    [7.5, 8.66]
    """
    require_above_zero("diameter_mm", diameter_mm)
    check_method("v-anvil", teeth)
    return (diameter_mm * (1 + math.cos(math.pi / teeth)) / 2, diameter_mm * math.cos(math.pi / (2 * teeth)))


def _half_sine(teeth: int) -> float:
    return math.sin(find_vee_angle(teeth) / 2)


def _require_radii(radii_mm: Sequence[float]) -> None:
    for radius in radii_mm:
        require_above_zero("radii_mm", radius)
