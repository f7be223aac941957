"""Why some tools are decided by hand: what the plan knows of a plain end mill would mislead."""

from regrind.record.dimension_words import say_assumed
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line

TIPPED = "the braze and the thickness of a carbide tip are not known to the plan"

INSERTS = "its inserts are changed, not ground"


def why_not_ground(line: Line) -> str:
    """The reason why tools of this line are never ground, '' where they may be; it says where it is only assumed."""
    return f"{INSERTS}{_assumed(line)}" if tool_of(line).material == "indexable" else ""


def why_by_hand(line: Line) -> str:
    """The reason in words, '' where the plan works the line's tools out; it says where it is only assumed."""
    return f"{TIPPED}{_assumed(line)}" if tool_of(line).material == "tipped" else ""


def _assumed(line: Line) -> str:
    words = say_assumed(line, "material")
    return f" ({words}: confirm it, or change the kind of the line)" if words else ""
