"""Each limit against what grinding the face would leave."""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from regrind.geometry.damage import Flank
from regrind.geometry.face_cuts import FaceChoice, make_face_tooth
from regrind.geometry.face_grind import Faced, FaceTooth, find_finish_back, find_wear_back, grind_face
from regrind.geometry.flow import Flow, differentiate
from regrind.geometry.limits import (
    Line,
    Quantity,
    draw_line,
    measure_diameter,
    measure_lengths,
    measure_published,
)
from regrind.geometry.present import Present
from regrind.geometry.setters import follow_end
from regrind.geometry.uncertainty import Setters
from regrind.geometry.units import NM_PER_MM

WIDTH_SOURCE = "memory, weak: half the width of the tooth as it stands"


def draw_face_lines(present: Present, choice: FaceChoice, inputs: Mapping[str, float]) -> tuple[Line, ...]:
    """A line for every limit that is to be checked; `inputs` as `find_standard_uncertainties` says.

    Diameter, rake and flute depth are those at the new edge. Source: as `grind_face`; the margin as `judge` says.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.face_cuts import choose_faces
    >>> from regrind.geometry.present import stand
    >>> from regrind.geometry.uncertainty import find_standard_uncertainties
    >>> present = stand(read_example())
    >>> lines = draw_face_lines(present, choose_faces(present)[0][0], find_standard_uncertainties(present))
    >>> [(line.limit, line.verdict) for line in lines]
    [('diameter', 'inside'), ('rake_deg', 'inside'), ('flute_depth', 'inside'), ('usable_length', 'inside')]
    """
    return tuple(draw_line(present, present.worst, item, inputs) for item in _measure(present, choice))


def find_width_limit(present: Present) -> tuple[str, float, str | None] | None:
    """Name, least value in mm and source of what limits the width of the tooth; None where no width is known.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.present import stand
    >>> find_width_limit(stand(read_example())) is None
    True
    """
    width, least = present.case.tool.tooth_width_nm, present.case.limits.tooth_width_nm
    if width is None:
        return None
    if least is not None:
        return "tooth_width", least / NM_PER_MM, None
    return "tooth_width_floor", width / 2 / NM_PER_MM, WIDTH_SOURCE


def _measure(present: Present, choice: FaceChoice) -> list[Quantity]:
    limits, faced, core = present.case.limits, choice.faced, present.shape.core_mm
    after = _follow(present, choice, lambda faced: 2 * faced.radius_mm)
    found = measure_diameter(present, 2 * faced.radius_mm, after)
    if limits.rake_deg is not None:
        flows, rake = _follow(present, choice, lambda faced: faced.rake_rad), math.degrees(faced.rake_rad)
        found.append(Quantity("rake_deg", rake, limits.rake_deg, flows, "rake_of_ground_face", math.degrees(1)))
    if limits.flute_depth_nm is not None:
        flows = _follow(present, choice, lambda faced: faced.radius_mm)
        for flow in flows:
            flow.others["core_diameter"] = flow.others.get("core_diameter", 0.0) - 1.0
        least = limits.flute_depth_nm / NM_PER_MM
        found.append(Quantity("flute_depth", faced.radius_mm - core, least, flows, "flute_depth_after"))
    cuts = list(follow_end(present)) if choice.cut_edges else [Flow()]
    setters = [Setters(cut_back=cut) for cut in cuts]
    found += measure_lengths(present, choice.cut_back_nm, choice.usable_length_nm, setters)
    return found + measure_published(present, 2 * faced.radius_mm, after) + _measure_tooth(present, choice)


def _measure_tooth(present: Present, choice: FaceChoice) -> list[Quantity]:
    found, least = [], present.case.limits.relief_deg
    if least is not None:
        flows, relief = _follow(present, choice, lambda faced: faced.relief_rad), math.degrees(choice.faced.relief_rad)
        found.append(Quantity("relief_deg", relief, least, flows, "relief_after_face", math.degrees(1)))
    width = find_width_limit(present)
    if width and choice.tooth_width_mm is not None:
        name, at_least, source = width
        flows = _follow(present, choice, None)
        found.append(Quantity(name, choice.tooth_width_mm, at_least, flows, "tooth_width_after", 1.0, source))
    return found


def _follow(present: Present, choice: FaceChoice, pick: Callable[[Faced], float] | None) -> list[Flow]:
    """How what `pick` takes of the ground tooth follows the inputs, for each mark that sets it; without, the width."""
    return [_follow_mark(present, index, pick) for index in choice.setters] or [_follow_untouched(present, pick)]


def _follow_mark(present: Present, index: int, pick: Callable[[Faced], float] | None) -> Flow:
    mark, tooth = present.case.marks[index], make_face_tooth(present)
    is_back = mark.back_nm is not None
    width = ((mark.back_nm if is_back else mark.wear_land_nm) or 0) / NM_PER_MM
    finish = present.case.allow.finish_face_nm / NM_PER_MM

    def answer(radius: float, width: float, rake: float, secondary: float) -> float:
        shifted = _shift(tooth, radius, rake, secondary)
        back = width if is_back else find_wear_back(width, shifted.flank, rake)
        back += find_finish_back(finish, shifted.flank, rake)
        return -back if pick is None else pick(grind_face(shifted, back))

    at = (tooth.radius_mm, width, tooth.rake_rad, tooth.flank.secondary_rad or 0.0)
    by_high, by_width, by_rake, by_secondary = differentiate(answer, at)
    flow = Flow(by_high, others={"rake_deg": by_rake, "secondary_relief_deg": by_secondary})
    if is_back:
        flow.by_back[index] = by_width
    else:
        flow.others["wear_land"] = by_width
    return flow


def _follow_untouched(present: Present, pick: Callable[[Faced], float] | None) -> Flow:
    """No face is ground: the edge stands where it stood."""
    if pick is None:
        return Flow()
    tooth = make_face_tooth(present)

    def answer(radius: float, rake: float) -> float:
        return pick(grind_face(_shift(tooth, radius, rake, tooth.flank.secondary_rad or 0.0), 0.0))

    by_high, by_rake = differentiate(answer, (tooth.radius_mm, tooth.rake_rad))
    return Flow(by_high, others={"rake_deg": by_rake})


def _shift(tooth: FaceTooth, radius: float, rake: float, secondary: float) -> FaceTooth:
    flank = tooth.flank
    moved = Flank(flank.primary_rad, None if flank.secondary_rad is None else secondary, flank.land_mm)
    return replace(tooth, radius_mm=radius, rake_rad=rake, flank=moved)
