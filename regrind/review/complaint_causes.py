"""Complaints counted by what they came from and how they ended."""

from collections import Counter
from dataclasses import dataclass

from regrind.record.models import ComplaintEnd, Line, Piece
from regrind.record.models.complaints import CAUSES, OUTCOMES

from .filters import ReviewFilter


@dataclass(frozen=True)
class CauseRow:
    """One cause: how many ended in which way."""

    cause: str
    counts: list[tuple[str, int]]

    @property
    def all(self) -> int:
        return sum(count for _, count in self.counts)


@dataclass(frozen=True)
class Causes:
    """Each cause that came up, the most frequent first; open: complaints that nobody ended."""

    rows: list[CauseRow]
    open: int

    @property
    def outcomes(self) -> list[str]:
        return [words for _, words in OUTCOMES]

    @property
    def any(self) -> bool:
        return bool(self.rows or self.open)


def count_causes(look: ReviewFilter) -> Causes:
    """The complaints whose lines are within a filter; two queries."""
    complained = Piece.objects.filter(complaint_of__isnull=False, line__in=Line.objects.filter(look.lines()))
    rows = ComplaintEnd.objects.filter(piece__in=complained).order_by("pk").values_list("piece", "cause", "outcome")
    ends = {piece: (cause, outcome) for piece, cause, outcome in rows}
    counts = Counter(ends.values())
    by_cause = [
        CauseRow(words, [(how, counts[cause, outcome]) for outcome, how in OUTCOMES])
        for cause, words in CAUSES
        if any(counts[cause, outcome] for outcome, _ in OUTCOMES)
    ]
    return Causes(sorted(by_cause, key=lambda row: -row.all), complained.count() - len(ends))
