"""What the review counts: every figure is declared here, once. Counters add to it, pages read it, by name.

`Summed` has a column for each field of `Figures` and `Tallied` a row for each thing of a `TallyName`; after a
change here, `manage.py makemigrations record` and `manage.py recount`.
"""

from dataclasses import dataclass, fields
from operator import add, attrgetter, sub
from typing import Literal, Self

# why: reason of scrap or as it came. complaint: what was wrong, in the cell of the visit complained of. stock and
# predicted: start of the step of diameter lost, nm. wear: start of the step of damage depth at arrival, nm, or
# `corners`, `nothing` (n decided, good of them). wheel: its primary key (actual less predicted loss of diameter, nm).
# ended: how a complaint ended and what it came from, `credited runout`, in the cell of the complaint itself.
TallyName = Literal["why", "complaint", "stock", "predicted", "wear", "wheel", "ended"]
# What rollup_prices computes of other figures, at the rates that held on the first of the cell's month.
PRICED = ("wheel_minor", "earned_minor", "saved_minor", "saved_n", "saved_of")


@dataclass(slots=True)
class Figures:
    """Whole sums over pieces, so that any two add up exactly; lengths in nm of diameter, money in minor units."""

    received: int = 0
    ground: int = 0  # result ground
    good: int = 0  # of those: no complaint points at it
    complained: int = 0  # of those: one does
    complaints: int = 0  # is itself a complaint about an earlier visit
    returned_unground: int = 0
    scrap: int = 0
    missing: int = 0
    charged_n: int = 0  # ground, no complaint, its line has a price
    charged_minor: int = 0
    replaced_n: int = 0  # good, and stands for a new tool: charged, or a complaint put right
    before_n: int = 0  # regrinds before this visit, here and elsewhere, where known
    before_sum: int = 0

    left_n: int = 0  # regrinds left, by the newest plan, where it said so and was to grind
    left_sum: int = 0
    released_first: int = 0  # passed its final check and was never sent back by one
    sent_back: int = 0  # was sent back by a final check at least once
    minutes_n: int = 0  # pieces with minutes in a grind that stands
    minutes_hundredths: int = 0
    earning_n: int = 0  # of those: brought its price, or is known to bring none (a complaint, not ground)
    earning_hundredths: int = 0  # their minutes,
    earning_minor: int = 0  # their prices,
    earning_ground: int = 0  # and how many of them took a wheel
    setups: int = 0  # setups with minutes that stand, m pieces and T hundredths each:
    setup_pieces: int = 0  # the sums of m,
    setup_pieces_sq: int = 0  # of m * m,
    setup_hundredths: int = 0  # of T,
    setup_cross: int = 0  # and of m * T
    stock_n: int = 0  # measured before and after: what the diameter lost, nm
    stock_sum_nm: int = 0
    stock_sumsq: int = 0
    plan_n: int = 0  # of those with a planned diameter: actual less predicted loss of diameter, nm
    plan_sum_nm: int = 0
    plan_sumsq: int = 0
    plan_above: int = 0  # lost more than predicted
    plan_below: int = 0

    wheel_minor: int = 0  # the wheels of the ground
    earned_minor: int = 0  # earning_minor less the wheels of earning_ground
    saved_minor: int = 0  # where a new tool had a price: new ones in place of replaced_n, less what was charged,
    saved_n: int = 0  # those replaced_n,
    saved_of: int = 0  # and how many were decided on, without the good ones that stand for no new tool

    def __add__(self, other: Self) -> Self:
        return self.plus(other)

    def plus(self, other: "Figures", sign: int = 1) -> Self:
        """The sum with another, or with sign -1 the difference."""
        return type(self)(*map(add if sign > 0 else sub, read_all(self), read_all(other)))

    @property
    def decided(self) -> int:
        return self.ground + self.returned_unground + self.scrap


NAMES = tuple(field.name for field in fields(Figures))
read_all = attrgetter(*NAMES)
