"""A line on the bench: where its pieces are and the one thing to do next."""

from collections import Counter
from dataclasses import dataclass

from django.urls import reverse

from regrind.record.find import pieces_of
from regrind.record.models import Line, Piece
from regrind.shop.models import Person

ANSWER = "office:answer"
STEPS = {  # status -> (verb, name of the page's address, the role that may)
    "arrived": ("Inspect", "bench:inspect", "bench"),
    "inspected": ("Plan", "bench:plan", "bench"),
    "waiting": ("Enter the customer’s answer", ANSWER, "front_desk"),
    "ready_to_grind": ("Grind", "bench:grind", "bench"),
    "ground": ("Check", "bench:check", "bench"),
    "at_coater": ("Count back", "bench:at_coater", "bench"),
}
WITH_LABEL = ("released", "left")


@dataclass(frozen=True)
class NextStep:
    """What some of a line's pieces wait for."""

    verb: str
    url: str
    role: str
    count: int
    line: Line

    @property
    def address(self) -> str:
        return reverse(self.url, args=[str(self.line)])

    @property
    def label(self) -> str:
        whom = " for" if self.url == ANSWER else ""
        return f"{self.verb}{whom} {self.count} piece{'' if self.count == 1 else 's'}"


@dataclass(frozen=True)
class PieceStep:
    """What one piece waits for."""

    address: str
    label: str


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
        return sum(piece.status in WITH_LABEL for piece in self.pieces)

    @property
    def complaints(self) -> list[Piece]:
        return [piece for piece in self.pieces if piece.complaint]

    @property
    def waits_for(self) -> str:
        """Who does what is next, for a reader who may do none of it."""
        if not self.steps:
            return "Nothing on the bench is left to do for this line."
        if self.steps[0].role == "front_desk":
            return "The front desk records the customer’s answer; then it goes on here."
        return "The bench does what is next."


def open_hub(line: Line) -> Hub:
    """The line's hub in one query. What most pieces wait for comes first, of equals the earlier step."""
    pieces = list(pieces_of(line))
    counted = Counter(piece.status for piece in pieces)
    names = dict(Piece._meta.get_field("status").choices or [])
    waiting = [NextStep(*step, counted[status], line) for status, step in STEPS.items() if counted[status]]
    waiting.sort(key=lambda step: -step.count)
    return Hub(line, pieces, [(str(names[status]), counted[status]) for status in names if counted[status]], waiting)


def next_step_of(piece: Piece, person: Person) -> PieceStep | None:
    """What the piece waits for, where this person may do it."""
    step = STEPS.get(piece.status)
    if step is None or not person.may(step[2]):
        return None
    verb, url, _role = step
    address = f"{reverse(url, args=[str(piece.line)])}?piece={piece.pk}"
    return PieceStep(address, verb if url == ANSWER else f"{verb} this piece")
