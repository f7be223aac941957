"""A length measured on a photo: the scale from something of known size, and how sure the result is.

Points are pixels of the photo, lengths millimetres. What is measured must lie in the plane of what gives the scale
and square to the view: a tilt by an angle shortens it by its cosine (1.5 % at 10 degrees), which no pixel shows.
"""

import math
from dataclasses import dataclass

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import LONGEST_MM, require_above_zero, require_within

LEAST_SCALE_PX = 50.0  # common practice: a shorter scale makes one pixel more than 2 % of the result
MOST_PX = 100_000.0


@dataclass(frozen=True, slots=True)
class Taps:
    """Two points of a photo, (x1, y1) and (x2, y2), in its pixels."""

    x1: float
    y1: float
    x2: float
    y2: float

    @property
    def length_px(self) -> float:
        """How far they lie apart, in pixels. Source: Pythagoras."""
        return math.hypot(self.x2 - self.x1, self.y2 - self.y1)


@dataclass(frozen=True, slots=True)
class PhotoLength:
    """A length with its standard uncertainty, both in mm, and the size of a pixel in mm."""

    length_mm: float
    standard_uncertainty_mm: float
    pixel_mm: float

    @property
    def expanded_uncertainty_mm(self) -> float:
        """The uncertainty at k = 2."""
        return 2 * self.standard_uncertainty_mm


def measure_on_photo(
    scale: Taps, known_mm: float, known_uncertainty_mm: float, wanted: Taps, tap_off_px: float
) -> PhotoLength:
    """The length between the taps `wanted`, in mm: l = d K / s.

    scale: the taps on something `known_mm` long, 0 to 10 m, with its standard uncertainty, 0 up to a tenth of it.
    tap_off_px: how far a tap may be off, 0 to 100 px, anywhere within that alike: a / sqrt(3) each, and a distance has
    two ends. The relative variances of d, K and s add up.
    Raises Refused where the scale is shorter than 50 px, the wanted taps coincide, or a value leaves its range.
    Source: JCGM 100:2008, 4.3.7 (a rectangular distribution) and 5.1.6 (relative variances of a product).

    >>> found = measure_on_photo(Taps(0, 0, 800, 0), 8.0, 0.004, Taps(0, 0, 0, 12), 2.0)
    >>> f"{found.length_mm:.3f} {found.standard_uncertainty_mm:.4f}"
    '0.120 0.0163'
    """
    require_above_zero("known_mm", known_mm)
    require_within("known_uncertainty_mm", known_uncertainty_mm, 0.0, known_mm / 10)
    require_within("tap_off_px", tap_off_px, 0.0, 100.0, "px")
    for taps in (scale, wanted):
        for name in ("x1", "y1", "x2", "y2"):
            require_within(name, getattr(taps, name), 0.0, MOST_PX, "px")
    if scale.length_px < LEAST_SCALE_PX:
        raise Refused("scale", f"must be at least {LEAST_SCALE_PX:g} px long, and is {scale.length_px:.0f}")
    if wanted.length_px < 1:
        raise Refused("wanted", "must be at least 1 px long")
    length_mm = wanted.length_px * known_mm / scale.length_px
    require_above_zero("length_mm", length_mm, most=LONGEST_MM)
    distance_px = tap_off_px * math.sqrt(2 / 3)
    relative = math.hypot(
        distance_px / wanted.length_px, known_uncertainty_mm / known_mm, distance_px / scale.length_px
    )
    return PhotoLength(length_mm, length_mm * relative, known_mm / scale.length_px)
