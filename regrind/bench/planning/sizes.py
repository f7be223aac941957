"""Taking one or two sizes for the pieces of a line, or one for a matched set, with each option worked out there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from regrind.geometry.common_size import Bounds, find_largest
from regrind.geometry.result import Answer, as_dict
from regrind.geometry.taken_size import Fit, Like, fit_size
from regrind.record.models import Line, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person

from . import actions
from .decision import Decision
from .groups import Group, each_inspection, group_pieces, refuse_changed
from .size_table import Table, tabulate

MOST_NAMED = 12


@dataclass(frozen=True)
class Assigned:
    """A group of like pieces, and their option at the size they go to."""

    group: Group
    fit: Fit

    @property
    def size_nm(self) -> int:
        return round(self.fit.option.diameter_mm * 1e6) if self.fit.option else 0


def take(
    *,
    line: Line,
    pieces: Sequence[Piece],
    chosen_nm: Sequence[int],
    by: Person,
    expected: Mapping[int, int],
    shown: Mapping[int, int] | None = None,
    reason: str = "",
    done_at: datetime | None = None,
) -> None:
    """Work out the line's inspected pieces and send each that comes clean at one of the chosen sizes to grind, at the
    largest that fits it, by its option as it is at that size.

    Those left out stay inspected, and are named with the sizes; so do those whose plan leaves the sides alone. A
    matched set takes one size and leaves none out; each piece may stay under it by the set's tolerance. expected: plan
    revisions, shown: the marks of the figures that the page showed, by piece id. Refusal where a size is not of the
    table, no piece comes clean, the set does not, or a piece comes off worse than by its own plan and no reason says
    why; Conflict where the figures are not those that were shown.
    """
    with event(by, "planned", why=reason, done_at=done_at) as planning:
        groups = group_pieces(line, pieces)
        refuse_changed(groups, pieces, shown or {})
        assigned = _assign(line, groups, chosen_nm)
        going = [piece for each in assigned for piece in each.group.pieces]
        left_out = sorted({piece.short for piece in pieces} - {piece.short for piece in going})
        _refuse_incomplete(line, going, left_out, chosen_nm)
        _refuse_worse(assigned, reason)
        inspections, decision = each_inspection(groups), Decision("grind", reason=reason)
        for each in assigned:
            actions.store_plans(planning, _plan_at(each), decision, expected, inspections)
        move(pieces=going, to="ready_to_grind", by=by, reason=reason)
        actions.store_common_size(by=by, line=line, sizes=[*_list_sizes(assigned), {"left_out": left_out}])


def _assign(line: Line, groups: Sequence[Group], chosen_nm: Sequence[int]) -> list[Assigned]:
    """The groups that go to one of the sizes."""
    table = tabulate(line, groups)
    if not set(chosen_nm) <= {size.diameter_nm for size in table.sizes}:
        raise Refusal("That size is not among those worked out.")
    tolerance = (line.match_tolerance_nm or 0) if line.matched else 0
    fits = ((group, fit_group(table, group, chosen_nm, tolerance)) for group in groups)
    return [Assigned(group, fit) for group, fit in fits if fit]


def fit_group(table: Table, group: Group, chosen_nm: Sequence[int], tolerance_nm: int = 0) -> Fit | None:
    """Like pieces at the largest of the sizes that fits them, else as near as the tolerance under one; None where none
    does, where that would leave no tool, or where their plan leaves the sides alone."""
    like, bounds = table.likes.get(group.key), table.bounds
    if like is None or bounds is None or set(like.names) & set(table.ends_only):
        return None
    for nm in sorted(chosen_nm, reverse=True):
        size = _find_size(table, like, bounds, nm, tolerance_nm)
        fit = fit_size(like, bounds, size) if size else None
        if fit and fit.option and fit.option.verdict != "scrap":
            return fit
    return None


def _find_size(table: Table, like: Like, bounds: Bounds, nm: int, tolerance_nm: int) -> int | None:
    """The size itself where the pieces come clean at it, else their largest within the tolerance under it."""
    piece = next(piece for piece in table.pieces if piece.name in like.names)
    largest = find_largest(piece, bounds) or 0
    if largest >= nm:
        return nm
    return largest if largest >= nm - tolerance_nm else None


def _refuse_worse(assigned: Sequence[Assigned], reason: str) -> None:
    names = [piece.short for each in assigned if each.fit.worse for piece in each.group.pieces]
    if names and not reason:
        raise Refusal(f"At that size {_join(names)} would be worse off than by their own plan: write why.")


def _refuse_incomplete(line: Line, going: Sequence[Piece], left_out: Sequence[str], chosen_nm: Sequence[int]) -> None:
    if line.matched and (left_out or len(chosen_nm) > 1):
        raise Refusal(
            "A matched set leaves at one size"
            + (f", and {_join(left_out)} would be left out." if left_out else ": take one.")
        )
    if not going:
        raise Refusal("No piece comes clean at that size.")


def _join(names: Sequence[str]) -> str:
    return ", ".join(names[:MOST_NAMED])


def _list_sizes(assigned: Sequence[Assigned]) -> list[dict[str, object]]:
    sizes: dict[int, list[str]] = {}
    for each in assigned:
        sizes.setdefault(each.size_nm, []).extend(piece.short for piece in each.group.pieces)
    return [{"diameter_nm": nm, "pieces": sorted(sizes[nm])} for nm in sorted(sizes, reverse=True)]


def _plan_at(assigned: Assigned) -> actions.Part:
    """The pieces with their answer, in which the option at the size stands last, and is the one taken."""
    group, option = assigned.group, assigned.fit.option
    if option is None or group.answer is None:
        raise ValueError("pieces without an option take no size")
    [taken] = as_dict(Answer((option,), 0, option.verdict, option.reasons, ()))["options"]
    answer = group.answer | {"options": [*group.options, taken]}
    return actions.Part(group.pieces, replace(group, answer=answer), len(group.options))
