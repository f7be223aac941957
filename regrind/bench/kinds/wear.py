"""When the face may be ground beside the flank: a wear land was read, and the tooth's shape is known."""

from regrind.geometry.inputs import Tool, Way

from ..readings import each_mark
from .kind import Known


def find_ways(tool: Tool, known: Known) -> tuple[Way, ...]:
    """Flank, and the face too where each mark is a wear land and rake, relief and land were given or read.

    A depth does not tell how far back from the edge it reaches, and the face's figures rest on that; a total reading
    is not enough for them either.
    """
    marks = list(each_mark(known.inspection))
    worn = bool(marks) and all("wear_land" in mark for mark in marks)
    shape = (tool.rake_deg, tool.primary_relief_deg, tool.primary_land_nm)
    if not worn or None in shape or "tir" in known.inspection.readings:
        return ("flank",)
    return "flank", "face"
