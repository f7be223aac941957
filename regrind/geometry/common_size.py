"""Like pieces that leave at one size: what each step size cleans, the best one and two, and a matched set."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from regrind.geometry.errors import Refused

Why = Literal["too_deep", "cut_back_too_long"]
_MOST_SIZES = 10_000
_SIXTY_FOURTH_NM, _TENTH_NM, _HUNDREDTH_NM = 396_875, 2_540, 10_000


@dataclass(frozen=True, slots=True)
class CleanAt:
    """The largest clean diameter of a piece once its end is cut back by so much; whole nm."""

    cut_back_nm: int
    diameter_nm: int


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece by its name, with its options (the plan's, sides ground or to be ground)."""

    name: str
    cleans: tuple[CleanAt, ...]


@dataclass(frozen=True, slots=True)
class Bounds:
    """The nominal diameter sizes are stepped down from, the step, and the limits; whole nm, None unchecked."""

    nominal_diameter_nm: int
    step_nm: int
    least_diameter_nm: int | None = None
    most_cut_back_nm: int | None = None


@dataclass(frozen=True, slots=True)
class Miss:
    """A piece that does not come clean at a size: its largest clean diameter within the cut-back, and why."""

    name: str
    largest_nm: int | None
    why: Why


@dataclass(frozen=True, slots=True)
class Size:
    """One step size: which pieces come clean, each with its smallest cut-back, and which do not."""

    diameter_nm: int
    clean: tuple[tuple[str, int], ...]
    misses: tuple[Miss, ...]


@dataclass(frozen=True, slots=True)
class BestSizes:
    """One or two sizes, larger first, how many pieces come clean in all and the diameter they keep together."""

    diameters_nm: tuple[int, ...]
    clean: int
    total_nm: int


@dataclass(frozen=True, slots=True)
class MatchedSet:
    """The size of a set (None where it has none), the piece that sets it, the size without that piece, and what
    that piece costs each of the others on the diameter."""

    diameter_nm: int | None
    held_by: str
    without_nm: int | None
    cost_nm: int | None


def find_step_in_unit(nominal_diameter_nm: int, step_nm: int) -> int:
    """The step in the tool's own unit: as given where it is a round figure there, else the nearest 1, 2 or 5.

    nominal_diameter_nm: above 0. A nominal diameter on whole 64ths of an inch is an inch tool, any other a metric
    one. Round is a whole number of tenths (.0001 in) or of hundredths of a millimetre. step_nm: above 0, else Refused
    naming `step`. Source: common practice; nearest by ratio.

    >>> find_step_in_unit(6_000_000, 127_000), find_step_in_unit(6_350_000, 127_000)
    (100000, 127000)
    """
    if step_nm <= 0:
        raise Refused("step", "must be above 0")
    unit = _TENTH_NM if nominal_diameter_nm % _SIXTY_FOURTH_NM == 0 else _HUNDREDTH_NM
    if step_nm % unit == 0:
        return step_nm
    figures = [unit * figure * ten for ten in (1, 10, 100, 1_000, 10_000) for figure in (1, 2, 5)]
    return min(figures, key=lambda nm: (max(nm, step_nm) / min(nm, step_nm), nm))


def list_sizes(pieces: Sequence[Piece], bounds: Bounds) -> list[Size]:
    """Every step size from the first at which a piece comes clean down to the first at which all do.

    Sizes are nominal - k * step, k from 0; none below `least_diameter_nm`. Raises Refused naming the step.
    Source: counting; nothing is rounded.

    >>> pieces = [Piece("1", (CleanAt(0, 9_870),)), Piece("2", (CleanAt(0, 9_940), CleanAt(300, 9_990)))]
    >>> [(size.diameter_nm, size.clean) for size in list_sizes(pieces, Bounds(10_000, 50))]
    [(9950, (('2', 300),)), (9900, (('2', 0),)), (9850, (('1', 0), ('2', 0)))]
    """
    largest = [nm for piece in pieces if (nm := find_largest(piece, bounds)) is not None]
    if not largest:
        return []
    first, last = (step_down(nm, bounds) for nm in (max(largest), min(largest)))
    if (first - last) // bounds.step_nm > _MOST_SIZES:
        raise Refused("step", f"is too fine: more than {_MOST_SIZES} sizes between the pieces")
    least = bounds.least_diameter_nm or 1
    return [size_up(pieces, bounds, nm) for nm in range(first, last - 1, -bounds.step_nm) if nm >= least]


def size_up(pieces: Sequence[Piece], bounds: Bounds, diameter_nm: int) -> Size:
    """Which of `pieces` come clean at one size.

    Source: counting; nothing is rounded.

    >>> size_up([Piece("1", (CleanAt(0, 9_870),))], Bounds(10_000, 50), 9_900).misses
    (Miss(name='1', largest_nm=9870, why='too_deep'),)
    """
    clean, misses = [], []
    for piece in pieces:
        fitting = [item.cut_back_nm for item in _within(piece, bounds) if item.diameter_nm >= diameter_nm]
        if fitting:
            clean.append((piece.name, min(fitting)))
        else:
            misses.append(_miss(piece, bounds, diameter_nm))
    return Size(diameter_nm, tuple(clean), tuple(misses))


def find_largest(piece: Piece, bounds: Bounds) -> int | None:
    """The largest clean diameter of a piece within the longest cut-back, None where it has none.

    Source: counting; nothing is rounded.

    >>> find_largest(Piece("2", (CleanAt(0, 9_940), CleanAt(300, 9_990))), Bounds(10_000, 50, None, 200))
    9940
    """
    return max((item.diameter_nm for item in _within(piece, bounds)), default=None)


def find_best_sizes(pieces: Sequence[Piece], bounds: Bounds, count: Literal[1, 2]) -> BestSizes | None:
    """The one or two sizes that clean most pieces, and of these the one that leaves most diameter in all.

    Each piece goes to the largest of the sizes at which it comes clean. None where no piece comes clean.
    Source: counting; nothing is rounded.

    >>> pieces = [Piece("1", (CleanAt(0, 9_870),)), Piece("2", (CleanAt(0, 9_990),))]
    >>> find_best_sizes(pieces, Bounds(10_000, 50), 1)
    BestSizes(diameters_nm=(9850,), clean=2, total_nm=19700)
    >>> find_best_sizes(pieces, Bounds(10_000, 50), 2)
    BestSizes(diameters_nm=(9950, 9850), clean=2, total_nm=19800)
    """
    candidates = list(_list_candidates(pieces, bounds, count))
    return max(
        candidates,
        key=lambda best_sizes: (best_sizes.clean, best_sizes.total_nm, -len(best_sizes.diameters_nm)),
        default=None,
    )


def _list_candidates(pieces: Sequence[Piece], bounds: Bounds, count: int) -> Iterator[BestSizes]:
    """Only the sizes just below some piece's largest can be best: any other gives way to the next one up."""
    sizes = [step_down(nm, bounds) for piece in pieces if (nm := find_largest(piece, bounds)) is not None]
    held: dict[int, int] = {}
    for size in sizes:
        if size >= (bounds.least_diameter_nm or 1):
            held[size] = held.get(size, 0) + 1
    ordered = sorted(held, reverse=True)
    reached = {size: sum(held[larger] for larger in ordered if larger >= size) for size in ordered}
    for size in ordered:
        yield BestSizes((size,), reached[size], reached[size] * size)
    if count == 2:
        for large, small in combinations(ordered, 2):
            total_nm = reached[large] * large + (reached[small] - reached[large]) * small
            yield BestSizes((large, small), reached[small], total_nm)


def match_set(pieces: Sequence[Piece], bounds: Bounds, tolerance_nm: int = 0) -> MatchedSet:
    """The largest step size that all of a set come clean at, each from the size down to `tolerance_nm` below it.

    A piece that has no clean diameter at or above the limit breaks the set: its size is then None, and what the
    rest could be is given. Raises Refused where there is no piece.
    Source: counting; nothing is rounded.

    >>> pieces = [Piece("1", (CleanAt(0, 9_870),)), Piece("2", (CleanAt(0, 9_990),))]
    >>> match_set(pieces, Bounds(10_000, 50))
    MatchedSet(diameter_nm=9850, held_by='1', without_nm=9950, cost_nm=100)
    """
    if not pieces:
        raise Refused("pieces", "a set needs at least one piece")
    low = min(pieces, key=lambda piece: find_largest(piece, bounds) or 0)
    rest = [piece for piece in pieces if piece is not low]
    together, without = (_set_size(group, bounds, tolerance_nm) for group in (pieces, rest))
    cost = without - together if together is not None and without is not None else None
    return MatchedSet(together, low.name, without, cost)


def _set_size(pieces: Sequence[Piece], bounds: Bounds, tolerance_nm: int) -> int | None:
    largest = [find_largest(piece, bounds) for piece in pieces]
    known = [nm for nm in largest if nm is not None]
    if not known or len(known) < len(largest):
        return None
    size = step_down(min(known) + tolerance_nm, bounds)
    return size if size >= (bounds.least_diameter_nm or 1) else None


def step_down(diameter_nm: int, bounds: Bounds) -> int:
    """The largest step size not above a diameter, and not above nominal; whole nm.

    Raises Refused naming `step` unless it is above 0. Source: whole-number division.

    >>> step_down(9_870, Bounds(10_000, 50)), step_down(10_020, Bounds(10_000, 50))
    (9850, 10000)
    """
    if bounds.step_nm <= 0:
        raise Refused("step", "must be above 0")
    steps = max(0, -((diameter_nm - bounds.nominal_diameter_nm) // bounds.step_nm))
    return bounds.nominal_diameter_nm - steps * bounds.step_nm


def _within(piece: Piece, bounds: Bounds) -> list[CleanAt]:
    most = bounds.most_cut_back_nm
    return [item for item in piece.cleans if most is None or item.cut_back_nm <= most]


def _miss(piece: Piece, bounds: Bounds, diameter_nm: int) -> Miss:
    by_end = any(item.diameter_nm >= diameter_nm for item in piece.cleans)
    return Miss(piece.name, find_largest(piece, bounds), "cut_back_too_long" if by_end else "too_deep")
