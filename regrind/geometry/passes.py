"""How the stock comes off: rough and finish passes, strokes, and about how many minutes they take.

Infeeds and stock are radial, in mm. A pass takes every tooth once; a stroke is one travel along a tooth.
"""

import math
from dataclasses import dataclass

from regrind.geometry.errors import Refused
from regrind.geometry.ranges import require_above_zero, require_whole, require_within

_SAME = 1e-9
_MOST_PASSES = 10_000


@dataclass(frozen=True, slots=True)
class Passes:
    """The passes for a stock: how many of each, at what even infeed, and the order they add up in."""

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


def find_travel(ground_length_mm: float, run_off_mm: float) -> float:
    """The travel in mm of one stroke: the length that is ground and the run-off past the end face.

    ground_length_mm: from the end face to where the wheel's contact stops at the back, above 0; the travel
    stop is set to it. run_off_mm: past the end face, 0 or more, while the stylus still holds the tool.
    Raises Refused naming the field and its range. Source: sum; common practice.

    >>> find_travel(17.5, 2.5)
    20.0
    """
    require_above_zero("ground_length_mm", ground_length_mm)
    require_within("run_off_mm", run_off_mm, 0, 1000)
    return ground_length_mm + run_off_mm


def count_strokes(passes: int, teeth: int, strokes_per_tooth: int = 2) -> int:
    """The strokes of `passes` passes over `teeth` teeth, there and back being two.

    passes: 0 to 20,100. teeth: 1 to 99. strokes_per_tooth: 1 to 20.
    Raises Refused naming the field and its range. Source: product.

    >>> count_strokes(15, 3)
    90
    """
    require_whole("passes", passes, 0, 2 * _MOST_PASSES + 100)
    require_whole("teeth", teeth, 1, 99)
    require_whole("strokes_per_tooth", strokes_per_tooth, 1, 20)
    return passes * teeth * strokes_per_tooth


def estimate_minutes(
    strokes: int, travel_mm: float, speed_mm_s: float, *, index_s: float = 0.0, strokes_per_tooth: int = 2
) -> float:
    """About how many minutes the strokes take: travel at the table's or hand's speed, and turning between.

    strokes: 0 or more. travel_mm: of one stroke, above 0. speed_mm_s: above 0. index_s: seconds to lift and
    turn to the next tooth, once per `strokes_per_tooth` strokes, 0 or more. Setting up is not in it.
    Raises Refused naming the field and its range. Source: time = way / speed.

    >>> estimate_minutes(90, 20.0, 10.0, index_s=2.0)
    4.5
    """
    require_whole("strokes", strokes, 0, 10_000_000)
    require_whole("strokes_per_tooth", strokes_per_tooth, 1, 20)
    require_above_zero("travel_mm", travel_mm)
    require_within("speed_mm_s", speed_mm_s, 0.01, 10_000, "mm/s")
    require_within("index_s", index_s, 0, 600, "s")
    return strokes * (travel_mm / speed_mm_s + index_s / strokes_per_tooth) / 60


def _count(field: str, stock_radial_mm: float, most_mm: float) -> int:
    require_above_zero(field, most_mm)
    exact = stock_radial_mm / most_mm
    if exact > _MOST_PASSES:
        raise Refused(field, f"must be at least {stock_radial_mm / _MOST_PASSES:.6g} mm: too many passes")
    # a stock of exactly n infeeds is n passes, whatever the last binary digit says
    return math.ceil(exact - _SAME)
