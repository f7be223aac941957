"""Complaints counted by what they came from and how they ended."""

from collections import Counter
from dataclasses import dataclass

from regrind.record.models.complaints import CAUSES, OUTCOMES

from .filters import ReviewFilter
from .sums import tally


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


def count_causes(look: ReviewFilter, complaints: int) -> Causes:
    """Those within a filter, of all its complaints (`Figures.complaints`) that are; at most two queries."""
    counts: Counter[str] = Counter()
    for lines in tally(look, "ended")["ended"].values():
        counts.update({line.key: line.n for line in lines})
    by_cause = [
        CauseRow(words, [(how, counts[f"{outcome} {cause}"]) for outcome, how in OUTCOMES]) for cause, words in CAUSES
    ]
    rows = sorted((row for row in by_cause if row.all), key=lambda row: -row.all)
    return Causes(rows, complaints - counts.total())
