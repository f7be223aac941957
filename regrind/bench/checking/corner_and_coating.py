"""What may be said of a corner and a coating after grinding, and what to offer first.

parts: all that was ground on the piece at this visit, in one setup or in several.
"""

from collections.abc import Sequence

from regrind.record.models import Family, Piece, Step

from ..models import CoaterPiece, Grind

ROUND = ("radius", "ball")
GONE = ("off", "gone", "none", "without", "no ", "worn", "uncoated")
CORNERS = ("corner", "ball")  # what grinding a corner again is called
PLACES = {
    "sides": "flank",
    "face": "face",
    "end": "end",
    "corner": "corner",
    "ball": "ball",
    "point": "point",
    "chamfer": "chamfer",
    "periphery": "flank",
    "left": "left side",
    "right": "right side",
}


def recoated(pieces: Sequence[Piece], grinds: dict[int, Grind]) -> dict[int, str]:
    """Piece id -> coating, of those that came back from a coater after they were last ground: two queries."""
    back = Step.objects.filter(piece__in=pieces, pair="at_coater>ground")
    came = {
        step.piece_id for step in back if step.piece_id not in grinds or step.event_id > grinds[step.piece_id].event_id
    }
    return dict(CoaterPiece.objects.filter(piece__in=came).order_by("pk").values_list("piece", "slip__coating"))


def wrong_corner(tool: Family, parts: Sequence[str], corner: str) -> str:
    """Why a corner cannot be called that, '' where it can."""
    if corner == "clipped" and tool.kind_data.corner in ROUND:
        return "Only a square corner is clipped: say sharp, broken, re-formed with its size, or now square."
    if corner == "as it was" and set(CORNERS) & set(parts):
        return "The corner was ground: say what it is now, with its size."
    if corner == "as it was" and tool.kind_data.corner in ROUND and "sides" in parts:
        shape = "ball" if tool.kind_data.corner == "ball" else "corner radius"
        return (
            f"The sides were ground, so the {shape} is no longer the radius it was: say sharp, broken, "
            "re-formed with its size, or now square."
        )
    return ""


def wrong_coating(tool: Family, parts: Sequence[str], coating: str, coated_again: bool) -> str:
    """Why a coating cannot be said to be there, '' where it can."""
    stated, had = coating.casefold(), tool.coating.casefold()
    if not had or coated_again or "sides" not in parts:
        return ""
    if "ground off" in stated and "flank" not in stated and any(place in stated for place in PLACES.values()):
        return (
            "The flank was ground as well: say “coating ground off on the flank”, and check the pieces whose flank "
            "was not by themselves."
        )
    if had not in stated:
        return ""
    if any(word in stated for word in GONE):
        return ""
    return (
        f"The flank was ground: it still says {tool.coating} only after a coater. "
        "Say “coating ground off on the flank”."
    )


def usual_coating(tool: Family, parts: Sequence[str], coating_now: str | None) -> str:
    """The coating to offer: what a coater put on, else where it was ground off, else as it came."""
    if coating_now:
        return coating_now
    off = [PLACES[part] for part in parts if part in PLACES]
    if not tool.coating or not off:
        return tool.coating
    return f"coating ground off on the {' and the '.join(off[:1] if 'sides' in parts else off)}"


def usual_corner(tool: Family, parts: Sequence[str]) -> str:
    """The corner to offer; '' where it has to be said."""
    if set(CORNERS) & set(parts):
        return "re-formed" if tool.kind_data.corner in ROUND else "clipped"
    if tool.kind_data.corner in ROUND:
        return "" if "sides" in parts or "end" in parts else "as it was"
    return "sharp" if tool.kind_data.corner == "square" else ""
