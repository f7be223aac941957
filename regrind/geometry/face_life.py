"""How many more times the faces of a tool can be ground, if each time takes what one usually takes."""

import math

from regrind.geometry.face_cuts import FaceOption, make_face_tooth
from regrind.geometry.face_grind import grind_face
from regrind.geometry.face_limits import find_width_limit
from regrind.geometry.floors import find_counted_to
from regrind.geometry.life import keeps_lengths
from regrind.geometry.tool_state import SAME_MM, ToolState
from regrind.geometry.units import NM_PER_MM

_MARGIN = 1e-9


def count_faces_left(tool_state: ToolState, face_option: FaceOption) -> int | None:
    """Grinds of the faces that still keep every hard limit, counted up to the first that fails; None without what
    one usually takes behind the edge.

    Diameter and length as `find_counted_to` says, flute depth, the rake where the face was measured; relief above 0
    and as asked for; the width of the tooth, or its floor. 0 where one is broken already.
    Source: the counting itself; derived in the notes.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.face_cuts import list_face_options
    >>> from regrind.geometry.tool_state import build_state
    >>> tool_state = build_state(read_example())
    >>> count_faces_left(tool_state, list_face_options(tool_state)[0][0]) is None
    True
    """
    typical = tool_state.case.typical
    if typical is None or not typical.back_nm:
        return None
    if not _holds(tool_state, face_option, 0):
        return 0
    heel = _count_to_heel(tool_state, face_option, typical.back_nm)
    if heel and not _holds(tool_state, face_option, heel):
        return _bisect(tool_state, face_option, 0, heel)
    if not _holds(tool_state, face_option, heel + 1):
        return heel
    most = heel + 1
    while _holds(tool_state, face_option, 2 * most):
        most *= 2
    return _bisect(tool_state, face_option, most, 2 * most)


def _bisect(tool_state: ToolState, face_option: FaceOption, good: int, bad: int) -> int:
    while bad - good > 1:
        middle = (good + bad) // 2
        good, bad = (middle, bad) if _holds(tool_state, face_option, middle) else (good, middle)
    return good


def _count_to_heel(tool_state: ToolState, face_option: FaceOption, typical_nm: int) -> int:
    """Grinds that stay on the primary land: on either side of its heel, more grinding only ever makes things worse."""
    flank = make_face_tooth(tool_state).flank
    room = flank.land_mm * math.cos(flank.primary_rad) - face_option.back_mm
    if flank.secondary_rad is None or room < 0:
        return 0
    return math.floor(room * NM_PER_MM / typical_nm)


def _holds(tool_state: ToolState, face_option: FaceOption, count: int) -> bool:
    typical = tool_state.case.typical
    assert typical is not None, "asked only with a usual stock"
    back = count * typical.back_nm / NM_PER_MM
    usable = face_option.usable_length_nm - count * typical.cut_back_nm
    # the stylus has no part in grinding a face: what is usable is the flute
    if not keeps_lengths(tool_state, usable, usable):
        return False
    width = find_width_limit(tool_state)
    if width and face_option.tooth_width_mm is not None:
        width_left = face_option.tooth_width_mm - back
        if round(width_left, 9) <= 0 or width_left - width[1] < -_MARGIN:
            return False
    return _keeps_tooth(tool_state, face_option.back_mm + back)


def _keeps_tooth(tool_state: ToolState, back_mm: float) -> bool:
    limits, core = tool_state.case.limits, tool_state.shape.core_mm
    tooth = make_face_tooth(tool_state)
    if tooth.is_spiral and tooth.radius_mm - back_mm * math.tan(tooth.flank.primary_rad) <= core:
        return False
    faced = grind_face(tooth, back_mm)
    relief = math.degrees(faced.relief_rad)
    if faced.radius_mm - core <= SAME_MM or round(relief, 9) <= 0 or relief - (limits.relief_deg or 0) < -_MARGIN:
        return False
    over_core = faced.radius_mm - core - (limits.flute_depth_nm or 0) / NM_PER_MM
    over_diameter = 2 * faced.radius_mm - find_counted_to(tool_state.case).diameter_mm
    return min(over_core, over_diameter) >= -_MARGIN and _keeps_rake(tool_state, faced.rake_rad)


def _keeps_rake(tool_state: ToolState, rake_rad: float) -> bool:
    least = tool_state.case.limits.rake_deg
    hard = least is not None and tool_state.shape.arc_radius_mm is not None
    return not hard or math.degrees(rake_rad) - (least or 0.0) >= -_MARGIN
