"""A common size taken by like tools: each one's option worked out whole at that size, and what it costs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from regrind.geometry.common_size import Bounds, CleanAt, Piece, find_largest, step_down
from regrind.geometry.inputs import Case
from regrind.geometry.plan import find_rank, work_out, work_out_at
from regrind.geometry.result import Answer, Option
from regrind.geometry.units import NM_PER_MM
from regrind.geometry.verdict import keeps_floors, rank_verdict


@dataclass(frozen=True, slots=True)
class Like:
    """Pieces that were read as one, their case and its plan."""

    names: tuple[str, ...]
    case: Case
    plan: Answer

    @property
    def plan_option(self) -> Option | None:
        """What the plan recommends for each of them by itself."""
        return None if self.plan.recommended is None else self.plan.options[self.plan.recommended]

    @property
    def leaves_sides(self) -> bool:
        """Whether they are best left alone on the sides: they keep their diameter and take no common size."""
        return self.plan_option is not None and not self.plan_option.sides


@dataclass(frozen=True, slots=True)
class Fit:
    """Like pieces at a size. `at`: their option there, None where they do not come clean or nothing is left.

    What it costs each against its own plan: `diameter_lost_nm`, `regrinds_lost` (None where they are not counted),
    `worse` (verdict, or a floor that the own plan keeps).
    """

    like: Like
    option: Option | None
    diameter_lost_nm: int = 0
    regrinds_lost: int | None = None
    worse: bool = False


@dataclass(frozen=True, slots=True)
class Proposal:
    """A size that costs nobody a regrind or a verdict, and who takes it; the others go by their own plans."""

    diameter_nm: int
    taken: tuple[Fit, ...]
    not_taken: tuple[Fit, ...]

    @property
    def setups_saved(self) -> int:
        """Sizes fewer to set up for than if each group of like pieces went to its own."""
        return len(self.taken) - 1


@dataclass(frozen=True, slots=True)
class Cost:
    """What one group of like pieces costs all the others at the common size that it holds down.

    `size_without_nm`: the size the others would take without it. `regrinds`: lost by them in all, None where they
    are not counted. `others`: how many pieces that are.
    """

    names: tuple[str, ...]
    size_nm: int
    size_without_nm: int
    others: int
    regrinds: int | None


def plan_like(names: Sequence[str], case: Case) -> Like:
    """Like pieces by their names, planned by `plan.work_out`. Raises Refused as that does.

    Source: the plan of each piece, `plan.work_out_at`.

    >>> from regrind.geometry.example import read_example
    >>> plan_like(["1", "2"], read_example()).leaves_sides
    False
    """
    return Like(tuple(names), case, work_out(case))


def list_cleans(like: Like) -> tuple[CleanAt, ...]:
    """The largest diameters in whole nm at which like pieces come clean, per cut-back, the sides being ground.

    An option that only cuts the end back is none of them: it leaves the sides as they are. Nor is scrap, or another
    corner.
    Source: the plan of each piece, `plan.work_out_at`.

    >>> from regrind.geometry.example import read_example
    >>> list_cleans(plan_like(["1"], read_example()))
    (CleanAt(cut_back_nm=304800, diameter_nm=6116320), CleanAt(cut_back_nm=1574800, diameter_nm=6262897))
    """
    options = [o for o in like.plan.options if o.sides and o.usual and o.verdict != "scrap"]
    return tuple(
        CleanAt(round(option.cut_back_mm * NM_PER_MM), math.floor(option.diameter_mm * NM_PER_MM + 1e-3))
        for option in options
    )


def list_pieces(likes: Sequence[Like]) -> list[Piece]:
    """Every piece by itself, as the functions of `common_size` take them; those that leave the sides are not there.

    Source: the plan of each piece, `plan.work_out_at`.

    >>> from regrind.geometry.example import read_example
    >>> [piece.name for piece in list_pieces([plan_like(["1", "2"], read_example())])]
    ['1', '2']
    """
    return [Piece(name, list_cleans(like)) for like in likes if not like.leaves_sides for name in like.names]


def fit_size(like: Like, bounds: Bounds, diameter_nm: int) -> Fit:
    """Like pieces at one size in nm: of the cut-backs that come clean there, the one the plan would recommend.

    Source: `plan.work_out_at` for each, ordered as the plan orders its options.

    >>> from regrind.geometry.example import read_example
    >>> fit = fit_size(plan_like(["1"], read_example()), Bounds(6_350_000, 127_000), 6_223_000)
    >>> round(fit.option.cut_back_mm, 4), fit.diameter_lost_nm, fit.regrinds_lost
    (1.5748, 39898, 0)
    """
    most = bounds.most_cut_back_nm
    cuts = [
        item.cut_back_nm
        for item in list_cleans(like)
        if item.diameter_nm >= diameter_nm and (most is None or item.cut_back_nm <= most)
    ]
    there = [work_out_at(like.case, cut, diameter_nm) for cut in cuts]
    plan_option = like.plan_option
    if not there or plan_option is None:
        return Fit(like, None)
    typical = plan_option.regrinds_left is not None
    option = min(there, key=lambda option: find_rank(option, typical=typical))
    lost = round(plan_option.diameter_mm * NM_PER_MM) - diameter_nm
    worse = _is_worse(option, plan_option)
    if plan_option.regrinds_left is None or option.regrinds_left is None:
        return Fit(like, option, lost, None, worse)
    return Fit(like, option, lost, plan_option.regrinds_left - option.regrinds_left, worse)


def _is_worse(option: Option, plan_option: Option) -> bool:
    if rank_verdict(option.verdict) != rank_verdict(plan_option.verdict):
        return rank_verdict(option.verdict) > rank_verdict(plan_option.verdict)
    return keeps_floors(plan_option.limits) and not keeps_floors(option.limits)


def is_free(fit: Fit, bounds: Bounds) -> bool:
    """Whether a size costs like pieces nothing that counts: clean, no worse, no regrind lost, under one step where
    regrinds are not counted; and their own plan grinds the sides.
    Source: the plan of each piece, `plan.work_out_at`.

    >>> from regrind.geometry.example import read_example
    >>> bounds = Bounds(6_350_000, 127_000)
    >>> is_free(fit_size(plan_like(["1"], read_example()), bounds, 6_223_000), bounds)
    True
    """
    if fit.option is None or fit.worse or fit.like.leaves_sides or fit.option.verdict == "scrap":
        return False
    return fit.diameter_lost_nm < bounds.step_nm if fit.regrinds_lost is None else fit.regrinds_lost <= 0


def propose_size(likes: Sequence[Like], bounds: Bounds) -> Proposal | None:
    """The step size that most pieces can take without losing a verdict or a regrind, the largest of such.

    None where no two groups of like pieces can. Nobody is proposed whom it costs anything (`is_free`); nobody's own
    size is held down by another.
    Source: each group can take an interval of sizes, and most intervals meet at the upper end of one of them.

    >>> from regrind.geometry.example import read_example
    >>> proposal = propose_size([plan_like([name], read_example()) for name in "ab"], Bounds(6_350_000, 127_000))
    >>> proposal.diameter_nm, proposal.setups_saved
    (6223000, 1)
    """
    best: Proposal | None = None
    for size in _list_ends(likes, bounds):
        fits = [fit_size(like, bounds, size) for like in likes]
        taken = tuple(fit for fit in fits if is_free(fit, bounds))
        if len(taken) > 1 and (best is None or _count(taken) > _count(best.taken)):
            best = Proposal(size, taken, tuple(fit for fit in fits if not is_free(fit, bounds)))
    return best


def _list_ends(likes: Sequence[Like], bounds: Bounds) -> list[int]:
    """The step sizes just below some group's largest, largest first."""
    largest = [find_largest(piece, bounds) for piece in list_pieces(likes)]
    sizes = {step_down(nm, bounds) for nm in largest if nm is not None}
    return sorted((nm for nm in sizes if nm >= (bounds.least_diameter_nm or 1)), reverse=True)


def _count(fits: Sequence[Fit]) -> int:
    return sum(len(fit.like.names) for fit in fits)


def find_costs(likes: Sequence[Like], bounds: Bounds) -> tuple[Cost, ...]:
    """What each group costs the others where all are to leave at one size: only the group that holds it down does.

    Empty where it costs nothing, where not all come clean at one size, or where there is only one group.
    Source: the size of all against the size of all but one; regrinds by `fit_size` at both.

    >>> from regrind.geometry.example import read_example
    >>> find_costs([plan_like([name], read_example()) for name in "ab"], Bounds(6_350_000, 127_000))
    ()
    """
    ground = [like for like in likes if not like.leaves_sides]
    size = _find_set_size(ground, bounds)
    if size is None or len(ground) < 2:
        return ()
    costs = []
    for like in ground:
        others = [other for other in ground if other is not like]
        without = _find_set_size(others, bounds)
        if without is not None and without > size:
            count = sum(len(other.names) for other in others)
            costs.append(Cost(like.names, size, without, count, _count_regrinds_lost(others, bounds, size, without)))
    return tuple(costs)


def _find_set_size(likes: Sequence[Like], bounds: Bounds) -> int | None:
    """The largest step size at which all come clean."""
    largest = [find_largest(piece, bounds) for piece in list_pieces(likes)]
    known = [nm for nm in largest if nm is not None]
    if not known or len(known) < len(largest):
        return None
    size = step_down(min(known), bounds)
    return size if size >= (bounds.least_diameter_nm or 1) else None


def _count_regrinds_lost(likes: Sequence[Like], bounds: Bounds, size_nm: int, without_nm: int) -> int | None:
    lost = 0
    for like in likes:
        low, high = (fit_size(like, bounds, nm).option for nm in (size_nm, without_nm))
        if low is None or high is None or low.regrinds_left is None or high.regrinds_left is None:
            return None
        lost += len(like.names) * (high.regrinds_left - low.regrinds_left)
    return lost
