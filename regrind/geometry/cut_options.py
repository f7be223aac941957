"""Every option worth having of a tool: its own corner on the flank, each accepted one, then the face."""

from regrind.geometry.cleanup import CutOption, list_options
from regrind.geometry.corner_cuts import list_corner_options, measure_option
from regrind.geometry.face_cuts import FaceOption, list_face_options
from regrind.geometry.inputs import SQUARE
from regrind.geometry.pruning import is_as_good
from regrind.geometry.tool_state import ToolState


def list_cut_options(tool_state: ToolState) -> tuple[list[CutOption | FaceOption], bool]:
    """The options in their order, and whether the face lacks a measure of how far back a mark goes.

    Within a corner or the face they come by rising cut-back. An accepted corner's option goes where one of the tool's
    own corner leaves as much diameter and length.
    Source: derived in the notes (which options).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> cut_options, unmeasured = list_cut_options(build_state(read_example()))
    >>> len(cut_options), unmeasured
    (3, False)
    """
    case = tool_state.case
    flank = list_flank_options(tool_state) if "flank" in case.ways else []
    if "face" not in case.ways or (flank and not case.marks and not case.end_marks):
        return list(flank), False
    faces, unmeasured = list_face_options(tool_state)
    return [*flank, *faces], unmeasured


def list_flank_options(tool_state: ToolState) -> list[CutOption]:
    """The options on the flank: with the tool's own corner, then with each accepted one in its order.

    Source: derived in the notes (which options).

    >>> from regrind.geometry.example import read_example
    >>> from regrind.geometry.tool_state import build_state
    >>> [cut_option.corner.form for cut_option in list_flank_options(build_state(read_example()))]
    ['square', 'square', 'square']
    """
    corner = tool_state.case.tool.corner
    own_corner = (
        list_options(tool_state) if corner == SQUARE else list_corner_options(tool_state, corner, accepted=False)
    )
    cut_options = list(own_corner)
    for accepted in tool_state.case.accept:
        cut_options += [
            cut_option
            for cut_option in list_corner_options(tool_state, accepted, accepted=True)
            if not any(is_as_good(measure_option(cut), measure_option(cut_option)) for cut in own_corner)
        ]
    return cut_options
