"""What is decided about pieces."""

from dataclasses import dataclass
from typing import TypedDict


@dataclass(frozen=True)
class Decision:
    """What is decided: grind, ask or not_ground (with result returned_unground or scrap and a reason).

    diameter_nm, cut_back_nm, usable_nm, grinds: set these apart from the option (a common size, a plain kind).
    """

    decision: str
    result: str = ""
    reason: str = ""
    grinds: str = ""
    diameter_nm: int | None = None
    cut_back_nm: int | None = None
    usable_nm: int | None = None


class Details(TypedDict, total=False):
    """What `decide` takes beside the decision itself: the fields of `Decision`."""

    result: str
    reason: str
    grinds: str
    diameter_nm: int | None
    cut_back_nm: int | None
    usable_nm: int | None
