"""An option on the face, with all its figures."""

import math
from collections.abc import Mapping

from regrind.geometry.end_teeth import find_gash_left
from regrind.geometry.face_cuts import FaceOption
from regrind.geometry.face_life import count_faces_left
from regrind.geometry.face_limits import check_face_limits
from regrind.geometry.floors import find_counted_to
from regrind.geometry.result import FaceFigures, Option
from regrind.geometry.tool_state import ToolState
from regrind.geometry.units import NM_PER_MM
from regrind.geometry.verdict import judge_face


def describe_face(tool_state: ToolState, face_option: FaceOption, inputs: Mapping[str, float]) -> Option:
    """The option with its limits, verdict and what it leaves; figures of the sides, which are not ground, stay None.

    Source: `grind_face`.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.face_cuts import list_face_options
    >>> from regrind.geometry.tool_state import build_state
    >>> from regrind.geometry.uncertainty import find_standard_uncertainties
    >>> tool_state = build_state(read_example())
    >>> option = describe_face(tool_state, list_face_options(tool_state)[0][0], find_standard_uncertainties(tool_state))
    >>> option.way, option.sides, round(option.face.face_relief_deg, 3)
    ('face', False, 9.14)
    """
    lines, faced = check_face_limits(tool_state, face_option, inputs), face_option.faced
    verdict, reasons = judge_face(tool_state, face_option, lines)
    return Option(
        way="face",
        corner_form=face_option.corner.form,
        cut_back_mm=face_option.cut_back_nm / NM_PER_MM,
        sides=False,
        end=face_option.cut_back_nm > 0,
        diameter_mm=2 * faced.radius_mm,
        diameter_best_mm=2 * faced.radius_mm,
        usable_length_mm=face_option.usable_length_nm / NM_PER_MM,
        limits=lines,
        regrinds_left=count_faces_left(tool_state, face_option),
        counted_to=find_counted_to(tool_state.case),
        verdict=verdict,
        reasons=reasons,
        usual=tool_state.case.tool.face_only,
        gash_left_mm=find_gash_left(tool_state.case.tool.gash_length_nm, face_option.cut_back_nm),
        face=_describe_tooth(face_option),
    )


def _describe_tooth(face_option: FaceOption) -> FaceFigures:
    faced = face_option.faced
    return FaceFigures(
        math.degrees(faced.relief_rad),
        math.degrees(faced.rake_rad),
        faced.set_over_mm,
        math.degrees(faced.turn_rad),
        faced.stock_mm,
        face_option.tooth_width_mm,
    )
