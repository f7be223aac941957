"""The transverse section: how the flute face runs inward from the edge, and what that makes of the rake.

The face is one concave arc, held by a point that it passes (the anchor), its rake there, and half its
curvature k = 1/(2 rho), which is 0 for a straight face. With the arc's centre at distance a from the axis,
sin(rake at x) = (x^2 + rho^2 - a^2) / (2 x rho) becomes (k (x^2 - r^2) + r sin(rake)) / x: no large numbers
cancel, and straight faces need no second formula.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Face:
    """The face of a flute. Lengths in mm, all radial; `half_curvature` in 1/mm; `sin_rake` at the anchor, a bare
    number.

    `assumed` says that the curvature was made to touch the core circle. `anchor_moves` says that the anchor
    is the highest tooth's edge as measured (and not the nominal diameter of a catalogue).
    """

    anchor_mm: float
    sin_rake: float
    half_curvature: float
    core_mm: float
    assumed: bool
    anchor_moves: bool


@dataclass(frozen=True, slots=True)
class RakeSlopes:
    """How the rake at a radius follows that radius, the anchor's and the core's (`by_radius`, `by_anchor`, `by_core`:
    rad/mm) and the anchor's rake (`by_rake`: rad/rad)."""

    by_radius: float
    by_anchor: float
    by_core: float
    by_rake: float


def shape_face(
    anchor_mm: float, rake_rad: float, core_mm: float, arc_radius_mm: float | None, *, anchor_moves: bool = True
) -> Face:
    """The face through radius `anchor_mm` with `rake_rad` there.

    core_mm: radius of the core, above 0 and below the anchor's. arc_radius_mm: measured, or None for the arc
    that touches the core circle, rho = (r^2 - r_c^2) / (2 (r_c + r sin rake)); where the bracket is not
    positive the face is taken as straight.
    Source: tangent circles, derived in the notes; shared/19_rake_after_od_regrind.csv agrees.

    >>> face = shape_face(3.175, math.radians(8), 1.905, None)
    >>> round(0.5 / face.half_curvature, 4)
    1.3745
    """
    sine = math.sin(rake_rad)
    if arc_radius_mm is None:
        half = max(0.0, core_mm + anchor_mm * sine) / ((anchor_mm - core_mm) * (anchor_mm + core_mm))
    else:
        half = 0.5 / arc_radius_mm
    return Face(anchor_mm, sine, half, core_mm, arc_radius_mm is None, anchor_moves)


def find_rake(face: Face, radius_mm: float) -> float | None:
    """Rake in rad where the face passes `radius_mm` (above 0); None where it does not reach that radius.

    Source: derived in the notes (the face).

    >>> face = shape_face(3.175, math.radians(8), 1.905, None)
    >>> [round(math.degrees(find_rake(face, d / 2)), 3) for d in (6.096, 5.842)]
    [2.903, -2.381]
    """
    sine = _sine(face, radius_mm)
    return math.asin(sine) if abs(sine) <= 1 else None


def find_rake_slopes(face: Face, radius_mm: float) -> RakeSlopes:
    """Partial derivatives of `find_rake`; all 0 where the face does not reach the radius or only touches it.

    Source: derived in the notes (the face).

    >>> face = shape_face(3.175, math.radians(8), 1.905, None)
    >>> round(find_rake_slopes(face, 3.175).by_rake, 9)
    1.0
    """
    x, r, k, sine = radius_mm, face.anchor_mm, face.half_curvature, _sine(face, radius_mm)
    if abs(sine) >= 1:
        return RakeSlopes(0.0, 0.0, 0.0, 0.0)
    by_k, k_by_anchor, k_by_core, k_by_sine = (x - r) * (x + r) / x, 0.0, 0.0, 0.0
    if face.assumed and k > 0:
        between = (r - face.core_mm) * (r + face.core_mm)
        k_by_anchor = (face.sin_rake - 2 * r * k) / between
        k_by_core, k_by_sine = (1 + 2 * face.core_mm * k) / between, r / between
    cosine = math.sqrt((1 - sine) * (1 + sine))
    return RakeSlopes(
        by_radius=(2 * k - sine / x) / cosine,
        by_anchor=((face.sin_rake - 2 * r * k) / x + by_k * k_by_anchor) / cosine,
        by_core=by_k * k_by_core / cosine,
        by_rake=(r / x + by_k * k_by_sine) * math.sqrt(1 - face.sin_rake**2) / cosine,
    )


def find_radius_of_rake(face: Face, rake_rad: float) -> float | None:
    """Largest radius in mm just below which the rake is under `rake_rad`; None where there is none.

    Further in, a face whose arc is larger than its centre's distance from the axis comes above `rake_rad` again.
    Source: x = rho sin g + sqrt(rho^2 sin^2 g + a^2 - rho^2), written with k = 1/(2 rho).

    >>> face = shape_face(3.175, math.radians(8), 1.905, None)
    >>> round(2 * find_radius_of_rake(face, 0.0), 4)
    5.9551
    """
    sine, k = math.sin(rake_rad), face.half_curvature
    if k == 0:
        radius = face.anchor_mm * face.sin_rake / sine if sine < 0 else 0.0
    else:
        under = sine**2 + 4 * k * face.anchor_mm * (k * face.anchor_mm - face.sin_rake)
        radius = (sine + math.sqrt(under)) / (2 * k) if under > 0 else 0.0
    return radius if radius > 0 else None


def find_zero_rake_diameter(face: Face, radius_mm: float) -> float | None:
    """Diameter in mm at which the rake is 0, None where there is none below that of the edge at `radius_mm`.

    Source: derived in the notes (the face).

    >>> find_zero_rake_diameter(shape_face(3.175, math.radians(-8), 1.905, None), 3.175) is None
    True
    """
    if face.half_curvature == 0:
        return None
    square = face.anchor_mm * (face.anchor_mm - face.sin_rake / face.half_curvature)
    if square <= 0 or _sine(face, radius_mm) <= 0:
        return None
    return 2 * math.sqrt(square)


def find_turn(face: Face, from_mm: float, to_mm: float) -> float | None:
    """Angle in rad about the axis from the edge at radius `from_mm` to the face at `to_mm`, towards the body.

    None where the face does not reach one of the two.
    Source: a chord meets its arc's two ends at one angle t, so that turn = rake' - rake + 2 t; the chord's
    distance from the axis gives tan t = k (r^2 - x^2) / (x cos rake' + r cos rake). Derived in the notes.

    >>> find_turn(shape_face(3.175, 0.1, 1.905, None), 3.175, 3.175)
    0.0
    """
    before, after = find_rake(face, from_mm), find_rake(face, to_mm)
    if before is None or after is None:
        return None
    rise = face.half_curvature * (from_mm - to_mm) * (from_mm + to_mm)
    chord = math.atan2(rise, to_mm * math.cos(after) + from_mm * math.cos(before))
    return after - before + 2 * chord


def _sine(face: Face, radius_mm: float) -> float:
    bent = face.half_curvature * (radius_mm - face.anchor_mm) * (radius_mm + face.anchor_mm)
    return (bent + face.anchor_mm * face.sin_rake) / radius_mm
