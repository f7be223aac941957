"""The one or two sizes that a line's pieces leave at, and the size of a matched set."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from regrind.geometry import common_size as sizing
from regrind.record.models import Line, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person

from . import actions
from .decision import Decision
from .groups import Group, bounds, clean_sizes, each_inspection, group_pieces, refuse_changed

MOST_SHOWN = 40


@dataclass(frozen=True)
class Table:
    """Step sizes with who comes clean at each, the best one and two, and the set's size where it is matched."""

    sizes: tuple[sizing.Size, ...] = ()
    count: int = 0
    one: sizing.BestSizes | None = None
    two: sizing.BestSizes | None = None
    matched: sizing.MatchedSet | None = None

    @property
    def best(self) -> set[int]:
        if self.matched:
            return {self.matched.diameter_nm} if self.matched.diameter_nm else set()
        return set(self.one.diameters_nm) if self.one else set()


def tabulate(line: Line, groups: Sequence[Group]) -> Table:
    """The table for the inspected pieces of a line; empty where nothing was worked out."""
    limits, pieces = bounds(line, groups), clean_sizes(groups)
    if limits is None or not any(piece.cleans for piece in pieces):
        return Table()
    matched = sizing.match_set(pieces, limits, line.match_tolerance_nm or 0) if line.matched else None
    sizes = list(sizing.list_sizes(pieces, limits)[:MOST_SHOWN])
    if matched and matched.diameter_nm and matched.diameter_nm not in {size.diameter_nm for size in sizes}:
        sizes.insert(0, sizing.size_up(pieces, limits, matched.diameter_nm))
    one, two = sizing.find_best_sizes(pieces, limits, 1), sizing.find_best_sizes(pieces, limits, 2)
    return Table(tuple(sizes), len(pieces), one, two, matched)


def within_limits(line: Line, groups: Sequence[Group]) -> list[sizing.Piece]:
    """The pieces with the diameters they come clean at, of the cut-backs that the line's limits allow."""
    limits = bounds(line, groups)
    most = limits.most_cut_back_nm if limits else None
    return [
        sizing.Piece(p.name, tuple(c for c in p.cleans if most is None or c.cut_back_nm <= most))
        for p in clean_sizes(groups)
    ]


Target = tuple[int, int]  # diameter and cut-back, nm


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
    largest that fits it.

    Those left out stay inspected, and are named with the sizes. A matched set takes one size and leaves none out;
    each piece may stay under it by the set's tolerance. expected: plan revisions, shown: the marks of the figures that
    the page showed, by piece id. Refusal where a size is not of the table, no piece comes clean, or the set does not;
    Conflict where the figures are not those that were shown.
    """
    with event(by, "planned", why=reason, done_at=done_at) as planning:
        groups = group_pieces(line, pieces)
        refuse_changed(groups, pieces, shown or {})
        targets, left_out = _assign(line, groups, chosen_nm)
        inspections = each_inspection(groups)
        for group in groups:
            for target in sorted({targets[p.short] for p in group.pieces if p.short in targets}, reverse=True):
                part, decision = _plan_at(target, group, targets, reason)
                actions.store_plans(planning, part, decision, expected, inspections)
        going = [p for group in groups for p in group.pieces if p.short in targets]
        move(pieces=going, to="ready_to_grind", by=by, reason=reason)
        actions.store_common_size(by=by, line=line, sizes=[*_list_sizes(targets), {"left_out": left_out}])


def _assign(line: Line, groups: Sequence[Group], chosen_nm: Sequence[int]) -> tuple[dict[str, Target], list[str]]:
    """Where each piece goes, by its short number, and those left out."""
    if not set(chosen_nm) <= {size.diameter_nm for size in tabulate(line, groups).sizes}:
        raise Refusal("That size is not among those worked out.")
    targets = {p.name: _target(p.cleans, chosen_nm, _tolerance(line)) for p in within_limits(line, groups)}
    clean = {short: target for short, target in targets.items() if target}
    left_out = sorted(set(targets) - set(clean))
    if not clean:
        raise Refusal("No piece comes clean at that size.")
    if line.matched and (left_out or len(chosen_nm) > 1):
        raise Refusal(
            "A matched set leaves at one size"
            + (f", and {', '.join(left_out[:12])} would be left out." if left_out else ": take one.")
        )
    return clean, left_out


def _tolerance(line: Line) -> int:
    return (line.match_tolerance_nm or 0) if line.matched else 0


def _target(cleans: Sequence[sizing.CleanAt], chosen_nm: Sequence[int], tolerance_nm: int) -> Target | None:
    """The largest chosen size at which a piece comes clean, with its smallest cut-back; else the nearest within the
    tolerance under one."""
    for nm in sorted(chosen_nm, reverse=True):
        fitting = [item.cut_back_nm for item in cleans if item.diameter_nm >= nm]
        if fitting:
            return nm, min(fitting)
        close = [item for item in cleans if item.diameter_nm >= nm - tolerance_nm]
        if close:
            best = max(close, key=lambda item: (item.diameter_nm, -item.cut_back_nm))
            return best.diameter_nm, best.cut_back_nm
    return None


def _list_sizes(targets: Mapping[str, Target]) -> list[dict[str, object]]:
    return [
        {"diameter_nm": nm, "pieces": sorted(short for short, target in targets.items() if target[0] == nm)}
        for nm in sorted({target[0] for target in targets.values()}, reverse=True)
    ]


def _plan_at(target: Target, group: Group, targets: Mapping[str, Target], reason: str) -> tuple[actions.Part, Decision]:
    """The like pieces that go to one size, and their decision; a side that was to stay is ground, and costs length."""
    nm, cut_back = target
    index = next(i for i, o in enumerate(group.options) if round(o["cut_back_mm"] * 1e6) == cut_back)
    option = group.options[index]
    ground = nm < round(option["diameter_mm"] * 1e6)
    usable_nm = round(option["usable_length_mm"] * 1e6)
    if ground and not option["sides"] and group.inputs:
        usable_nm -= group.inputs.allow.stylus_distance_nm
    names = [name for name in ("sides", "end") if option[name] or (name == "sides" and ground)]
    pieces = [piece for piece in group.pieces if targets.get(piece.short) == target]
    decision = Decision(
        "grind", reason=reason, grinds=" ".join(names), diameter_nm=nm, cut_back_nm=cut_back, usable_nm=usable_nm
    )
    return actions.Part(pieces, group, index), decision
