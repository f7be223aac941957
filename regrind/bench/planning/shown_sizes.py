"""The sizes that a line's pieces may share, as the page shows them."""

from collections.abc import Sequence, Set
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.utils.safestring import SafeString

from regrind.geometry.common_size import Miss, Size
from regrind.geometry.units import Unit, show_with_unit
from regrind.record.models import Line
from regrind.shop.fields.whole_numbers import read_whole

from ..drawings.size_bar import draw_size_bar, find_track
from .fit_rows import list_fits, name_some, say_costs, say_proposal
from .groups import Group
from .shown import Link, say_cut_back
from .size_table import Table, tabulate

WHY = {"too_deep": "clean from {}", "cut_back_too_long": "clean from {}, larger only with more off the end"}
MOST_REASONS = 6


@dataclass(frozen=True)
class SizeRow:
    """One step size. clean: `3 of 4`; in_words: the same as a sentence; left_out: pieces with their reasons."""

    nm: int
    clean: str
    off_the_end: str
    in_words: str
    offered: bool
    left_out: tuple[str, ...]
    names: str = ""  # of the pieces that come clean, with a space between

    @property
    def left_out_shown(self) -> str:
        more = len(self.left_out) - MOST_REASONS
        return "; ".join(self.left_out[:MOST_REASONS]) + (f" and {more} more" if more > 0 else "")


@dataclass(frozen=True)
class Bar:
    """The bar of pieces, where its thumb stands among the steps, and the steps beside it.

    before, after: the room beside the slider, in percent of the drawing's width.
    """

    drawing: SafeString
    before: float
    after: float
    position: int
    last: int
    smaller: Link | None
    larger: Link | None


def show_sizes(request: HttpRequest, line: Line, groups: Sequence[Group], group: Group | None) -> dict[str, Any]:
    """What the page shows of the common size, under the names that its templates use."""
    table, unit = tabulate(line, groups), line.batch.customer.unit
    offered = _find_offered(request, table)
    rows = [_row(size, table.count, offered, unit) for size in table.sizes]
    return {
        "table": table,
        "sizes": rows,
        "offered": [row for row in rows if row.offered],
        "bar": _show_bar(table, offered, group.key if group else "", unit),
        "fits": list_fits(line, groups, table, offered, unit),
        "costs": say_costs(table.costs, unit),
        "plan_sizes": say_button(table, offered, unit),
        "kept": _say_kept(table, line, offered),
        "proposal": say_proposal(table, unit),
        "ends_only": name_some(table.ends_only),
        "matched": _say_matched(table, line, unit),
        "best_two": _say_best_two(table, line, unit),
    }


def say_button(table: Table, offered: Set[int], unit: Unit) -> str:
    """What planning the ticked sizes does: `Plan the sizes: .2440 in and .2405 in, 10 pieces`."""
    ticked = [size for size in table.sizes if size.diameter_nm in offered]
    if not ticked:
        return "Plan the ticked sizes"
    pieces = len({name for size in ticked for name, _ in size.clean})
    sizes = " and ".join(show_with_unit(size.diameter_nm, unit) for size in ticked)
    start = "one size" if len(ticked) == 1 else "the sizes"
    return f"Plan {start}: {sizes}, {'1 piece' if pieces == 1 else f'{pieces} pieces'}"


def _say_kept(table: Table, line: Line, offered: Set[int]) -> str:
    """That the ticked sizes take off what the customer wants to keep; '' where they do not."""
    keep, ticked = line.batch.customer.keep, [size for size in table.sizes if size.diameter_nm in offered]
    cut_back = max((cut for size in ticked for _, cut in size.clean), default=0)
    if keep == "length" and cut_back:
        taken = show_with_unit(cut_back, line.batch.customer.unit)
        return f"The customer wants to keep the length, and the ticked sizes take up to {taken} off the end."
    if keep == "diameter" and ticked:
        return "The customer wants to keep the diameter, and a common size takes from it."
    return ""


def _find_offered(request: HttpRequest, table: Table) -> Set[int]:
    """The sizes that are ticked at first: where the thumb was moved, the best two where asked for, or what is proposed:
    no size that costs anybody a regrind or a verdict."""
    position = read_whole(request.GET.get("at"), 3)
    if position is not None and position < len(table.sizes):
        return {_steps(table)[position]}
    return set(table.two.diameters_nm) if table.two and request.GET.get("best") == "2" else table.proposed


def _steps(table: Table) -> list[int]:
    """The sizes there are, smallest first."""
    return sorted(size.diameter_nm for size in table.sizes)


def _row(size: Size, count: int, offered: Set[int], unit: Unit) -> SizeRow:
    cut_back = max((cut for _, cut in size.clean), default=0)
    clean = f"{len(size.clean)} of {count}"
    off = f", {show_with_unit(cut_back, unit)} off the end at most" if cut_back else ""
    return SizeRow(
        size.diameter_nm,
        clean,
        say_cut_back(cut_back, unit),
        f"{clean} come clean{off}.",
        size.diameter_nm in offered,
        _left_out(size.misses, unit),
        " ".join(name for name, _ in size.clean),
    )


def _left_out(misses: Sequence[Miss], unit: Unit) -> tuple[str, ...]:
    """Pieces left out for the same reason are named together."""
    alike: dict[str, list[str]] = {}
    for miss in misses:
        largest = "no size" if miss.largest_nm is None else show_with_unit(miss.largest_nm, unit)
        alike.setdefault(WHY[miss.why].format(largest), []).append(miss.name)
    return tuple(f"{name_some(names)} {why}" for why, names in alike.items())


def _show_bar(table: Table, offered: Set[int], key: str, unit: Unit) -> Bar | None:
    """The bar with the sizes that are offered; None where there is nothing to choose from."""
    steps = _steps(table)
    if len(steps) < 2:
        return None
    first, last = find_track(table.pieces, table.sizes)
    drawn = draw_size_bar(table.pieces, table.sizes, offered, unit), first, round(100 - last, 2)
    if not offered & set(steps):
        link = Link(f"?group={key}&at=0", f"Show {show_with_unit(steps[0], unit)}")
        return Bar(*drawn, 0, len(steps) - 1, None, link)
    position = max(steps.index(nm) for nm in offered if nm in steps)
    smaller = Link(f"?group={key}&at={position - 1}", "Smaller") if position else None
    larger = Link(f"?group={key}&at={position + 1}", "Larger") if position + 1 < len(steps) else None
    return Bar(*drawn, position, len(steps) - 1, smaller, larger)


def _say_matched(table: Table, line: Line, unit: Unit) -> str:
    """The size of a set that is kept matched, and the piece that sets it; '' where the line is not matched."""
    matched = table.matched
    if matched is None:
        return ""
    if matched.diameter_nm is None:
        rest = (
            f"; without it the rest leave at {show_with_unit(matched.without_nm, unit)}" if matched.without_nm else ""
        )
        return f"There is no size at which the whole set comes clean: {matched.held_by} breaks it{rest}."
    within = f", matched within {show_with_unit(line.match_tolerance_nm, unit)}" if line.match_tolerance_nm else ""
    cost = f" and costs the others {show_with_unit(matched.cost_nm, unit)} on the diameter" if matched.cost_nm else ""
    return f"All leave at {show_with_unit(matched.diameter_nm, unit)}{within}; {matched.held_by} sets it{cost}."


def _say_best_two(table: Table, line: Line, unit: Unit) -> str:
    if not table.two or len(table.two.diameters_nm) < 2 or line.matched:
        return ""
    names = " and ".join(show_with_unit(nm, unit) for nm in table.two.diameters_nm)
    return f"{names}; {table.two.clean} come clean."
