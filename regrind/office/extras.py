"""What is charged beside the regrind: how many pieces of a line it was done on."""

from collections.abc import Iterable, Sequence
from typing import cast

from regrind.bench.models import CoaterPiece, FinalCheck, Grind
from regrind.bench.revisions import newest, summarize_grinds
from regrind.record.models import EXTRAS, Piece

BY_PIECE = ("corner", "gash", "coating", "inspection")
CORNERS = frozenset(("corner", "ball"))  # parts of a grind that are charged beside the others
WORDS = dict(EXTRAS)
Extras = dict[str, set[int]]  # item -> the pieces that it was done on


def find_extras(charged: Sequence[Piece]) -> Extras:
    """Which of these pieces had a corner re-formed, an end gashed again, a coating put on by a coater, or an
    inspection alone; four queries. charged: none that came back as a complaint, unless that was refused."""
    ground = [piece.pk for piece in charged if piece.result == "ground"]
    return {
        "corner": _cornered(ground),
        "gash": set(Grind.objects.filter(piece__in=ground, gashed=True).values_list("piece", flat=True)),
        "coating": set(_coated(ground)),
        "inspection": {piece.pk for piece in charged if piece.result in ("returned_unground", "scrap")},
    }


def count_extras(pieces: Iterable[Piece], extras: Extras) -> dict[str, int]:
    """On how many of these pieces each item was done, none left out that was done on one."""
    keys = {piece.pk for piece in pieces}
    counts = {item: len(keys & which) for item, which in extras.items()}
    return {item: count for item, count in counts.items() if count}


def _coated(ground: Sequence[int]) -> Sequence[int]:
    """Those that came back from a coater."""
    back = CoaterPiece.objects.filter(piece__in=ground, piece__status__in=("ground", "released", "left"))
    return list(back.values_list("piece", flat=True))


def _cornered(ground: Sequence[int]) -> set[int]:
    """Those whose corner or ball was ground beside something else, or was left re-formed by their check. A corner that
    is ground alone is the work itself."""
    parts = summarize_grinds(ground).parts
    alone = {pk for pk, done in parts.items() if CORNERS.issuperset(done)}
    checked = {pk for pk, row in newest(FinalCheck, ground).items() if _corner(row) == "re-formed"}
    return (checked | {pk for pk, done in parts.items() if CORNERS.intersection(done)}) - alone


def _corner(check: FinalCheck) -> str:
    """The corner as the piece left, read on it or on the piece that its check follows."""
    return cast(FinalCheck, check.copied_from or check).corner
