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
class FaceChoice:
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


def choose_faces(present: ToolState) -> tuple[list[FaceChoice], bool]:
    """All options worth having on the face, in order of rising cut-back, and whether a mark lacks how far back it goes.

    Where no mark is left on the faces there is none, except that a tool ground on its faces alone may be hurt at its
    end alone, or not at all. Lengths along the axis are compared to 1e-9 mm.
    Source: derived in the notes (face grinding).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> choices, unmeasured = choose_faces(stand(read_example()))
    >>> [round(2 * choice.faced.radius_mm, 4) for choice in choices], unmeasured
    ([6.2961], True)
    """
    backs = [find_back(present, index) for index in range(len(present.case.marks))]
    ends = [find_far_end(present, index) for index in range(len(backs))]
    own = present.ends.own_nm
    cuts = sorted({own, *(to for to in ends if to - own > SAME_MM * NM_PER_MM)})
    choices, unmeasured = [], False
    for cut in cuts:
        left = [index for index, to in enumerate(ends) if to - cut > SAME_MM * NM_PER_MM]
        if any(backs[index] is None for index in left):
            unmeasured = True
        elif left or _ends_alone(present):
            choices.append(_choose(present, cut, {index: backs[index] or 0.0 for index in left}))
    options = [choice for choice in choices if _is_option(present, choice)]
    return prune(options, _measure), unmeasured


def _measure(choice: FaceChoice) -> tuple[float, float]:
    return 2 * choice.faced.radius_mm, choice.usable_length_nm / NM_PER_MM


def _ends_alone(present: ToolState) -> bool:
    """Whether the end alone is hurt, or nothing, where there is no other way than the face."""
    case = present.case
    return not case.marks and (case.tool.face_only or (case.ways == ("face",) and not case.end_marks))


def find_far_end(present: ToolState, index: int) -> float:
    """How far back from the end mark `index` reaches, in nm; on an arc, where it is deepest at its end.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> find_far_end(stand(read_example()), 0)
    1524000
    """
    mark = present.case.marks[index]
    if mark.arc_deg is None:
        return mark.to_nm
    spot = make_spot(present, index)
    return spot.point(spot.to_rad)[0] * NM_PER_MM


def find_back(present: ToolState, index: int) -> float | None:
    """How far behind the edge mark `index` reaches, in mm: as measured, or from its wear land; None for nobody knows.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> find_back(stand(read_example()), 0) is None
    True
    """
    mark, tooth = present.case.marks[index], make_face_tooth(present)
    if mark.back_nm is not None:
        return mark.back_nm / NM_PER_MM
    if mark.wear_land_nm is None:
        return None
    return find_wear_back(mark.wear_land_nm / NM_PER_MM, tooth.flank, tooth.rake_rad)


def make_face_tooth(present: ToolState) -> FaceTooth:
    """The highest tooth as its face is ground; a spiral relief has no secondary.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> make_face_tooth(stand(read_example())).relief_form
    'flat'
    """
    flank, form = present.shape.flank, present.case.tool.relief_form
    if form == "spiral":
        flank = Flank(flank.primary_rad, None, flank.land_mm)
    return FaceTooth(present.worst.stand.high_mm, present.worst.rake_rad, flank, form)


def find_finish(present: ToolState) -> float:
    """What the finish allowance of the face adds behind the edge, in mm.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> find_finish(stand(read_example()))
    0.0
    """
    tooth = make_face_tooth(present)
    return find_finish_back(present.case.allow.finish_face_nm / NM_PER_MM, tooth.flank, tooth.rake_rad)


def _choose(present: ToolState, cut: float, backs: dict[int, float]) -> FaceChoice:
    tool, ends = present.case.tool, present.ends
    most = max(backs.values(), default=0.0)
    back = most + find_finish(present) if backs else 0.0
    depth = max(cut, ends.joins_nm) if cut > 0 else 0
    cut_back = depth + present.case.allow.finish_end_nm if cut > 0 else 0
    width = None if tool.tooth_width_nm is None else tool.tooth_width_nm / NM_PER_MM - back
    setters = tuple(index for index, own in backs.items() if own >= most - SAME_MM)
    edges = (CutEdge("end"),) if cut > 0 and depth == ends.joins_nm else ()
    faced = grind_face(make_face_tooth(present), back)
    return FaceChoice(depth, cut_back, tool.flute_length_nm - cut_back, back, faced, width, setters, edges, tool.corner)


def _is_option(present: ToolState, choice: FaceChoice) -> bool:
    """Whether flute, core, relief, tooth and a face are left."""
    faced, width = choice.faced, choice.tooth_width_mm
    return (
        round(choice.usable_length_nm / NM_PER_MM, 9) > 0
        and faced.radius_mm - present.shape.core_mm > SAME_MM
        and faced.radius_mm - abs(faced.set_over_mm) > SAME_MM
        and round(math.degrees(faced.relief_rad), 9) > 0
        and (width is None or round(width, 9) > 0)
    )
