"""A line on the bench: where its pieces are and the one thing to do next."""
from collections import Counter
from dataclasses import dataclass

from django.db.models import QuerySet

from regrind.record.models import Line, Piece

NEXT = {    # whereabouts -> (verb, url)
    "arrived": ("Look at them", "bench:inspect"), "looked_at": ("Plan them", "bench:plan"),
    "to_grind": ("Grind them", "bench:grind"), "ground": ("Check them", "bench:check"),
    "away": ("Count them back", "bench:away"),
}
ORDER = ("arrived", "looked_at", "to_grind", "ground", "away")


@dataclass(frozen=True)
class Hub:
    line: Line
    pieces: list[Piece]
    counts: list[tuple[str, int]]
    verb: str
    url: str

    @property
    def unit(self) -> str:
        return self.line.batch.customer.unit


def pieces_of(line: Line) -> QuerySet[Piece]:
    return line.pieces.select_related("batch__customer", "line__family", "tool")


def open_hub(line: Line) -> Hub:
    """The line with its pieces, counted by whereabouts; the next step is the earliest that any piece waits for."""
    pieces = list(pieces_of(line))
    counted = Counter(piece.whereabouts for piece in pieces)
    words = dict(Piece._meta.get_field("whereabouts").choices or [])
    verb, url = next((NEXT[where] for where in ORDER if counted[where]), ("", ""))
    return Hub(line, pieces, [(str(words[where]), n) for where, n in counted.items()], verb, url)
