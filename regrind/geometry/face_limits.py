"""Each limit against what grinding the face would leave."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from regrind.geometry.damage import Flank
from regrind.geometry.face_cuts import FaceOption, make_face_tooth
from regrind.geometry.face_grind import FaceTooth, find_finish_back, find_wear_back, grind_face
from regrind.geometry.flow import Flow
from regrind.geometry.limits import (
    LimitCheck,
    Quantity,
    check_limit,
    measure_diameter,
    measure_lengths,
    measure_published,
)
from regrind.geometry.setters import follow_end
from regrind.geometry.tool_state import ToolState
from regrind.geometry.uncertainty import Setters
from regrind.geometry.units import NM_PER_MM

_STEP = 1e-5
WIDTH_SOURCE = "memory, weak: half the width of the tooth as it stands"


def check_face_limits(
    tool_state: ToolState, face_option: FaceOption, inputs: Mapping[str, float]
) -> tuple[LimitCheck, ...]:
    """A line for every limit that is to be checked; `inputs` as `find_standard_uncertainties` says.

    Diameter, rake and flute depth are those at the new edge. Source: as `grind_face`; the margin as `judge` says.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.face_cuts import list_face_options
    >>> from regrind.geometry.tool_state import build_state
    >>> from regrind.geometry.uncertainty import find_standard_uncertainties
    >>> tool_state = build_state(read_example())
    >>> face_options, _ = list_face_options(tool_state)
    >>> lines = check_face_limits(tool_state, face_options[0], find_standard_uncertainties(tool_state))
    >>> [(line.limit, line.verdict) for line in lines]
    [('diameter', 'inside'), ('rake_deg', 'inside'), ('flute_depth', 'inside'), ('usable_length', 'inside')]
    """
    return tuple(check_limit(tool_state, tool_state.worst, item, inputs) for item in _measure(tool_state, face_option))


def find_width_limit(tool_state: ToolState) -> tuple[str, float, str | None] | None:
    """Name, least value in mm and source of what limits the width of the tooth; None where no width is known.

    Source: the customer's limit, else memory: half the width of the tooth.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> find_width_limit(build_state(read_example())) is None
    True
    """
    width, least = tool_state.case.tool.tooth_width_nm, tool_state.case.limits.tooth_width_nm
    if width is None:
        return None
    if least is not None:
        return "tooth_width", least / NM_PER_MM, None
    return "tooth_width_floor", width / 2 / NM_PER_MM, WIDTH_SOURCE


@dataclass(frozen=True, slots=True)
class _Follows:
    """How radius, relief and rake at the new edge, and how far back it stands, follow what was measured."""

    radius: list[Flow]
    relief: list[Flow]
    rake: list[Flow]
    back: list[Flow]


def _measure(tool_state: ToolState, face_option: FaceOption) -> list[Quantity]:
    limits, faced, core = tool_state.case.limits, face_option.faced, tool_state.shape.core_mm
    follows = _follow(tool_state, face_option)
    after = _times(follows.radius, 2.0)
    quantities = measure_diameter(tool_state, 2 * faced.radius_mm, after)
    if limits.rake_deg is not None:
        rake = math.degrees(faced.rake_rad)
        quantities.append(
            Quantity("rake_deg", rake, limits.rake_deg, follows.rake, "rake_of_ground_face", math.degrees(1))
        )
    if limits.flute_depth_nm is not None:
        flows = _times(follows.radius, 1.0, Flow(others={"core_diameter": -1.0}))
        least = limits.flute_depth_nm / NM_PER_MM
        quantities.append(Quantity("flute_depth", faced.radius_mm - core, least, flows, "flute_depth_after"))
    cuts = list(follow_end(tool_state)) if face_option.cut_edges else [Flow()]
    setters = [Setters(cut_back=cut) for cut in cuts]
    quantities += measure_lengths(tool_state, face_option.cut_back_nm, face_option.usable_length_nm, setters)
    return (
        quantities
        + measure_published(tool_state, 2 * faced.radius_mm, after)
        + _measure_tooth(tool_state, face_option, follows)
    )


def _measure_tooth(tool_state: ToolState, face_option: FaceOption, follows: _Follows) -> list[Quantity]:
    quantities, least = [], tool_state.case.limits.relief_deg
    if least is not None:
        relief = math.degrees(face_option.faced.relief_rad)
        quantities.append(Quantity("relief_deg", relief, least, follows.relief, "relief_after_face", math.degrees(1)))
    width = find_width_limit(tool_state)
    if width and face_option.tooth_width_mm is not None:
        name, at_least, source = width
        flows = _times(follows.back, -1.0)
        quantities.append(Quantity(name, face_option.tooth_width_mm, at_least, flows, "tooth_width_after", 1.0, source))
    return quantities


def _times(flows: list[Flow], factor: float, more: Flow | None = None) -> list[Flow]:
    scaled = []
    for flow in flows:
        flow_sum = Flow()
        flow_sum.add(flow, factor)
        flow_sum.add(more or Flow(), 1.0)
        scaled.append(flow_sum)
    return scaled


def _follow(tool_state: ToolState, face_option: FaceOption) -> _Follows:
    """For each mark that sets how far back the edge goes; where none does, the edge stands where it stood."""
    rows = [_follow_mark(tool_state, index) for index in face_option.setters or (None,)]
    return _Follows(*([row[place] for row in rows] for place in range(4)))


def _follow_mark(tool_state: ToolState, index: int | None) -> list[Flow]:
    tooth, finish = make_face_tooth(tool_state), tool_state.case.allow.finish_face_nm / NM_PER_MM
    mark = None if index is None else tool_state.case.marks[index]
    back = None if mark is None else mark.back_nm
    width = 0.0 if mark is None else ((mark.wear_land_nm if back is None else back) or 0) / NM_PER_MM

    def answer(radius: float, width: float, rake: float, secondary: float) -> tuple[float, ...]:
        shifted = _shift(tooth, radius, rake, secondary)
        behind = 0.0
        if mark is not None:
            behind = width if back is not None else find_wear_back(width, shifted.flank, rake)
            behind += find_finish_back(finish, shifted.flank, rake)
        faced = grind_face(shifted, behind)
        return faced.radius_mm, faced.relief_rad, faced.rake_rad, behind

    point = (tooth.radius_mm, width, tooth.rake_rad, tooth.flank.secondary_rad or 0.0)
    return [_as_flow(index, back is not None, slopes) for slopes in zip(*_differ(answer, point), strict=True)]


def _as_flow(index: int | None, is_back: bool, slopes: tuple[float, ...]) -> Flow:
    by_high, by_width, by_rake, by_secondary = slopes
    flow = Flow(by_high, others={"rake_deg": by_rake, "secondary_relief_deg": by_secondary})
    if index is not None and is_back:
        flow.by_back[index] = by_width
    else:
        flow.others["wear_land"] = by_width
    return flow


def _differ(answer: Callable[..., tuple[float, ...]], point: tuple[float, ...]) -> list[list[float]]:
    """Central differences of every result by every input in turn; all are smooth, and some 1e-10 off at most."""
    rows = []
    for place in range(len(point)):
        up, down = (answer(*point[:place], point[place] + step, *point[place + 1 :]) for step in (_STEP, -_STEP))
        rows.append([(over - under) / (2 * _STEP) for over, under in zip(up, down, strict=True)])
    return rows


def _shift(tooth: FaceTooth, radius: float, rake: float, secondary: float) -> FaceTooth:
    flank = tooth.flank
    moved = Flank(flank.primary_rad, None if flank.secondary_rad is None else secondary, flank.land_mm)
    return FaceTooth(radius, rake, moved, tooth.relief_form)
