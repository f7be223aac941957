"""How sure a share or a mean is: plain numbers in, an interval out. No database, no third party."""

import math
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

CONFIDENCE = 0.95
EXACT_UP_TO = 200  # degrees of freedom; above, the expansion is right to eight figures


@dataclass(frozen=True, slots=True)
class Interval:
    """From `low` to `high`, in the unit of what was asked."""

    low: float
    high: float

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Moments:
    """What is kept of n whole numbers: how many, their sum and the sum of their squares; exact on both databases."""

    n: int = 0
    total: int = 0
    squares: int = 0

    def __add__(self, other: "Moments") -> "Moments":
        return Moments(self.n + other.n, self.total + other.total, self.squares + other.squares)

    @property
    def mean(self) -> float | None:
        return self.total / self.n if self.n else None

    @property
    def deviation(self) -> float | None:
        """The sample's standard deviation, None for fewer than two. The sums are whole, so nothing cancels."""
        if self.n < 2:
            return None
        return math.sqrt(max(0, self.n * self.squares - self.total**2) / (self.n * (self.n - 1)))


def share_interval(good: int, cases: int, confidence: float = CONFIDENCE) -> Interval:
    """Wilson's score interval of a share `good` out of `of`; the whole of 0 to 1 where there are no cases.

    Both ends lie within 0 and 1 for any number of cases, also one. Raises ValueError where good is not in 0..of.
    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1, after Wilson (1927).

    >>> share_interval(3, 3).low > 0.43
    True
    """
    if not 0 <= good <= cases:
        raise ValueError(f"{good} of {cases} is no share")
    if not cases:
        return Interval(0.0, 1.0)
    z = _normal(confidence)
    share, room = good / cases, z * z / cases
    middle = share + room / 2
    half = z * math.sqrt(share * (1 - share) / cases + room / (4 * cases))
    low = 0.0 if good == 0 else max(0.0, (middle - half) / (1 + room))
    return Interval(low, 1.0 if good == cases else min(1.0, (middle + half) / (1 + room)))


def share_difference(now: tuple[int, int], before: tuple[int, int], confidence: float = CONFIDENCE) -> Interval:
    """The interval of one share (good, of) minus another, independent one.

    Source: Newcombe, Statistics in Medicine 17 (1998) 873–890, method 10 (from the two Wilson intervals).
    """
    (good, cases), (good_then, of_then) = now, before
    if not cases or not of_then:
        return Interval(-1.0, 1.0)
    one, other = share_interval(good, cases, confidence), share_interval(good_then, of_then, confidence)
    p, q = good / cases, good_then / of_then
    return Interval(
        max(-1.0, p - q - math.hypot(p - one.low, other.high - q)),
        min(1.0, p - q + math.hypot(one.high - p, q - other.low)),
    )


def mean_interval(moments: Moments, confidence: float = CONFIDENCE) -> Interval | None:
    """Student's interval of a mean, None for fewer than two cases.

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.2, confidence limits for the mean.
    """
    mean, deviation = moments.mean, moments.deviation
    if mean is None or deviation is None:
        return None
    half = t_quantile((1 + confidence) / 2, moments.n - 1) * deviation / math.sqrt(moments.n)
    return Interval(mean - half, mean + half)


def t_within(t: float, df: int) -> float:
    """The chance that Student's t with `df` degrees of freedom lies between -t and t (t from 0 up).

    Source: Abramowitz and Stegun, 26.7.3 and 26.7.4 (finite sums, exact); above EXACT_UP_TO degrees by _as_normal.
    """
    if df < 1 or t < 0:
        raise ValueError(f"t = {t}, {df} degrees of freedom")
    if df > EXACT_UP_TO:
        return 2 * NormalDist().cdf(_as_normal(t, df)) - 1
    angle = math.atan(t / math.sqrt(df))
    cos2 = math.cos(angle) ** 2
    term, summed = 1.0, 0.0
    first = 0 if df % 2 == 0 else 1
    for k in range(first, df - 1, 2):
        summed += term
        term *= cos2 * (k + 1) / (k + 2)
    if df % 2 == 0:
        return min(1.0, math.sin(angle) * summed)
    return min(1.0, 2 / math.pi * (angle + math.sin(angle) * math.cos(angle) * summed))


def _as_normal(t: float, df: int) -> float:
    """The normal deviate with the same chance as t, for many degrees of freedom (error below 1e-8 from 200 up).

    Source: Hill, Algorithm 395, Communications of the ACM 13 (1970) 617.
    """
    a = df - 0.5
    b, z2 = 48 * a * a, a * math.log1p(t * t / df)
    last = ((((-0.4 * z2 - 3.3) * z2 - 24) * z2 - 85.5) / (0.8 * z2 * z2 + 100 + b) + z2 + 3) / b + 1
    return last * math.sqrt(z2)


@lru_cache(maxsize=4096)
def t_quantile(below: float, df: int) -> float:
    """The t that lies above a share `below` of Student's distribution (0.5 ≤ below < 1), by halving.

    >>> round(t_quantile(0.975, 10), 3)
    2.228
    """
    if not 0.5 <= below < 1:
        raise ValueError(f"{below} is not from 0.5 up to 1")
    low, high = 0.0, 2.0
    while t_within(high, df) < 2 * below - 1:
        high *= 2
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if t_within(middle, df) < 2 * below - 1 else (low, middle)
    return (low + high) / 2


@lru_cache(maxsize=64)
def _normal(confidence: float) -> float:
    return NormalDist().inv_cdf((1 + confidence) / 2)
