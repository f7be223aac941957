"""What is charged beside the regrind: how many pieces of a line it was done on."""

from collections import Counter
from collections.abc import Sequence
from typing import cast

from regrind.bench.models import CoaterPiece, FinalCheck, Grind
from regrind.bench.revisions import newest, summarize_grinds
from regrind.record.complaints import refused_pieces
from regrind.record.models import EXTRAS, Piece

BY_PIECE = ("corner", "gash", "coating", "inspection")
CORNERS = frozenset(("corner", "ball"))  # parts of a grind that are charged beside the others
WORDS = dict(EXTRAS)
Counts = dict[int, Counter[str]]  # line -> item -> pieces


def count_extras(pieces: Sequence[Piece]) -> Counts:
    """By line, how many of these pieces had a corner re-formed, an end gashed again, a coating put on by a coater, or
    an inspection alone. Five queries; what came back as a complaint is not counted unless that was refused."""
    refused = refused_pieces(pieces)
    charged = {piece.pk: piece for piece in pieces if piece.complaint_of_id is None or piece.pk in refused}
    ground = [pk for pk, piece in charged.items() if piece.result == "ground"]
    items = {
        "corner": _cornered(ground),
        "gash": set(Grind.objects.filter(piece__in=ground, gashed=True).values_list("piece", flat=True)),
        "coating": set(_coated(ground)),
        "inspection": {pk for pk, piece in charged.items() if piece.result in ("returned_unground", "scrap")},
    }
    counts: Counts = {}
    for item, which in items.items():
        for pk in which:
            counts.setdefault(charged[pk].line_id, Counter())[item] += 1
    return counts


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
