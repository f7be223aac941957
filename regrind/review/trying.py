"""What if the smallest diameter or the finish allowance were another: which tools would still be ground."""
from collections.abc import Sequence
from dataclasses import dataclass, replace

from .facts import Fact
from .looking import WhatIf
from .rows import Row


@dataclass(frozen=True)
class Tried:
    """Of `cases` tools whose planned size is known, how many would be ground as it is and as it is tried; regrinds a
    tool takes from nominal down to the smallest diameter, None where the stock or the limit is not known."""

    cases: int
    ground: int
    ground_then: int
    regrinds: float | None
    regrinds_then: float | None


def try_sizes(row: Row, facts: Sequence[Fact], what_if: WhatIf, allowance_nm: int, smallest_nm: int | None) -> Tried:
    """allowance_nm: the finish allowance as plans take it now. smallest_nm: the limit as it is, where there is one."""
    more = 0 if what_if.allowance_nm is None else 2 * (what_if.allowance_nm - allowance_nm)
    limit = smallest_nm if what_if.smallest_nm is None else what_if.smallest_nm
    cases = [f for f in facts if f.planned_nm is not None and (f.result == "ground" or f.past_limit)]
    then = sum((f.planned_nm or 0) - more >= (limit or 0) for f in cases) if _tries_size(what_if) else sum(
        f.result == "ground" for f in cases)
    nominal, stock = row.family.nominal_nm if row.family else None, row.stock_nm
    return Tried(len(cases), sum(f.result == "ground" for f in cases), then, _regrinds(nominal, smallest_nm, stock),
                 _regrinds(nominal, limit, None if stock is None else stock + more))


def _tries_size(what_if: WhatIf) -> bool:
    return what_if.smallest_nm is not None or what_if.allowance_nm is not None


def _regrinds(nominal_nm: int | None, limit_nm: int | None, stock_nm: float | None) -> float | None:
    """How often the diameter may go down by the usual stock before it is below the limit."""
    if nominal_nm is None or limit_nm is None or stock_nm is None or stock_nm <= 0 or limit_nm > nominal_nm:
        return None
    return (nominal_nm - limit_nm) / stock_nm


def with_sizes(row: Row, tried: Tried, what_if: WhatIf) -> Row:
    """The row with as many of its tools ground as the cases tell; as large a share of them stays good as before."""
    sums = row.sums
    if not tried.cases or not _tries_size(what_if) or not sums.ground:
        return row
    ground = round(sums.decided * tried.ground_then / tried.cases)
    good = round(ground * sums.good / sums.ground)
    then = replace(sums, ground=ground, good=good, scrap=0, as_it_came=sums.decided - ground)
    return replace(row, sums=then)
