"""What if the smallest diameter or the finish allowance were another: which tools would still be ground."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from .filters import WhatIf
from .piece_facts import Fact
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


def try_sizes(row: Row, facts: Sequence[Fact], what_if: WhatIf, allowance_nm: int, limits: Mapping[int, int]) -> Tried:
    """allowance_nm: the finish allowance as plans take it now. limits: by customer the smallest diameter as it is,
    where there is one; the largest of them is what a tool's regrinds are counted down to."""
    smallest_nm = max(limits.values(), default=None)
    more = 0 if what_if.allowance_nm is None else 2 * (what_if.allowance_nm - allowance_nm)
    limit = smallest_nm if what_if.smallest_nm is None else what_if.smallest_nm
    cases = [f for f in facts if f.planned_nm is not None and (f.result == "ground" or f.past_limit)]
    then = sum(_ground_then(f, more, limits.get(f.customer, 0), what_if.smallest_nm) for f in cases)
    nominal, stock = row.family.nominal_nm if row.family else None, row.stock_nm
    return Tried(
        len(cases),
        sum(f.result == "ground" for f in cases),
        then,
        _regrinds(nominal, smallest_nm, stock),
        _regrinds(nominal, limit, None if stock is None else stock + more),
    )


def _ground_then(fact: Fact, more: int, limit: int, tried: int | None) -> bool:
    """Only what crosses its customer's limit goes the other way: what was ground past it by consent stays ground, and
    what was not ground for another reason stays so."""
    planned = fact.planned_nm or 0
    inside, inside_then = planned >= limit, planned - more >= (limit if tried is None else tried)
    ground = fact.result == "ground"
    return inside_then if inside == ground else ground


def _regrinds(nominal_nm: int | None, limit_nm: int | None, stock_nm: float | None) -> float | None:
    """How often the diameter may go down by the usual stock before it is below the limit."""
    if nominal_nm is None or limit_nm is None or stock_nm is None or stock_nm <= 0 or limit_nm > nominal_nm:
        return None
    return (nominal_nm - limit_nm) / stock_nm


def with_sizes(row: Row, tried: Tried) -> Row:
    """The row with as many more or fewer of its tools ground as the cases tell; as large a share of them stays good."""
    sums, more = row.sums, tried.ground_then - tried.ground
    if not more or not sums.ground:
        return row
    ground = min(sums.decided, max(0, sums.ground + round(sums.decided * more / tried.cases)))
    good = round(ground * sums.good / sums.ground)
    then = replace(sums, ground=ground, good=good, scrap=0, returned_unground=sums.decided - ground)
    return replace(row, sums=then)
