"""Every option worth having of a tool: its own corner on the flank, each accepted one, then the face."""

from regrind.geometry.cleanup import Choice, choose
from regrind.geometry.corner_cuts import choose_with_corner, measure_choice
from regrind.geometry.face_cuts import FaceChoice, choose_faces
from regrind.geometry.inputs import SQUARE
from regrind.geometry.pruning import is_as_good
from regrind.geometry.tool_state import ToolState


def list_choices(present: ToolState) -> tuple[list[Choice | FaceChoice], bool]:
    """The options in their order, and whether the face lacks a measure of how far back a mark goes.

    Within a corner or the face they come by rising cut-back. An accepted corner's option goes where one of the tool's
    own corner leaves as much diameter and length.
    Source: derived in the notes (which options).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> choices, unmeasured = list_choices(stand(read_example()))
    >>> len(choices), unmeasured
    (3, False)
    """
    case = present.case
    flank = list_flank_choices(present) if "flank" in case.ways else []
    if "face" not in case.ways or (flank and not case.marks and not case.end_marks):
        return list(flank), False
    faces, unmeasured = choose_faces(present)
    return [*flank, *faces], unmeasured


def list_flank_choices(present: ToolState) -> list[Choice]:
    """The options on the flank: with the tool's own corner, then with each accepted one in its order.

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import stand
    >>> [choice.corner.form for choice in list_flank_choices(stand(read_example()))]
    ['square', 'square', 'square']
    """
    corner = present.case.tool.corner
    own = choose(present) if corner == SQUARE else choose_with_corner(present, corner, accepted=False)
    choices = list(own)
    for accepted in present.case.accept:
        choices += [
            choice
            for choice in choose_with_corner(present, accepted, accepted=True)
            if not any(is_as_good(measure_choice(mine), measure_choice(choice)) for mine in own)
        ]
    return choices
