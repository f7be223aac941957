"""Whether the plan predicts too much or too little: a bias that is not chance, by two tests that must agree."""

import math
from dataclasses import dataclass
from statistics import NormalDist

from .intervals import Interval, Moments, mean_interval, t_within

ENOUGH = 8  # cases below which no bias is said, whatever the tests give (this program's own choice)
CHANCE_OF_T = 0.01  # of Student's test; many families are looked at at once, so it is strict
CHANCE_OF_SIGNS = 0.05  # of the sign test, which one wild reading cannot sway
EXACT_UP_TO = 1000


@dataclass(frozen=True, slots=True)
class Signs:
    """Of the cases, how many came out above what was predicted and how many below; those that hit it are left out."""

    above: int = 0
    below: int = 0


@dataclass(frozen=True, slots=True)
class Bias:
    """Real minus predicted over n cases: its mean and interval, the chance of each test, and the finding.

    finding: "too few", "chance", "small" (it is there, and less than anybody can read) or "bias". Chances are None
    below two cases.
    """

    n: int
    mean: float | None
    within: Interval | None
    chance_of_t: float | None
    chance_of_signs: float | None
    finding: str


def judge_bias(moments: Moments, signs: Signs, least: float = 0.0) -> Bias:
    """Judge the differences real minus predicted that `moments` and `signs` keep.

    least: a mean smaller than this is no use to know (the gauge's resolution), in the unit of the moments.
    Sources: one-sample t test, NIST/SEMATECH e-Handbook 7.2.2; sign test, Conover, Practical Nonparametric
    Statistics, 3.4. Both must call it more than chance.
    """
    t, s = chance_of_t(moments), chance_of_signs(signs)
    mean = moments.mean
    if moments.n < ENOUGH or mean is None:
        finding = "too few"
    elif t is None or t >= CHANCE_OF_T or s >= CHANCE_OF_SIGNS:
        finding = "chance"
    else:
        finding = "bias" if abs(mean) >= least else "small"
    return Bias(moments.n, mean, mean_interval(moments), t, s, finding)


def chance_of_t(moments: Moments) -> float | None:
    """Two-sided chance of a mean so far from nothing; None for fewer than two cases.

    Where all cases are alike there is no spread to judge by: 0 where they are off, 1 where they hit.
    """
    mean, deviation = moments.mean, moments.deviation
    if mean is None or deviation is None:
        return None
    if deviation == 0:
        return 1.0 if mean == 0 else 0.0
    return max(0.0, 1 - t_within(abs(mean) * math.sqrt(moments.n) / deviation, moments.n - 1))


def chance_of_signs(signs: Signs) -> float:
    """Two-sided chance of so uneven a split; 1 where there is none. Exact up to EXACT_UP_TO cases, then normal."""
    n, fewer = signs.above + signs.below, min(signs.above, signs.below)
    if n == 0:
        return 1.0
    if n <= EXACT_UP_TO:
        return min(1.0, 2 * sum(math.comb(n, k) for k in range(fewer + 1)) / (1 << n))
    return min(1.0, 2 * NormalDist().cdf((fewer + 0.5 - n / 2) / (math.sqrt(n) / 2)))
