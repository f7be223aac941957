"""In what order trays go to the grinder, so that what is urgent goes first and little is set anew.

The rule: trays are ranked by urgency (rush, late, due by tomorrow, due within a week, later) and a more urgent tray
always goes before a less urgent one. Among trays of one urgency the order is the one with the least change-over,
counted from what stands on the machine; of equals the earliest due goes first, then the first come. Pure: no
database, no clock.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import NamedTuple

# What a change costs beside the others; none is a time. Common practice, from memory: turning the work head's side over
# and mounting and truing a wheel hold a grinder up longest, a stylus or a stop is moved in a moment.
WEIGHTS = {"wheel": 4, "hand": 3, "work": 3, "holding": 2, "relief_deg": 1, "band": 1}
# Diameters that one stylus and one size of collet serve, up to and including, in mm: common practice, from memory.
BANDS_MM = (3.175, 6.35, 10.0, 16.0, 25.4)
URGENCIES = ("rush", "late", "due by tomorrow", "due within a week", "later")
RUSH, LATE, TOMORROW, WEEK, LATER = range(5)
EXACT_UP_TO = 9  # trays of one urgency whose best order is worked out; beyond, the nearest is taken each time


@dataclass(frozen=True, order=True)
class Setup:
    """What has to stand the same for pieces to be ground one after the other without setting anything anew.

    work: what is ground ("sides end"). relief_deg: the primary relief in whole degrees, None where it is not known.
    hand: of cut and helix, "right, right". band: the diameters that it serves, see `find_band`.
    """

    holding: str
    wheel: str
    work: str
    relief_deg: int | None
    hand: str
    band: str


@dataclass(frozen=True)
class Job:
    """Pieces of one line that are ground to the same figures.

    stop_nm: the travel stop. arrival: 1 for the first.
    """

    name: str
    setup: Setup
    pieces: int
    arrival: int
    rush: bool = False
    due: date | None = None
    diameter_nm: int = 0
    stop_nm: int = 0


@dataclass(frozen=True)
class Tray:
    """Jobs of one urgency that one setup serves, in the order in which least changes between them."""

    setup: Setup
    urgency: int
    jobs: tuple[Job, ...]

    @property
    def pieces(self) -> int:
        return sum(job.pieces for job in self.jobs)

    @cached_property
    def due(self) -> date:
        return min((job.due for job in self.jobs if job.due), default=date.max)

    @cached_property
    def arrival(self) -> int:
        return min(job.arrival for job in self.jobs)


class Count(NamedTuple):
    """How often something is set anew, and what that weighs."""

    changes: int
    weight: int


def find_band(diameter_mm: float | None) -> str:
    """The band of diameters that one stylus and collet size serve, in words; '' where the diameter is not known.

    >>> find_band(6.35), find_band(6.36), find_band(40)
    ('3.175 to 6.35', '6.35 to 10', 'over 25.4')
    """
    if not diameter_mm:
        return ""
    for low, high in zip((0, *BANDS_MM), BANDS_MM, strict=False):
        if diameter_mm <= high:
            return f"{low:g} to {high:g}" if low else f"up to {high:g}"
    return f"over {BANDS_MM[-1]:g}"


def find_urgency(rush: bool, due: date | None, today: date) -> int:
    """The class a job belongs to; an index of URGENCIES.

    >>> find_urgency(False, date(2026, 5, 5), date(2026, 5, 4)) == TOMORROW
    True
    """
    if rush:
        return RUSH
    days = (due - today).days if due else 8
    return LATE if days < 0 else TOMORROW if days <= 1 else WEEK if days <= 7 else LATER


def what_changes(before: Setup | None, after: Setup) -> tuple[str, ...]:
    """The names of what has to be set anew, the heaviest first; nothing is counted where nothing stood before."""
    if before is None:
        return ()
    return tuple(name for name in WEIGHTS if getattr(before, name) != getattr(after, name))


def weigh(before: Setup | None, after: Setup) -> int:
    """The weight of going from one setup to another: the sum of WEIGHTS over what changes.

    It is 0 for the same setup, the same both ways, and a detour is never lighter (a weighted Hamming distance).
    """
    if before is None:
        return 0
    return sum(weight for name, weight in WEIGHTS.items() if getattr(before, name) != getattr(after, name))


def count(setups: Sequence[Setup], standing: Setup | None = None) -> Count:
    """Change-overs of setups gone through in this order, starting from what stands on the machine."""
    pairs = list(zip([standing, *setups], setups, strict=False))
    return Count(sum(bool(what_changes(was, now)) for was, now in pairs), sum(weigh(was, now) for was, now in pairs))


def first_come(jobs: Sequence[Job]) -> list[Setup]:
    """The setups as they would follow one another if every line were ground in the order in which it was received."""
    return [job.setup for job in sorted(jobs, key=lambda job: job.arrival)]


def make_trays(jobs: Sequence[Job], today: date) -> list[Tray]:
    """Jobs that one setup serves, together, by urgency; in a tray by diameter, then by travel stop."""
    grouped: dict[tuple[int, Setup], list[Job]] = {}
    for job in jobs:
        grouped.setdefault((find_urgency(job.rush, job.due, today), job.setup), []).append(job)
    return [
        Tray(setup, urgency, tuple(sorted(like, key=lambda job: (job.diameter_nm, job.stop_nm, job.arrival))))
        for (urgency, setup), like in grouped.items()
    ]


def order(trays: Sequence[Tray], standing: Setup | None = None, exact_up_to: int = EXACT_UP_TO) -> list[Tray]:
    """The trays in the order of the rule above.

    standing: the setup on the machine, None where nothing is known of it. Up to `exact_up_to` trays of an urgency the
    order has the least weight that there is, counted together with how the classes before it end; beyond that many,
    the nearest tray is taken each time, from the first tray with which that comes out lightest.
    Source: the exact order is the dynamic programme of Held and Karp (1962) over subsets, for a path.
    """
    ends: list[_Path] = [_Path(0, (), (), standing)]
    for urgency in sorted({tray.urgency for tray in trays}):
        like = [tray for tray in trays if tray.urgency == urgency]
        ends = (_every_best_end if len(like) <= exact_up_to else _nearest)(ends, like)
    return list(min(ends, key=_rank).trays)


class _Path(NamedTuple):
    weight: int
    dues: tuple[tuple[date, int], ...]  # of paths that weigh the same the one whose trays are due first
    trays: tuple[Tray, ...]
    last: Setup | None

    def go(self, tray: Tray) -> "_Path":
        return _Path(
            self.weight + weigh(self.last, tray.setup),
            (*self.dues, (tray.due, tray.arrival)),
            (*self.trays, tray),
            tray.setup,
        )


def _rank(path: _Path) -> tuple[int, tuple[tuple[date, int], ...]]:
    return path.weight, path.dues


def _start_with(starts: Sequence[_Path], tray: Tray) -> _Path:
    return min((path.go(tray) for path in starts), key=_rank)


def _every_best_end(starts: Sequence[_Path], trays: Sequence[Tray]) -> list[_Path]:
    """The lightest path through all trays for each tray that it may end with."""
    best = {(1 << n, n): _start_with(starts, tray) for n, tray in enumerate(trays)}
    for size in range(1, len(trays)):
        for (done, _), path in [item for item in best.items() if item[0][0].bit_count() == size]:
            for n, tray in enumerate(trays):
                if not done & 1 << n:
                    key, longer = (done | 1 << n, n), path.go(tray)
                    if key not in best or _rank(longer) < _rank(best[key]):
                        best[key] = longer
    whole = (1 << len(trays)) - 1
    return [best[whole, n] for n in range(len(trays))]


def _nearest(starts: Sequence[_Path], trays: Sequence[Tray]) -> list[_Path]:
    return [_follow_nearest(_start_with(starts, tray), trays) for tray in trays]


def _follow_nearest(path: _Path, trays: Sequence[Tray]) -> _Path:
    waiting = [tray for tray in trays if tray is not path.trays[-1]]
    while waiting:
        nearest = min(waiting, key=lambda tray: (weigh(path.last, tray.setup), tray.due, tray.arrival))
        waiting.remove(nearest)
        path = path.go(nearest)
    return path
