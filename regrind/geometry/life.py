"""How many more regrinds a tool has after an option, if each takes what one usually takes."""

import math

from regrind.geometry.cleanup import Choice
from regrind.geometry.floors import find_counted_to, find_flute_floor_nm
from regrind.geometry.inputs import Typical
from regrind.geometry.section import find_radius_of_rake, find_rake
from regrind.geometry.tool_state import SAME_MM, ToolState
from regrind.geometry.units import NM_PER_MM

_MARGIN = 1e-9
_SAME_NM = SAME_MM * NM_PER_MM


def count_regrinds_left(present: ToolState, choice: Choice) -> int | None:
    """Regrinds that still keep every hard limit, counted up to the first that fails; None without a usual stock.

    Worst case and without uncertainty: margin >= -1e-9 for the diameter and length of `find_counted_to`, for the
    flute depth that is checked and for the rake where the face was measured; R > r_c and a usable length above 0
    always. 0 where one is broken already. Once the sides are ground the stylus distance is lost, once, from the
    usable length, but not from the flute that a floor looks at.
    Source: the counting itself; derived in the notes.

    >>> from regrind.geometry.cleanup import choose
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> present = stand(read_example())
    >>> [count_regrinds_left(present, choice) for choice in choose(present)]
    [1, 1, 0]
    """
    typical = present.case.typical
    if typical is None or not (typical.stock_radial_nm or typical.cut_back_nm):
        return None
    if not _holds(present, choice, *_after(present, choice, 0, 0)):
        return 0
    lost = _stylus_still_to_lose(present, choice, typical)
    count = int(min(_count_by_length(present, choice, typical, lost), _count_by_radius(present, choice, typical)))
    # the divisions above may be off by one rounding: settle it by asking the limits themselves
    while _holds(present, choice, *_after(present, choice, lost, count + 1)):
        count += 1
    while count > 0 and not _holds(present, choice, *_after(present, choice, lost, count)):
        count -= 1
    return count


def _after(present: ToolState, choice: Choice, lost_nm: int, count: int) -> tuple[float, float, float]:
    """Radius in mm, usable length and flute in nm after `count` more regrinds."""
    typical = present.case.typical or Typical()
    cut_back = count * typical.cut_back_nm
    radius = choice.worst.radius_mm - count * typical.stock_radial_nm / NM_PER_MM
    return radius, choice.usable_length_nm - cut_back - lost_nm, _flute(present, choice) - cut_back


def _flute(present: ToolState, choice: Choice) -> float:
    return present.case.tool.flute_length_nm - choice.cut_back_nm


def _stylus_still_to_lose(present: ToolState, choice: Choice, typical: Typical) -> int:
    charged = choice.sides or present.case.tool.sides_ground_before or not typical.stock_radial_nm
    return 0 if charged else present.case.allow.stylus_distance_nm


def _holds(present: ToolState, choice: Choice, radius_mm: float, usable_nm: float, flute_nm: float) -> bool:
    core, depth = present.shape.core_mm, present.case.limits.flute_depth_nm or 0
    if not keeps_lengths(present, usable_nm, flute_nm) or radius_mm - core <= SAME_MM:
        return False
    least = find_counted_to(present.case).diameter_mm / 2
    if min(2 * (radius_mm - least), radius_mm - core - depth / NM_PER_MM, radius_mm - _find_fit(choice)) < -_MARGIN:
        return False
    return not _rake_is_hard(present) or _keeps_rake(present, radius_mm)


def keeps_lengths(present: ToolState, usable_nm: float, flute_nm: float) -> bool:
    """Whether something usable is left, and as much of it as the customer wants, or else of the flute as its floor.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> keeps_lengths(stand(read_example()), 12_700_000, 12_700_000)
    True
    """
    least = present.case.limits.usable_length_nm
    if usable_nm <= _SAME_NM or usable_nm - (least or 0) < -_SAME_NM:
        return False
    return least is not None or flute_nm - find_flute_floor_nm(present.case.tool) >= -_SAME_NM


def _find_fit(choice: Choice) -> float:
    """The least radius that the corner which is ground on fits, in mm."""
    return choice.corner.size_nm / NM_PER_MM


def _rake_is_hard(present: ToolState) -> bool:
    return present.case.limits.rake_deg is not None and present.shape.arc_radius_mm is not None


def _keeps_rake(present: ToolState, radius_mm: float) -> bool:
    rake = find_rake(present.worst.face, radius_mm)
    return rake is not None and math.degrees(rake) - (present.case.limits.rake_deg or 0.0) >= -_MARGIN


def _count_by_length(present: ToolState, choice: Choice, typical: Typical, lost_nm: int) -> float:
    """Regrinds until the usable length or the flute fails, `inf` where they take none."""
    least, tool = present.case.limits.usable_length_nm, present.case.tool
    slack: float = choice.usable_length_nm - lost_nm - max(1, least or 0)
    if least is None:
        slack = min(slack, _flute(present, choice) - find_flute_floor_nm(tool))
    if slack < 0:
        return 0
    return slack // typical.cut_back_nm if typical.cut_back_nm else math.inf


def _count_by_radius(present: ToolState, choice: Choice, typical: Typical) -> float:
    """Regrinds until the radius comes down to the first thing in its way, `inf` where they take none."""
    if not typical.stock_radial_nm:
        return math.inf
    limits, core = present.case.limits, present.shape.core_mm
    floors = [core, find_counted_to(present.case).diameter_mm / 2, core + (limits.flute_depth_nm or 0) / NM_PER_MM]
    floors.append(_find_fit(choice))
    hard = _rake_is_hard(present)
    most = _count_steps(choice, typical, max([*floors, _find_reach(present)] if hard else floors))
    return _count_by_rake(present, choice, typical, most) if hard else most


def _count_steps(choice: Choice, typical: Typical, floor_mm: float) -> int:
    slack = choice.worst.radius_mm - floor_mm
    return max(0, math.floor((slack + _MARGIN) * NM_PER_MM / typical.stock_radial_nm))


def _count_by_rake(present: ToolState, choice: Choice, typical: Typical, most: int) -> int:
    """Regrinds, at most `most`, before the first that comes into the radii where the measured face is too weak.

    On a large arc the rake is good again further in, so these radii are no floor: a large step may pass over
    them. Around where they begin (the division may be off by one rounding) the rake itself is asked.
    """
    limit = (present.case.limits.rake_deg or 0.0) - _MARGIN
    weak = find_radius_of_rake(present.worst.face, math.radians(limit))
    if weak is None:
        return most
    last = _count_steps(choice, typical, weak)
    for count in range(max(1, last - 1), min(last + 2, most) + 1):
        if not _keeps_rake(present, _after(present, choice, 0, count)[0]):
            return count - 1
    return most


def _find_reach(present: ToolState) -> float:
    """Radius in mm at which the arc of the measured face is nearest the axis."""
    face = present.worst.face
    arc = 0.5 / face.half_curvature
    centre = math.sqrt(max(0.0, face.anchor_mm**2 + arc**2 - 2 * face.anchor_mm * arc * face.sin_rake))
    return abs(centre - arc)
