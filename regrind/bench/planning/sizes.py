"""The one or two sizes that a line's pieces leave at, and the size of a matched set."""
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from regrind.geometry import common_size as sizing
from regrind.record.models import Line, Piece
from regrind.shop.acting import Refusal, acting
from regrind.shop.models import Person

from ..models import Inspection
from ..rows import newest
from . import actions
from .groups import Group, bounds, clean_sizes


@dataclass(frozen=True)
class Table:
    """Step sizes with who comes clean at each, the best one and two, and the set's size where it is matched."""

    sizes: tuple[sizing.Size, ...] = ()
    count: int = 0
    one: sizing.Choice | None = None
    two: sizing.Choice | None = None
    matched: sizing.MatchedSet | None = None

    @property
    def best(self) -> set[int]:
        return set(self.one.diameters_nm) if self.one else set()


def tabulate(line: Line, groups: Sequence[Group]) -> Table:
    """The table for the looked-at pieces of a line; empty where nothing was worked out."""
    limits, pieces = bounds(line), clean_sizes(groups)
    if limits is None or not any(piece.cleans for piece in pieces):
        return Table()
    sizes = tuple(sizing.list_sizes(pieces, limits)[:40])
    matched = sizing.match_set(pieces, limits, line.match_tolerance_nm or 0) if line.matched else None
    one, two = sizing.choose_sizes(pieces, limits, 1), sizing.choose_sizes(pieces, limits, 2)
    return Table(sizes, len(pieces), one, two, matched)


def take(*, line: Line, groups: Sequence[Group], table: Table, chosen_nm: Sequence[int], by: Person,
         seen: dict[int, int], reason: str = "", done_at: datetime | None = None) -> None:
    """Send every piece that comes clean at one of the chosen sizes to grind, at the largest that fits it.

    Those left out stay looked at, and are named with the sizes. Refusal where no piece comes clean.
    """
    by_size = {size.diameter_nm: dict(size.clean) for size in table.sizes}
    sizes, left = [], {p.short: (g, p) for g in groups for p in g.pieces}
    with acting(by, reason or "common size"):
        for nm in sorted(chosen_nm, reverse=True):
            mine = {short: left.pop(short) for short in list(left) if short in by_size.get(nm, {})}
            sizes.append({"diameter_nm": nm, "pieces": sorted(mine)})
            _keep_at(nm, by_size[nm], list(mine.values()), by, seen, reason, done_at)
        if not any(size["pieces"] for size in sizes):
            raise Refusal("No piece comes clean at that size.")
        actions.keep_common_size(by=by, line=line, sizes=[*sizes, {"left_out": sorted(left)}])


def _keep_at(nm: int, cut_backs: dict[str, int], mine: Sequence[tuple[Group, Piece]], by: Person, seen: dict[int, int],
             reason: str, done_at: datetime | None) -> None:
    """One decision for each group and cut-back, since these share a case and an option."""
    inspections = newest(Inspection, [piece for _, piece in mine])
    for group in {id(g): g for g, _ in mine}.values():
        pieces = [piece for g, piece in mine if g is group]
        cut_back = cut_backs[pieces[0].short]
        option = _option_of(group, cut_back)
        actions.decide(by=by, pieces=pieces, seen=seen, decision="grind", inspections=inspections, case=group.case,
                       answer=group.answer, chosen=option, diameter_nm=nm, cut_back_nm=cut_back,
                       grinds=_grinds(group, option), reason=reason, done_at=done_at)


def _option_of(group: Group, cut_back_nm: int) -> int:
    return next(i for i, o in enumerate(group.options) if round(o["cut_back_mm"] * 1e6) == cut_back_nm)


def _grinds(group: Group, option: int) -> str:
    """A piece brought to a common size has its sides ground, also where it would not have needed it."""
    return "sides end" if group.options[option]["end"] else "sides"
