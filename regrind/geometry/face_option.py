"""An option on the face, told whole."""

import math
from collections.abc import Mapping

from regrind.geometry.end_teeth import find_gash_left
from regrind.geometry.face_cuts import FaceChoice
from regrind.geometry.face_life import count_faces_left
from regrind.geometry.face_limits import draw_face_lines
from regrind.geometry.floors import find_counted_to
from regrind.geometry.result import FaceFigures, Option
from regrind.geometry.tool_state import ToolState
from regrind.geometry.units import NM_PER_MM
from regrind.geometry.verdict import judge_face


def describe_face(present: ToolState, choice: FaceChoice, inputs: Mapping[str, float]) -> Option:
    """The option with its limits, verdict and what it leaves; nothing is told of sides that are not ground.

    Source: `grind_face`.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.face_cuts import choose_faces
    >>> from regrind.geometry.tool_state import stand
    >>> from regrind.geometry.uncertainty import find_standard_uncertainties
    >>> present = stand(read_example())
    >>> option = describe_face(present, choose_faces(present)[0][0], find_standard_uncertainties(present))
    >>> option.way, option.sides, round(option.face.face_relief_deg, 3)
    ('face', False, 9.14)
    """
    lines, faced = draw_face_lines(present, choice, inputs), choice.faced
    verdict, reasons = judge_face(present, choice, lines)
    return Option(
        way="face",
        corner_form=choice.corner.form,
        cut_back_mm=choice.cut_back_nm / NM_PER_MM,
        sides=False,
        end=choice.cut_back_nm > 0,
        diameter_mm=2 * faced.radius_mm,
        diameter_best_mm=2 * faced.radius_mm,
        usable_length_mm=choice.usable_length_nm / NM_PER_MM,
        limits=lines,
        regrinds_left=count_faces_left(present, choice),
        counted_to=find_counted_to(present.case),
        verdict=verdict,
        reasons=reasons,
        usual=present.case.tool.face_only,
        gash_left_mm=find_gash_left(present.case.tool.gash_length_nm, choice.cut_back_nm),
        face=FaceFigures(
            math.degrees(faced.relief_rad),
            math.degrees(faced.rake_rad),
            faced.set_over_mm,
            math.degrees(faced.turn_rad),
            faced.stock_mm,
            choice.tooth_width_mm,
        ),
    )
