"""The choice of how far the end is cut back before the faces are ground, and how far back the faces then go."""

import math
from dataclasses import dataclass

from regrind.geometry.cleanup import CutEdge
from regrind.geometry.corner_cuts import make_spot
from regrind.geometry.damage import Flank
from regrind.geometry.face_grind import Faced, FaceTooth, find_finish_back, find_wear_back, grind_face
from regrind.geometry.inputs import Corner
from regrind.geometry.pruning import prune
from regrind.geometry.tool_state import SAME_MM, ToolState
from regrind.geometry.units import NM_PER_MM


@dataclass(frozen=True, slots=True)
class FaceOption:
    """One option: cut back `cut_back_nm`, then grind every face until the edge stands `back_mm` farther back.

    `setters` are the marks that set that (all ties), none where no face is ground. `cut_edges` as of a `Choice`.
    """

    depth_nm: float
    cut_back_nm: float
    usable_length_nm: float
    back_mm: float
    faced: Faced
    tooth_width_mm: float | None
    setters: tuple[int, ...]
    cut_edges: tuple[CutEdge, ...]
    corner: Corner


def list_face_options(tool_state: ToolState) -> tuple[list[FaceOption], bool]:
    """All options worth having on the face, in order of rising cut-back, and whether a mark lacks how far back it goes.

    Where no mark is left on the faces there is none, except that a tool ground on its faces alone may be hurt at its
    end alone, or not at all. Lengths along the axis are compared to 1e-9 mm.
    Source: derived in the notes (face grinding).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> face_options, unmeasured = list_face_options(build_state(read_example()))
    >>> [round(2 * face_option.faced.radius_mm, 4) for face_option in face_options], unmeasured
    ([6.2961], True)
    """
    backs = [find_back(tool_state, index) for index in range(len(tool_state.case.marks))]
    ends = [find_far_end(tool_state, index) for index in range(len(backs))]
    end_need = tool_state.ends.own_nm
    cuts = sorted({end_need, *(to for to in ends if to - end_need > SAME_MM * NM_PER_MM)})
    face_options, unmeasured = [], False
    for cut in cuts:
        remaining = [index for index, to in enumerate(ends) if to - cut > SAME_MM * NM_PER_MM]
        if any(backs[index] is None for index in remaining):
            unmeasured = True
        elif remaining or _ends_alone(tool_state):
            face_options.append(_build_option(tool_state, cut, {index: backs[index] or 0.0 for index in remaining}))
    options = [face_option for face_option in face_options if _is_option(tool_state, face_option)]
    return prune(options, _measure), unmeasured


def _measure(face_option: FaceOption) -> tuple[float, float]:
    return 2 * face_option.faced.radius_mm, face_option.usable_length_nm / NM_PER_MM


def _ends_alone(tool_state: ToolState) -> bool:
    """Whether the end alone is hurt, or nothing, where there is no other way than the face."""
    case = tool_state.case
    return not case.marks and (case.tool.face_only or (case.ways == ("face",) and not case.end_marks))


def find_far_end(tool_state: ToolState, index: int) -> float:
    """How far back from the end mark `index` reaches, in nm; on an arc, where it is deepest at its end.

    Source: derived in the notes (the face).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> find_far_end(build_state(read_example()), 0)
    1524000
    """
    mark = tool_state.case.marks[index]
    if mark.arc_deg is None:
        return mark.to_nm
    spot = make_spot(tool_state, index)
    return spot.point(spot.to_rad)[0] * NM_PER_MM


def find_back(tool_state: ToolState, index: int) -> float | None:
    """How far behind the edge mark `index` reaches, in mm: as measured, or from its wear land; None for nobody knows.

    Source: derived in the notes (the face).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> find_back(build_state(read_example()), 0) is None
    True
    """
    mark, tooth = tool_state.case.marks[index], make_face_tooth(tool_state)
    if mark.back_nm is not None:
        return mark.back_nm / NM_PER_MM
    if mark.wear_land_nm is None:
        return None
    return find_wear_back(mark.wear_land_nm / NM_PER_MM, tooth.flank, tooth.rake_rad)


def make_face_tooth(tool_state: ToolState) -> FaceTooth:
    """The highest tooth as its face is ground; a spiral relief has no secondary.

    Source: derived in the notes (the face).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> make_face_tooth(build_state(read_example())).relief_form
    'flat'
    """
    flank, form = tool_state.shape.flank, tool_state.case.tool.relief_form
    if form == "spiral":
        flank = Flank(flank.primary_rad, None, flank.land_mm)
    return FaceTooth(tool_state.worst.teeth.high_mm, tool_state.worst.rake_rad, flank, form)


def find_finish(tool_state: ToolState) -> float:
    """What the finish allowance of the face adds behind the edge, in mm.

    Source: derived in the notes (the face).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> find_finish(build_state(read_example()))
    0.0
    """
    tooth = make_face_tooth(tool_state)
    return find_finish_back(tool_state.case.allow.finish_face_nm / NM_PER_MM, tooth.flank, tooth.rake_rad)


def _build_option(tool_state: ToolState, cut: float, backs: dict[int, float]) -> FaceOption:
    tool, ends = tool_state.case.tool, tool_state.ends
    most = max(backs.values(), default=0.0)
    back = most + find_finish(tool_state) if backs else 0.0
    depth = max(cut, ends.joins_nm) if cut > 0 else 0
    cut_back = depth + tool_state.case.allow.finish_end_nm if cut > 0 else 0
    width = None if tool.tooth_width_nm is None else tool.tooth_width_nm / NM_PER_MM - back
    setters = tuple(index for index, back in backs.items() if back >= most - SAME_MM)
    edges = (CutEdge("end"),) if cut > 0 and depth == ends.joins_nm else ()
    faced = grind_face(make_face_tooth(tool_state), back)
    return FaceOption(depth, cut_back, tool.flute_length_nm - cut_back, back, faced, width, setters, edges, tool.corner)


def _is_option(tool_state: ToolState, face_option: FaceOption) -> bool:
    """Whether flute, core, relief, tooth and a face are left."""
    faced, width = face_option.faced, face_option.tooth_width_mm
    return (
        round(face_option.usable_length_nm / NM_PER_MM, 9) > 0
        and faced.radius_mm - tool_state.shape.core_mm > SAME_MM
        and faced.radius_mm - abs(faced.set_over_mm) > SAME_MM
        and round(math.degrees(faced.relief_rad), 9) > 0
        and (width is None or round(width, 9) > 0)
    )
