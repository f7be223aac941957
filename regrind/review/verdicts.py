"""Whether a family is worth regrinding: the rule, in plain numbers. Money in minor units, time in minutes.

A tool that is ground costs the wheel and its bench minutes whether it is good or not; it earns its price where it is
good, that is not returned as a complaint (a tool reground on a complaint is two grinds and one price). With
`good_share` the share of good tools among those ground, a bench minute earns

    earns(lot) = (price · good_share − wheel) / minutes(lot)

It is worth it where that reaches the shop's rate per minute at both ends of the interval of `good_share`; where the
two ends disagree there are too few cases to say. The customer's side: each good tool saves them new − price; what costs
more than a new one is not worth it to them.
"""

import math
from dataclasses import dataclass, replace

from .intervals import Interval, share_interval
from .setups import Minutes

ENOUGH = 5  # ground tools below which nothing is said (this program's own choice)
LARGEST_LOT = 24  # a lot the shop could ask a customer to save up for (this program's own choice)
MOST_CASES = 256  # more of them than a shop waits for: "soon" ends there (own choice)

NOT, PRICE, LOTS, WORTH, FEW = "not_worth", "price", "lots", "worth", "too_few"
ORDER = (NOT, PRICE, LOTS, WORTH)
WORDS = {
    WORTH: "worth it",
    LOTS: "worth it in lots",
    PRICE: "only with a higher price",
    NOT: "not worth it",
    FEW: "too few cases",
}


@dataclass(frozen=True, slots=True)
class Case:
    """What a verdict rests on. None where nobody has said or recorded it.

    good, ground, decided: tools that came good and stayed good, that were ground, that were decided on. minutes: how
    a setup's minutes part. price: of one good tool. rate: what a bench hour must earn. wheel: its cost on one ground
    tool. new: what a new tool costs the customer in place of a reground one. lot: pieces set up together, None for as
    many as usual.
    """

    good: int
    ground: int
    decided: int
    minutes: Minutes | None
    price: float | None
    rate: float | None
    wheel: float = 0.0
    new: float | None = None
    lot: float | None = None

    @property
    def good_share(self) -> float:
        """Of the ground ones, the share that came good and stayed good."""
        return self.good / self.ground if self.ground else 0.0

    @property
    def in_lot(self) -> float:
        return self.lot or (self.minutes.lot if self.minutes else 1.0)

    @property
    def lacking(self) -> tuple[str, ...]:
        """What has to be known before anything is said."""
        known = (("a price", self.price), ("the hourly rate", self.rate), ("bench minutes", self.minutes))
        return tuple(name for name, value in known if value is None)


@dataclass(frozen=True, slots=True)
class Change:
    """What would make it worth it, or how far it may go where it is.

    kind: price, lot; least_price, least_lot; good_share (a share); new (the price of a new tool); cases (more like
    these). Solved from the rule at the worse end of the interval of good_share, so that it is true at the better one.
    """

    kind: str
    value: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """The verdict, what it would be at either end of the interval of good_share, and the figures behind it."""

    code: str
    at_worst: str
    at_best: str
    case: Case
    good_within: Interval
    earns: float | None  # minor units a bench minute, at the share found
    earns_within: Interval | None
    saves: float | None  # the customer, minor units a tool that came
    changes: tuple[Change, ...]

    @property
    def words(self) -> str:
        return WORDS[self.code]

    @property
    def n(self) -> int:
        return self.case.ground


def judge(case: Case) -> Verdict:
    """The verdict of a case. Never NaN; raises ValueError unless good ≤ ground ≤ decided."""
    if not 0 <= case.good <= case.ground <= case.decided:
        raise ValueError(f"{case.good} good, {case.ground} ground of {case.decided} decided")
    within = share_interval(case.good, case.ground)
    known = (case, within, _earns(case, case.good_share))
    if case.decided >= ENOUGH and not case.good:
        return Verdict(NOT, NOT, NOT, *known, None, _saves(case), ())
    if case.lacking or case.ground < ENOUGH:
        more = () if case.lacking else (Change("cases", ENOUGH - case.ground),)
        return Verdict(FEW, "", "", *known, None, _saves(case), more)
    worst, best = _at(case, within.low), _at(case, within.high)
    code = worst if worst == best else FEW
    low, high = _earns(case, within.low), _earns(case, within.high)
    both = Interval(low, high) if low is not None and high is not None else None
    return Verdict(code, worst, best, *known, both, _saves(case), _changes(case, code, within.low))


def _minutes(case: Case, lot: float | None = None) -> float:
    """Bench minutes of a ground tool."""
    assert case.minutes is not None
    return case.minutes.a_piece(lot or case.in_lot)


def _earns(case: Case, good_share: float) -> float | None:
    if case.price is None or case.minutes is None or _minutes(case) <= 0:
        return None
    return (case.price * good_share - case.wheel) / _minutes(case)


def _saves(case: Case) -> float | None:
    if case.new is None or case.price is None or not case.decided:
        return None
    return (case.new - case.price) * case.good / case.decided


def price_needed(case: Case, good_share: float, lot: float | None = None) -> float | None:
    """The price at which a bench minute earns the rate, None where no price does (nothing comes good)."""
    assert case.rate is not None
    if good_share <= 0:
        return None
    return (case.wheel + case.rate / 60 * _minutes(case, lot)) / good_share


def lot_needed(case: Case, good_share: float) -> int | None:
    """The smallest lot, from the usual up, in which the price that is asked is enough; None where none up to
    LARGEST_LOT is. Solved for the lot; the step beside it is tried, since floats round."""
    assert case.rate is not None
    assert case.minutes is not None
    usual = max(1, math.ceil(case.in_lot))
    room = (
        (((case.price or 0) * good_share - case.wheel) * 60 / case.rate - case.minutes.each) if case.rate else math.inf
    )
    if room <= 0 or case.minutes.setting_up > room * (LARGEST_LOT + 1):
        lots = [LARGEST_LOT]
    else:
        solved = max(usual, math.ceil(case.minutes.setting_up / room))
        lots = [lot for lot in (solved - 1, solved, solved + 1) if usual <= lot <= LARGEST_LOT]
    return next((lot for lot in lots if usual <= lot and _enough(case, good_share, lot)), None)


def _enough(case: Case, good_share: float, lot: float | None = None) -> bool:
    needed = price_needed(case, good_share, lot)
    return needed is not None and case.price is not None and case.price >= needed


def _at(case: Case, good_share: float) -> str:
    """The verdict if `good_share` were sure."""
    needed = price_needed(case, good_share)
    if needed is None or (case.new is not None and case.price is not None and case.price > case.new):
        return NOT
    if _enough(case, good_share):
        return WORTH
    if lot_needed(case, good_share) is not None:
        return LOTS
    return PRICE if case.new is None or math.ceil(needed) <= case.new else NOT


def _changes(case: Case, code: str, good_share: float) -> tuple[Change, ...]:
    needed, lot = price_needed(case, good_share), lot_needed(case, good_share)
    price = () if needed is None else (Change("price", float(math.ceil(needed))),)
    if code == WORTH:
        return (*(Change("least_price", c.value) for c in price), *_least_lot(case, good_share))
    lots = () if lot is None else (Change("lot", lot),)
    if code == FEW:
        return (*_more_cases(case), *_dearer(price, case), *lots)
    if code == NOT:
        return (*_cheaper(case, needed), *_better(case), *(Change("new", c.value) for c in price))
    return (*lots, *_dearer(price, case))


def _dearer(price: tuple[Change, ...], case: Case) -> tuple[Change, ...]:
    """A price that is enough, as long as the customer still saves by it."""
    return tuple(c for c in price if case.new is None or c.value <= case.new)


def _cheaper(case: Case, needed: float | None) -> tuple[Change, ...]:
    """A price above the new tool's may come down to it, where that is still enough."""
    if case.new is None or case.price is None or needed is None or case.price <= case.new:
        return ()
    return (Change("price", math.floor(case.new)),) if needed <= math.floor(case.new) else ()


def _least_lot(case: Case, good_share: float) -> tuple[Change, ...]:
    if case.minutes is None or not case.minutes.setting_up:
        return ()
    lots = range(1, math.ceil(case.in_lot) + 1)
    return tuple(Change("least_lot", lot) for lot in lots if _enough(case, good_share, lot))[:1]


def _better(case: Case) -> tuple[Change, ...]:
    """The share that has to stay good before a price that the customer saves by is enough."""
    if not case.new:
        return ()
    needed = price_needed(case, 1.0)
    share = 1.0 if needed is None else needed / case.new
    return (Change("good_share", share),) if case.good_share < share <= 1 else ()


def _more_cases(case: Case) -> tuple[Change, ...]:
    """How many cases more, of which the same share stays good, before both ends agree; nothing if not soon."""
    more = 1
    while not _agrees(case, case.ground + more):
        more *= 2
        if more > MOST_CASES:
            return ()
    low, high = more // 2, more
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _agrees(case, case.ground + middle) else (middle, high)
    return (Change("cases", high),)


def _agrees(case: Case, cases: int) -> bool:
    within = share_interval(round(case.good_share * cases), cases)
    return _at(case, within.low) == _at(case, within.high)


def with_change(case: Case, change: Change) -> Case:
    """The case after one change of price or lot: what would change a verdict is tried with it."""
    if change.kind in ("price", "least_price"):
        return replace(case, price=change.value)
    if change.kind in ("lot", "least_lot"):
        return replace(case, lot=change.value)
    raise ValueError(change.kind)
