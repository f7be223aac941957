"""Passes in steps that the machine's dial has. Lengths are mm, infeeds and stock of one axis."""

import math
from dataclasses import dataclass

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_whole, require_within

_SAME = 1e-6  # of a step: what binary digits may lose


@dataclass(frozen=True, slots=True)
class DialPasses:
    """Passes for a stock: (how many, dial steps each) in the order in which they are taken.

    spark_out: passes without infeed. rest_mm: what of the stock is less than a step; the last pass takes it after
    measuring.
    """

    rough: tuple[tuple[int, int], ...]
    finish: tuple[tuple[int, int], ...]
    spark_out: int
    step_mm: float
    rest_mm: float


def plan_dial_passes(
    stock_mm: float,
    finish_mm: float,
    most_rough_mm: float,
    most_finish_mm: float,
    step_mm: float,
    spark_out: int = 0,
) -> DialPasses:
    """The fewest even passes in whole dial steps that take a stock off, none above its limit.

    stock_mm: in all, 0 to 100, the finish allowance included. finish_mm: the part left for finishing, 0 to the
    stock; it is rounded up to whole steps. most_rough_mm, most_finish_mm: above 0, a pass. step_mm: what the dial
    moves by at least, above 0. spark_out: passes without infeed, 0 to 100.
    Raises Refused naming the field and its range; `most_...` where the limit is less than one step.
    Source: whole division; the split into rough and finish is common practice.

    >>> passes = plan_dial_passes(0.1194, 0.0127, 0.01, 0.005, 0.00254, spark_out=1)
    >>> passes.rough, passes.finish, round(passes.rest_mm, 5)
    (((14, 3),), ((5, 1),), 2e-05)
    """
    require_within("stock_mm", stock_mm, 0, 100)
    require_within("finish_mm", finish_mm, 0, stock_mm)
    require_above_zero("step_mm", step_mm)
    require_whole("spark_out", spark_out, 0, 100)
    steps = math.floor(stock_mm / step_mm + _SAME)
    finish_steps = min(steps, math.ceil(finish_mm / step_mm - _SAME))
    return DialPasses(
        _share("most_rough_mm", steps - finish_steps, most_rough_mm, step_mm),
        _share("most_finish_mm", finish_steps, most_finish_mm, step_mm),
        spark_out,
        step_mm,
        max(0.0, stock_mm - steps * step_mm),
    )


def _share(field: str, steps: int, most_mm: float, step_mm: float) -> tuple[tuple[int, int], ...]:
    """Steps shared over the fewest passes: the larger ones first."""
    require_above_zero(field, most_mm)
    most_steps = math.floor(most_mm / step_mm + _SAME)
    if steps and not most_steps:
        raise Refused(field, f"must be at least one step of the dial, {step_mm:.6g} mm")
    if not steps:
        return ()
    passes = -(-steps // most_steps)
    least, larger = divmod(steps, passes)
    return tuple((count, size) for count, size in ((larger, least + 1), (passes - larger, least)) if count)
