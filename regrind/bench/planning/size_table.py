"""The step sizes that a line's pieces may share: who comes clean at each, what is proposed, and what it costs."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from regrind.geometry import common_size as sizing
from regrind.geometry.taken_size import (
    Cost,
    Like,
    Proposal,
    find_costs,
    list_cleans,
    list_pieces,
    propose_size,
)
from regrind.record.models import Line

from .groups import Group

MOST_SHOWN = 40


@dataclass(frozen=True)
class Table:
    """Step sizes with who comes clean at each; empty where there is nothing to share.

    likes: by the key of their group; ends_only: pieces whose plan leaves the sides alone, and no size is taken for
    them; count: the pieces that may take one; proposal: a size that costs nobody anything; costs: what one group costs
    the others at one size for all; matched: the size of a set that leaves at one size.
    """

    likes: dict[str, Like]
    bounds: sizing.Bounds | None = None
    sizes: tuple[sizing.Size, ...] = ()
    pieces: tuple[sizing.Piece, ...] = ()
    ends_only: tuple[str, ...] = ()
    two: sizing.BestSizes | None = None
    proposal: Proposal | None = None
    costs: tuple[Cost, ...] = ()
    matched: sizing.MatchedSet | None = None

    @property
    def count(self) -> int:
        return len(self.pieces)

    @property
    def proposed(self) -> set[int]:
        """The sizes to tick first: none that costs anybody a regrind or a verdict."""
        if self.matched:
            return {self.matched.diameter_nm} if self.matched.diameter_nm and not self.costs else set()
        return {self.proposal.diameter_nm} if self.proposal and not self.losing else set()

    @property
    def losing(self) -> tuple[str, ...]:
        """Pieces that come clean at the proposed size too, and would lose by it."""
        fits = self.proposal.not_taken if self.proposal else ()
        return tuple(name for fit in fits if fit.option and not fit.like.leaves_sides for name in fit.like.names)


def tabulate(line: Line, groups: Sequence[Group]) -> Table:
    """The table for the inspected pieces of a line; empty where nothing was worked out that grinds the sides."""
    likes = {group.key: like for group in groups if (like := find_like(group))}
    bounds, pieces = _find_bounds(line, groups), _list_pieces(line, likes)
    if bounds is None or not any(piece.cleans for piece in pieces):
        return Table(likes)
    within = [sizing.Piece(p.name, _keep_within(p.cleans, bounds.most_cut_back_nm)) for p in pieces]
    matched = sizing.match_set(pieces, bounds, line.match_tolerance_nm or 0) if line.matched else None
    return Table(
        likes,
        bounds,
        _list_sizes(pieces, bounds, matched),
        tuple(within),
        () if line.matched else _list_ends_only(likes),
        sizing.find_best_sizes(pieces, bounds, 2),
        None if line.matched else propose_size(list(likes.values()), bounds),
        find_costs(list(likes.values()), bounds),
        matched,
    )


def find_like(group: Group) -> Like | None:
    """A group's pieces as the geometry takes them, with the option that is offered first as their own."""
    if group.inputs is None or group.plan is None:
        return None
    plan = replace(group.plan, recommended=group.preferred)
    return Like(tuple(piece.short for piece in group.pieces), group.inputs, plan)


def _list_pieces(line: Line, likes: dict[str, Like]) -> list[sizing.Piece]:
    """Every piece with its largest clean diameters; those that leave the sides alone only where all must match."""
    if not line.matched:
        return list_pieces(list(likes.values()))
    return [sizing.Piece(name, list_cleans(like)) for like in likes.values() for name in like.names]


def _list_ends_only(likes: dict[str, Like]) -> tuple[str, ...]:
    return tuple(name for like in likes.values() if like.leaves_sides for name in like.names)


def _list_sizes(
    pieces: Sequence[sizing.Piece], bounds: sizing.Bounds, matched: sizing.MatchedSet | None
) -> tuple[sizing.Size, ...]:
    sizes = list(sizing.list_sizes(pieces, bounds)[:MOST_SHOWN])
    if matched and matched.diameter_nm and matched.diameter_nm not in {size.diameter_nm for size in sizes}:
        sizes.insert(0, sizing.size_up(pieces, bounds, matched.diameter_nm))
    return tuple(sizes)


def _find_bounds(line: Line, groups: Sequence[Group]) -> sizing.Bounds | None:
    """Sizes step down from nominal by the customer's step, else the shop's, in the tool's own unit; the end is cut back
    no further than the offered option of some piece does."""
    nominal = line.family.nominal_nm
    step = line.batch.customer.step_nm or next((group.shop_step_nm for group in groups), 0)
    if not nominal or not step:
        return None
    offered = [g.options[g.preferred].get("cut_back_mm", 0.0) for g in groups if g.preferred is not None]
    most = round(max(offered) * 1e6) if offered else None
    return sizing.Bounds(nominal, sizing.find_step_in_unit(nominal, step), line.smallest_diameter_nm(), most)


def _keep_within(cleans: Sequence[sizing.CleanAt], most_nm: int | None) -> tuple[sizing.CleanAt, ...]:
    return tuple(clean for clean in cleans if most_nm is None or clean.cut_back_nm <= most_nm)
