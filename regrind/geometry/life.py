"""How many more regrinds a tool has after an option, if each takes what one usually takes."""

import math

from regrind.geometry.cleanup import CutOption
from regrind.geometry.floors import find_counted_to, find_flute_floor_nm
from regrind.geometry.inputs import Typical
from regrind.geometry.section import find_radius_of_rake, find_rake
from regrind.geometry.tool_state import SAME_MM, ToolState
from regrind.geometry.units import NM_PER_MM

_MARGIN = 1e-9
_SAME_NM = SAME_MM * NM_PER_MM


def count_regrinds_left(tool_state: ToolState, cut_option: CutOption) -> int | None:
    """Regrinds that still keep every hard limit, counted up to the first that fails; None without a usual stock.

    Worst case and without uncertainty: margin >= -1e-9 for the diameter and length of `find_counted_to`, for the
    flute depth that is checked and for the rake where the face was measured; R > r_c and a usable length above 0
    always. 0 where one is broken already. Once the sides are ground the stylus distance is lost, once, from the
    usable length, but not from the flute that a floor looks at.
    Source: the counting itself; derived in the notes.

    >>> from regrind.geometry.cleanup import list_options
    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> tool_state = build_state(read_example())
    >>> [count_regrinds_left(tool_state, cut_option) for cut_option in list_options(tool_state)]
    [1, 1, 0]
    """
    typical = tool_state.case.typical
    if typical is None or not (typical.stock_radial_nm or typical.cut_back_nm):
        return None
    if not _holds(tool_state, cut_option, *_after(tool_state, cut_option, 0, 0)):
        return 0
    lost = _stylus_still_to_lose(tool_state, cut_option, typical)
    count = int(
        min(_count_by_length(tool_state, cut_option, typical, lost), _count_by_radius(tool_state, cut_option, typical))
    )
    # the divisions above may be off by one rounding: settle it by asking the limits themselves
    while _holds(tool_state, cut_option, *_after(tool_state, cut_option, lost, count + 1)):
        count += 1
    while count > 0 and not _holds(tool_state, cut_option, *_after(tool_state, cut_option, lost, count)):
        count -= 1
    return count


def _after(tool_state: ToolState, cut_option: CutOption, lost_nm: int, count: int) -> tuple[float, float, float]:
    """Radius in mm, usable length and flute in nm after `count` more regrinds."""
    typical = tool_state.case.typical or Typical()
    cut_back = count * typical.cut_back_nm
    radius = cut_option.worst.radius_mm - count * typical.stock_radial_nm / NM_PER_MM
    return radius, cut_option.usable_length_nm - cut_back - lost_nm, _flute(tool_state, cut_option) - cut_back


def _flute(tool_state: ToolState, cut_option: CutOption) -> float:
    return tool_state.case.tool.flute_length_nm - cut_option.cut_back_nm


def _stylus_still_to_lose(tool_state: ToolState, cut_option: CutOption, typical: Typical) -> int:
    charged = cut_option.sides or tool_state.case.tool.sides_ground_before or not typical.stock_radial_nm
    return 0 if charged else tool_state.case.allow.stylus_distance_nm


def _holds(tool_state: ToolState, cut_option: CutOption, radius_mm: float, usable_nm: float, flute_nm: float) -> bool:
    core, depth = tool_state.shape.core_mm, tool_state.case.limits.flute_depth_nm or 0
    if not keeps_lengths(tool_state, usable_nm, flute_nm) or radius_mm - core <= SAME_MM:
        return False
    least = find_counted_to(tool_state.case).diameter_mm / 2
    if min(2 * (radius_mm - least), radius_mm - core - depth / NM_PER_MM, radius_mm - _find_fit(cut_option)) < -_MARGIN:
        return False
    return not _rake_is_hard(tool_state) or _keeps_rake(tool_state, radius_mm)


def keeps_lengths(tool_state: ToolState, usable_nm: float, flute_nm: float) -> bool:
    """Whether something usable is left, and as much of it as the customer wants, or else of the flute as its floor.

    Source: derived in the notes (what is left).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> keeps_lengths(build_state(read_example()), 12_700_000, 12_700_000)
    True
    """
    least = tool_state.case.limits.usable_length_nm
    if usable_nm <= _SAME_NM or usable_nm - (least or 0) < -_SAME_NM:
        return False
    return least is not None or flute_nm - find_flute_floor_nm(tool_state.case.tool) >= -_SAME_NM


def _find_fit(cut_option: CutOption) -> float:
    """The least radius that the corner which is ground on fits, in mm."""
    return cut_option.corner.size_nm / NM_PER_MM


def _rake_is_hard(tool_state: ToolState) -> bool:
    return tool_state.case.limits.rake_deg is not None and tool_state.shape.arc_radius_mm is not None


def _keeps_rake(tool_state: ToolState, radius_mm: float) -> bool:
    rake = find_rake(tool_state.worst.face, radius_mm)
    return rake is not None and math.degrees(rake) - (tool_state.case.limits.rake_deg or 0.0) >= -_MARGIN


def _count_by_length(tool_state: ToolState, cut_option: CutOption, typical: Typical, lost_nm: int) -> float:
    """Regrinds until the usable length or the flute fails, `inf` where they take none."""
    least, tool = tool_state.case.limits.usable_length_nm, tool_state.case.tool
    slack: float = cut_option.usable_length_nm - lost_nm - max(1, least or 0)
    if least is None:
        slack = min(slack, _flute(tool_state, cut_option) - find_flute_floor_nm(tool))
    if slack < 0:
        return 0
    return slack // typical.cut_back_nm if typical.cut_back_nm else math.inf


def _count_by_radius(tool_state: ToolState, cut_option: CutOption, typical: Typical) -> float:
    """Regrinds until the radius comes down to the first thing in its way, `inf` where they take none."""
    if not typical.stock_radial_nm:
        return math.inf
    limits, core = tool_state.case.limits, tool_state.shape.core_mm
    floors = [core, find_counted_to(tool_state.case).diameter_mm / 2, core + (limits.flute_depth_nm or 0) / NM_PER_MM]
    floors.append(_find_fit(cut_option))
    hard = _rake_is_hard(tool_state)
    most = _count_steps(cut_option, typical, max([*floors, _find_reach(tool_state)] if hard else floors))
    return _count_by_rake(tool_state, cut_option, typical, most) if hard else most


def _count_steps(cut_option: CutOption, typical: Typical, floor_mm: float) -> int:
    slack = cut_option.worst.radius_mm - floor_mm
    return max(0, math.floor((slack + _MARGIN) * NM_PER_MM / typical.stock_radial_nm))


def _count_by_rake(tool_state: ToolState, cut_option: CutOption, typical: Typical, most: int) -> int:
    """Regrinds, at most `most`, before the first that comes into the radii where the measured face is too weak.

    On a large arc the rake is good again further in, so these radii are no floor: a large step may pass over
    them. Around where they begin (the division may be off by one rounding) the rake itself is asked.
    """
    limit = (tool_state.case.limits.rake_deg or 0.0) - _MARGIN
    weak = find_radius_of_rake(tool_state.worst.face, math.radians(limit))
    if weak is None:
        return most
    last = _count_steps(cut_option, typical, weak)
    for count in range(max(1, last - 1), min(last + 2, most) + 1):
        if not _keeps_rake(tool_state, _after(tool_state, cut_option, 0, count)[0]):
            return count - 1
    return most


def _find_reach(tool_state: ToolState) -> float:
    """Radius in mm at which the arc of the measured face is nearest the axis."""
    face = tool_state.worst.face
    arc = 0.5 / face.half_curvature
    centre = math.sqrt(max(0.0, face.anchor_mm**2 + arc**2 - 2 * face.anchor_mm * arc * face.sin_rake))
    return abs(centre - arc)
