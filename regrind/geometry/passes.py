"""How the stock comes off: rough and finish passes.

Infeeds and stock are radial, in mm. A pass takes every tooth once.
"""

import math
from dataclasses import dataclass

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_whole, require_within

_SAME = 1e-9
_MOST_PASSES = 10_000


@dataclass(frozen=True, slots=True)
class Passes:
    """The passes for a stock: how many of each (`rough`, `finish`, `spark_out`) and at what even infeed."""

    rough: int
    rough_infeed_radial_mm: float
    finish: int
    finish_infeed_radial_mm: float
    spark_out: int

    @property
    def total(self) -> int:
        """All passes, spark-out included."""
        return self.rough + self.finish + self.spark_out


def plan_passes(
    stock_radial_mm: float,
    finish_radial_mm: float,
    most_rough_infeed_radial_mm: float,
    most_finish_infeed_radial_mm: float,
    spark_out: int = 0,
) -> Passes:
    """The fewest even passes that take a stock off without any infeed above its limit.

    stock_radial_mm: in all, 0 or more, the finish allowance included. finish_radial_mm: the part left for
    finishing (wheel reversed), 0 to the stock. most_rough_infeed_radial_mm, most_finish_infeed_radial_mm:
    above 0, per pass (`grit.find_most_infeed` for the wheel). spark_out: passes without infeed, 0 to 100.
    Raises Refused naming the field and its range; `most_..._infeed_radial_mm` where more than 10,000 passes
    would be needed.
    Source: division rounded up; the split into rough and finish is common practice.

    >>> passes = plan_passes(0.1194, 0.0127, 0.01, 0.005, spark_out=1)
    >>> passes.rough, round(passes.rough_infeed_radial_mm, 5), passes.finish, passes.total
    (11, 0.0097, 3, 15)
    """
    require_within("stock_radial_mm", stock_radial_mm, 0, 100)
    require_within("finish_radial_mm", finish_radial_mm, 0, stock_radial_mm)
    require_whole("spark_out", spark_out, 0, 100)
    rough_radial_mm = stock_radial_mm - finish_radial_mm
    rough = _count("most_rough_infeed_radial_mm", rough_radial_mm, most_rough_infeed_radial_mm)
    finish = _count("most_finish_infeed_radial_mm", finish_radial_mm, most_finish_infeed_radial_mm)
    rough_mm = rough_radial_mm / rough if rough else 0.0
    return Passes(rough, rough_mm, finish, finish_radial_mm / finish if finish else 0.0, spark_out)


def _count(field: str, stock_radial_mm: float, most_mm: float) -> int:
    require_above_zero(field, most_mm)
    exact = stock_radial_mm / most_mm
    if exact > _MOST_PASSES:
        raise Refused(field, f"must be at least {stock_radial_mm / _MOST_PASSES:.6g} mm: too many passes")
    # a stock of exactly n infeeds is n passes, whatever the last binary digit says
    return math.ceil(exact - _SAME)
