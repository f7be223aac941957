"""A line on the bench: where its pieces are and the one thing to do next."""

from collections import Counter
from dataclasses import dataclass

from regrind.record.find import pieces_of
from regrind.record.models import Line, Piece

STEPS = {  # whereabouts -> (verb, url, the role that may)
    "arrived": ("Inspect", "bench:inspect", "bench"),
    "inspected": ("Plan", "bench:plan", "bench"),
    "waiting": ("Record the answer", "office:answer", "front_desk"),
    "ready_to_grind": ("Grind", "bench:grind", "bench"),
    "ground": ("Check", "bench:check", "bench"),
    "at_coater": ("Count back", "bench:at_coater", "bench"),
}


@dataclass(frozen=True)
class NextStep:
    verb: str
    url: str
    role: str
    count: int


@dataclass(frozen=True)
class Hub:
    """A line with its pieces, how many stand where, and the steps they wait for, most pieces first."""

    line: Line
    pieces: list[Piece]
    counts: list[tuple[str, int]]
    steps: list[NextStep]

    @property
    def unit(self) -> str:
        return self.line.batch.customer.unit

    @property
    def finished(self) -> int:
        """How many pieces have their label by now."""
        return sum(piece.status in ("released", "left") for piece in self.pieces)


def open_hub(line: Line) -> Hub:
    """The line's hub in one query. What most pieces wait for comes first, of equals the earlier step."""
    pieces = list(pieces_of(line))
    counted = Counter(piece.status for piece in pieces)
    words = dict(Piece._meta.get_field("status").choices or [])
    waiting = [NextStep(*step, counted[where]) for where, step in STEPS.items() if counted[where]]
    waiting.sort(key=lambda step: -step.count)
    return Hub(line, pieces, [(str(words[where]), counted[where]) for where in words if counted[where]], waiting)
