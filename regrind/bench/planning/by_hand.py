"""Why some tools are decided by hand: what the plan knows of a plain end mill would mislead."""

from regrind.record.models import Family

KINDS = {
    "ball": "a ball end is ground along its arc, and its damage counts along the radius of the ball",
    "radius": "a corner radius is ground along its arc, and loses other lengths than a square corner",
}
TIPPED = "the braze and the thickness of a carbide tip are not known to the plan"

INSERTS = "its inserts are changed, not ground"


def why_not_ground(family: Family) -> str:
    """The reason why tools of this family are never ground, '' where they may be."""
    return INSERTS if family.material == "indexable" else ""


def why_by_hand(family: Family) -> str:
    """The reason in words, '' where the plan works the family out."""
    if family.material == "tipped":
        return TIPPED
    return KINDS.get(family.kind, "")
