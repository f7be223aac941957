"""The one drawing that shows best what is ground of a tool, for people who see no more of its plan."""

import json

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.record.models import Family

from ..drawings.face import draw_face
from ..drawings.flank import draw_flank
from ..drawings.profile import draw_profile
from ..drawings.section import draw_section
from ..drawings.sketch import draw_sketches
from ..kinds.registry import kind_of
from ..models import Plan


def draw_planned(root: Plan, index: int, family: Family, unit: Unit) -> SafeString | str:
    """An option of a stored plan, drawn from what was stored: its kind's own first sketch, a shaped corner's profile, a
    face, the teeth side by side where the end is cut back, else the cross-section with the stock drawn thicker.

    root: the row that holds what was worked out. index: of the option. '' where it was not worked out.
    """
    if not root.answer:
        return ""
    case, answer = json.loads(root.case), json.loads(root.answer)
    option = answer["options"][index]
    if planner := kind_of(family).planner:
        sketches = planner.sketches(case, option, unit) if option["grind"] else {}
        return next(iter(draw_sketches(sketches)), "")
    cut_back = draw_flank(case, option, unit) if option["end"] else ""
    return (
        draw_profile(case, option, unit)
        or draw_face(case, option, unit)
        or cut_back
        or draw_section(case, answer, option, unit, enlarged=True)
    )
