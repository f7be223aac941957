"""The stylus on a helix: it stands beside the wheel, and on the way from one to the other the edge turns.

The stylus stands `lag_distance_mm` (e) towards the shank from the wheel's contact, so that the tool is still
held when the wheel runs off its end. Along e the edge turns by e tan(helix)/r, the same at every radius
since the lead stays. Where hand of helix and hand of cut agree (the usual tool) the edge stands higher at
the stylus than under the wheel; where they differ, lower. Heights, sides and hands are as in `setup`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_angle, require_within
from regrind.geometry.setup import find_relief_at_rest, find_rest_below

Hand = Literal["right", "left"]


@dataclass(frozen=True, slots=True)
class StylusSetup:
    """Where the stylus tip belongs, and what it costs to leave the lag out or to mistake the distance."""

    lag_rad: float
    tip_below_mm: float
    tip_below_ignoring_lag_mm: float
    relief_ignoring_lag_rad: float
    relief_per_distance_rad_mm: float


@dataclass(frozen=True, slots=True)
class SetupUncertainty:
    """The ground relief's standard uncertainty in radians, in all and by each input."""

    relief_rad: float
    by_tip_height_rad: float
    by_lag_distance_rad: float
    by_radius_rad: float
    by_helix_rad: float

    @property
    def expanded_rad(self) -> float:
        """The uncertainty at k = 2."""
        return 2 * self.relief_rad

    @property
    def decided_by(self) -> str | None:
        """The input that brings more than half of the variance: measuring another first would hardly help.

        One of "tip_height", "lag_distance", "radius", "helix", or None where none does.
        """
        parts = {
            "tip_height": self.by_tip_height_rad,
            "lag_distance": self.by_lag_distance_rad,
            "radius": self.by_radius_rad,
            "helix": self.by_helix_rad,
        }
        name = max(parts, key=lambda key: parts[key])
        return name if 2 * parts[name] ** 2 > self.relief_rad**2 else None


def hands_agree(hand_of_cut: Hand, hand_of_helix: Hand) -> bool:
    """Whether the edge stands higher at the stylus than under the wheel: hand of helix = hand of cut.

    Raises Refused for anything but "right" and "left". Source: helix geometry (docs/setup-notes.md).

    >>> hands_agree("left", "left")
    True
    """
    for field, hand in (("hand_of_cut", hand_of_cut), ("hand_of_helix", hand_of_helix)):
        if hand not in ("right", "left"):
            raise Refused(field, "must be right or left")
    return hand_of_cut == hand_of_helix


def find_lag_distance(gap_mm: float, wheel_width_mm: float, stylus_width_mm: float, *, agree: bool) -> float:
    """The distance e in mm between the wheel's contact and the stylus' contact, along the tool's axis.

    gap_mm: the clear distance from the wheel's corner nearest the shank to the stylus' corner nearest the
    wheel, 0 or more. wheel_width_mm, stylus_width_mm: of the faces that touch, 0 or more. agree: of the
    hands. Where they agree e is the gap; where they differ it runs from the wheel's far corner to the
    stylus' far corner.
    Raises Refused naming the field and its range.
    Source: the wheel's corner of least relief is the one that cuts the edge itself, and the lowest point of
    a sloping edge bears on the stylus (docs/setup-notes.md).

    >>> find_lag_distance(1.5, 1.0, 0.75, agree=True), find_lag_distance(1.5, 1.0, 0.75, agree=False)
    (1.5, 3.25)
    """
    for field, value in (("gap_mm", gap_mm), ("wheel_width_mm", wheel_width_mm), ("stylus_width_mm", stylus_width_mm)):
        require_within(field, value, 0, 1000)
    return gap_mm if agree else gap_mm + wheel_width_mm + stylus_width_mm


def find_lag(radius_mm: float, helix_rad: float, distance_mm: float) -> float:
    """The angle in radians by which an edge turns along `distance_mm` of axis: e tan(helix)/r = 2 pi e/lead.

    radius_mm: where the helix angle is measured, above 0. helix_rad: 0 up to 90 degrees. distance_mm: 0 or
    more; the angle may exceed a turn. Also the error of relief that a wheel of that width makes when the
    other of its corners is taken.
    Raises Refused naming the field and its range. Source: definition of the helix.

    >>> round(math.degrees(find_lag(3.175, math.radians(30), 1.5)), 2)
    15.63
    """
    require_above_zero("radius_mm", radius_mm)
    require_angle("helix_rad", helix_rad, -1e-9, 89)
    require_within("distance_mm", distance_mm, 0, 1000)
    return distance_mm * math.tan(helix_rad) / radius_mm


def set_stylus(
    radius_mm: float, relief_rad: float, helix_rad: float, lag_distance_mm: float, *, agree: bool
) -> StylusSetup:
    """The stylus' tip height for a cup wheel or a wheel's corner, and the effect of ignoring the lag.

    Arguments as `find_rest_below` and `find_lag`; agree: of the hands. `tip_below_mm` is
    r sin(relief - s lag), s = 1 where the hands agree and -1 where they differ; negative is above centre.
    `relief_ignoring_lag_rad` is what a tip at r sin(relief) would grind (negative: the heel rubs).
    `relief_per_distance_rad_mm` is d relief/d e at a fixed tip.
    Raises Refused naming the field and its range; `lag_distance_mm` where relief and lag together leave
    -90 to 90 degrees, since the tip could then not carry the edge.
    Source: a 3-D helix cut by the wheel's plane (docs/setup-notes.md).

    >>> usual = set_stylus(3.175, math.radians(12), math.radians(30), 1.5, agree=True)
    >>> round(usual.tip_below_mm, 3), round(math.degrees(usual.relief_ignoring_lag_rad), 1)
    (-0.201, 27.6)
    """
    ignoring_mm = find_rest_below(radius_mm, relief_rad)
    sign = 1 if agree else -1
    lag_rad = find_lag(radius_mm, helix_rad, lag_distance_mm)
    if not abs(relief_rad - sign * lag_rad) < math.pi / 2:
        longest = _longest_mm(radius_mm, relief_rad, helix_rad, sign)
        raise Refused("lag_distance_mm", f"must be below {longest:.6g} mm, where the edge leaves the stylus")
    return StylusSetup(
        lag_rad,
        radius_mm * math.sin(relief_rad - sign * lag_rad),
        ignoring_mm,
        relief_rad + sign * lag_rad,
        sign * math.tan(helix_rad) / radius_mm,
    )


def find_ground_relief(radius_mm: float, tip_below_mm: float, lag_rad: float, *, agree: bool) -> float:
    """The relief in radians that a cup wheel grinds with the stylus' tip at this height: asin(h/r) + s lag.

    radius_mm: of the edge as ground, above 0. tip_below_mm: smaller than it, negative above centre.
    lag_rad: from `find_lag`, 0 or more. agree: of the hands.
    Raises Refused naming the field and its range. Source: the inverse of `set_stylus`.

    >>> round(math.degrees(find_ground_relief(3.175, -0.2010, 0.27277, agree=True)), 1)
    12.0
    """
    require_within("lag_rad", lag_rad, 0, 100 * math.pi, "rad")
    return find_relief_at_rest(radius_mm, tip_below_mm) + (lag_rad if agree else -lag_rad)


def find_drifted_relief(
    radius_before_mm: float, radius_after_mm: float, relief_rad: float, lag_rad: float, *, agree: bool
) -> float:
    """The relief in radians after the tool shrank with the stylus left where it was: asin(h/x) + s lag.

    radius_before_mm: for which the tip was set to give `relief_rad`. radius_after_mm: above 0; the lag is
    the same at both, since the lead stays. Without a helix the lag is 0 and the relief grows.
    Raises Refused naming `radius_after_mm` where the edge would no longer reach down to the tip.
    Source: `set_stylus` at the old radius, `find_ground_relief` at the new one.

    >>> round(math.degrees(find_drifted_relief(3.175, 2.921, math.radians(12), 0.27277, agree=True)), 2)
    11.68
    """
    require_above_zero("radius_after_mm", radius_after_mm)
    held_rad = relief_rad - (lag_rad if agree else -lag_rad)
    require_angle("relief_rad", relief_rad, -90, 90)
    require_angle("lag_rad", held_rad, -90, 90)
    tip_below_mm = find_rest_below(radius_before_mm, held_rad)
    if not abs(tip_below_mm) < radius_after_mm:
        raise Refused("radius_after_mm", f"must be above the tip's height, {abs(tip_below_mm):.6g} mm")
    return find_ground_relief(radius_after_mm, tip_below_mm, lag_rad, agree=agree)


def find_setup_uncertainty(
    radius_mm: float,
    tip_below_mm: float,
    helix_rad: float,
    lag_distance_mm: float,
    *,
    agree: bool,
    tip_u_mm: float,
    lag_distance_u_mm: float,
    radius_u_mm: float,
    helix_u_rad: float,
) -> SetupUncertainty:
    """How sure the ground relief is, from the standard uncertainties (k = 1, 0 or more) of all that it hangs on.

    None has a default: one that is left out would be taken as exact. A helix that was assumed brings its own
    spread (`land.find_helix_spread` carries it to the radius after). Others as `set_stylus`. On a small tool e
    dominates while the helix is known: tan(helix)/r is 10.4 degrees per mm at 6.35 mm and 30 degrees.
    Raises Refused naming the field and its range.
    Source: partial derivatives of asin(h/r) + s e tan(helix)/r, root sum of squares (JCGM 100:2008, 5.1.2).

    >>> helix = math.radians(30)
    >>> known = {"tip_u_mm": 0.0, "lag_distance_u_mm": 0.05, "radius_u_mm": 0.0, "helix_u_rad": 0.0}
    >>> sure = find_setup_uncertainty(3.175, -0.201, helix, 1.5, agree=True, **known)
    >>> round(math.degrees(sure.relief_rad), 2), sure.decided_by
    (0.52, 'lag_distance')
    """
    find_ground_relief(radius_mm, tip_below_mm, find_lag(radius_mm, helix_rad, lag_distance_mm), agree=agree)
    _check_uncertainties(radius_mm, tip_u_mm, lag_distance_u_mm, radius_u_mm, helix_u_rad)
    slope, sign = math.tan(helix_rad), 1 if agree else -1
    by_tip = 1 / math.sqrt((radius_mm - tip_below_mm) * (radius_mm + tip_below_mm))
    by_radius = -by_tip * tip_below_mm / radius_mm - sign * lag_distance_mm * slope / radius_mm**2
    by_helix = lag_distance_mm * (1 + slope * slope) / radius_mm
    parts = (
        by_tip * tip_u_mm,
        slope / radius_mm * lag_distance_u_mm,
        abs(by_radius) * radius_u_mm,
        by_helix * helix_u_rad,
    )
    return SetupUncertainty(math.hypot(*parts), *parts)


def _check_uncertainties(
    radius_mm: float, tip_u_mm: float, lag_distance_u_mm: float, radius_u_mm: float, helix_u_rad: float
) -> None:
    require_within("tip_u_mm", tip_u_mm, 0, 1000)
    require_within("lag_distance_u_mm", lag_distance_u_mm, 0, 1000)
    require_within("radius_u_mm", radius_u_mm, 0, radius_mm)
    require_within("helix_u_rad", helix_u_rad, 0, math.pi / 2, "rad")


def set_stylus_per_tooth(
    radius_mm: float, relief_rad: float, helices_rad: Sequence[float], lag_distance_mm: float, *, agree: bool
) -> list[StylusSetup]:
    """A variable-helix tool's stylus settings, tooth by tooth in the order given: each has its own lag.

    helices_rad: one angle per tooth, each as in `set_stylus`. Where one tip height must serve all, take
    `find_ground_relief` with each tooth's lag to see what relief each gets.
    Raises Refused as `set_stylus`. Source: as `set_stylus`.

    >>> helices = [math.radians(35), math.radians(38)]
    >>> each = set_stylus_per_tooth(3.175, math.radians(12), helices, 1.5, agree=True)
    >>> [round(tooth.tip_below_mm, 3) for tooth in each]
    [-0.384, -0.505]
    """
    return [set_stylus(radius_mm, relief_rad, helix, lag_distance_mm, agree=agree) for helix in helices_rad]


def needs_mirrored_setup(hand_of_cut: Hand) -> bool:
    """Whether the tool needs the mirrored set-up: a left-hand-cut tool's face looks up in the usual one.

    Unmirrored the stylus could not carry the tooth; mirrored, all heights are the same numbers.
    Raises Refused for anything but "right" and "left". Source: symmetry of the section.

    >>> needs_mirrored_setup("left")
    True
    """
    return not hands_agree(hand_of_cut, "right")


def _longest_mm(radius_mm: float, relief_rad: float, helix_rad: float, sign: int) -> float:
    return (math.pi / 2 + sign * relief_rad) * radius_mm / math.tan(helix_rad)
