"""What the sizes that are ticked make of each piece, and what one piece costs the others, in words and figures."""

from collections.abc import Sequence, Set
from dataclasses import dataclass

from regrind.geometry.taken_size import Cost, Fit
from regrind.geometry.units import Unit, show_with_unit, to_nm
from regrind.record.models import Line

from .groups import Group
from .shown import say_cut_back
from .size_table import Table
from .sizes import fit_group

MOST_NAMED = 4


@dataclass(frozen=True)
class FitRow:
    """Like pieces at the size they go to. lost: what it costs each against its own plan, in words."""

    names: str
    size: str
    verdict: str
    usable: str
    off_the_end: str
    rake: str
    land: str
    lost: str


def list_fits(line: Line, groups: Sequence[Group], table: Table, offered: Set[int], unit: Unit) -> list[FitRow]:
    """A row for each group of like pieces that takes one of the sizes."""
    tolerance = (line.match_tolerance_nm or 0) if line.matched else 0
    fits = (fit_group(table, group, sorted(offered), tolerance) for group in groups) if offered else ()
    return [_row(fit, unit) for fit in fits if fit]


def _row(fit: Fit, unit: Unit) -> FitRow:
    option = fit.option
    if option is None:
        raise ValueError("pieces without an option take no size")
    land = "–" if option.primary_land_mm is None else show_with_unit(to_nm(option.primary_land_mm), unit)
    secondary = ", grind the secondary" if option.secondary_needed else ""
    return FitRow(
        name_some(fit.like.names),
        show_with_unit(to_nm(option.diameter_mm), unit),
        option.verdict,
        show_with_unit(to_nm(option.usable_length_mm), unit),
        say_cut_back(to_nm(option.cut_back_mm), unit),
        "none" if option.rake_deg is None else f"{option.rake_deg:.1f}°",
        land + secondary,
        _say_lost(fit, unit),
    )


def _say_lost(fit: Fit, unit: Unit) -> str:
    parts = [f"{show_with_unit(fit.diameter_lost_nm, unit)} of diameter"] if fit.diameter_lost_nm > 0 else []
    parts += [_count_regrinds(fit.regrinds_lost)] if fit.regrinds_lost and fit.regrinds_lost > 0 else []
    parts += ["regrinds left not known"] if fit.regrinds_lost is None else []
    parts += ["a worse verdict, or past what is usually left"] if fit.worse else []
    return ", ".join(parts) or "nothing"


def say_costs(costs: Sequence[Cost], unit: Unit) -> list[str]:
    """A sentence for each group that makes the one size of all smaller."""
    return [_say_cost(cost, unit) for cost in costs]


def _say_cost(cost: Cost, unit: Unit) -> str:
    names, size = name_some(cost.names), show_with_unit(cost.size_nm, unit)
    need, pronoun = ("needs", "it") if len(cost.names) == 1 else ("need", "them")
    others = "piece" if cost.others == 1 else f"{cost.others} pieces"
    lost = f" and keep {_count_regrinds(cost.regrinds)} more in all" if cost.regrinds else ""
    return (
        f"To share one size, all pieces go down to {size}, because {names} {need} that much taken off. "
        f"Without {pronoun}, the other {others} can stay at {show_with_unit(cost.size_without_nm, unit)}{lost}."
    )


def say_proposal(table: Table, unit: Unit) -> str:
    """Who can share a size at no cost, how many sizes fewer that is to set up, and who would lose by it."""
    proposal = table.proposal
    if proposal is None:
        return ""
    names = name_some([name for fit in proposal.taken for name in fit.like.names])
    unknown = any(fit.regrinds_lost is None for fit in proposal.taken)
    lost = "how many regrinds are left is not known" if unknown else "no regrind lost"
    saved = "one setup fewer" if proposal.setups_saved == 1 else f"{proposal.setups_saved} setups fewer"
    losing = f" {name_some(table.losing)} would lose by it: plan that first." if table.losing else ""
    return f"{names} can share {show_with_unit(proposal.diameter_nm, unit)}: {saved}; {lost}.{losing}"


def _count_regrinds(count: int) -> str:
    return "1 regrind" if count == 1 else f"{count} regrinds"


def name_some(names: Sequence[str]) -> str:
    """The first few by name, the others by their number."""
    more = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
