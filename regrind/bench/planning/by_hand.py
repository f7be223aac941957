"""Why some tools are decided by hand: what the plan knows of a plain end mill would mislead."""

from regrind.record.models import Family

TIPPED = "the braze and the thickness of a carbide tip are not known to the plan"

INSERTS = "its inserts are changed, not ground"


def why_not_ground(family: Family) -> str:
    """The reason why tools of this family are never ground, '' where they may be."""
    return INSERTS if family.material == "indexable" else ""


def why_by_hand(family: Family) -> str:
    """The reason in words, '' where the plan works the family out."""
    return TIPPED if family.material == "tipped" else ""
