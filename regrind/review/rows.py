"""One family as the review tells it: its sums, its figures, and the verdict with what would change it."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from regrind.record.kinds import is_radial
from regrind.record.models import Family
from regrind.record.rates import Rates

from .filters import ReviewFilter, WhatIf, month_of
from .intervals import Interval, share_difference, share_interval
from .setups import Minutes, part_minutes
from .sums import Sums, Tallied
from .verdicts import Case, Verdict, judge

DECIDED: tuple[str, ...] = ("good", "ground", "returned_unground", "scrap")


@dataclass(frozen=True)
class Row:
    """A family (or, for the customers' page, a customer) in the part that is looked at.

    now: what of it was DECIDED in the last year.
    """

    key: int
    sums: Sums
    now: Sums = field(default_factory=Sums)
    family: Family | None = None
    name: str = ""
    rates: Rates | None = None
    reasons: Sequence[Tallied] = ()
    verdict: Verdict | None = None
    plain: Verdict | None = None  # without the what-if

    @property
    def loses_diameter(self) -> bool:
        """Whether such tools are ground on the diameter; of a row of several families, yes."""
        return self.family is None or is_radial(self.family.kind_data.grinds)

    @property
    def good_share(self) -> float | None:
        return self.sums.good / self.sums.decided if self.sums.decided else None

    @property
    def good_within(self) -> Interval:
        return share_interval(self.sums.good, self.sums.decided)

    @property
    def minutes(self) -> Minutes | None:
        return part_minutes(self.sums.by_setup)

    @property
    def minutes_hundredths(self) -> float | None:
        return self.sums.minutes_hundredths / self.sums.minutes_n if self.sums.minutes_n else None

    @property
    def price_minor(self) -> float | None:
        return self.sums.charged_minor / self.sums.charged_n if self.sums.charged_n else None

    @property
    def wheel_each_minor(self) -> float | None:
        return self.sums.wheel_minor / self.sums.ground if self.sums.ground and self.sums.wheel_minor else None

    @property
    def earns_minor(self) -> float | None:
        """What a bench minute brought, in minor units: over pieces whose minutes and whose price are both known."""
        if not self.sums.earning_hundredths or not self.sums.charged_n:
            return None
        return self.sums.earned_minor * 100 / self.sums.earning_hundredths

    @property
    def saves_minor(self) -> float | None:
        """What a tool that came and was decided on saved its owner."""
        return self.sums.saved_minor / self.sums.saved_of if self.sums.saved_n else None

    @property
    def regrinds_before(self) -> float | None:
        return self.sums.before_sum / self.sums.before_n if self.sums.before_n else None

    @property
    def regrinds_left(self) -> float | None:
        return self.sums.left_sum / self.sums.left_n if self.sums.left_n else None

    @property
    def stock_nm(self) -> float | None:
        return self.sums.stock.mean

    @property
    def before(self) -> Sums:
        """What was DECIDED before the last year."""
        return Sums(**{name: getattr(self.sums, name) - getattr(self.now, name) for name in DECIDED})

    @property
    def trend(self) -> str:
        """Whether the share that comes good has changed over the last year: better, worse, no clear
        change, or '' where there is nothing to compare."""
        now, before = (self.now.good, self.now.decided), (self.before.good, self.before.decided)
        if not now[1] or not before[1]:
            return ""
        difference = share_difference(now, before)
        return "better" if difference.low > 0 else "worse" if difference.high < 0 else "no clear change"

    @property
    def listed_minor(self) -> int | None:
        """The list's price of today, where it differs from what was charged; the verdict counts it."""
        listed = self.rates.price_minor if self.rates else None
        same = self.price_minor is not None and listed is not None and round(self.price_minor) == listed
        return None if same else listed

    @property
    def charged_verdict(self) -> Verdict | None:
        """The verdict at what was charged so far, where the list's price of today makes another; None otherwise."""
        if self.plain is None or self.listed_minor is None or self.price_minor is None:
            return None
        charged = judge(replace(self.plain.case, price=self.price_minor))
        return charged if charged.code != self.plain.code else None

    @property
    def moved(self) -> bool:
        return bool(self.verdict and self.plain and self.verdict.code != self.plain.code)


def recent(look: ReviewFilter, today: date) -> ReviewFilter:
    """The part of it that came since the first day of the month a year before: the trend compares it with the rest."""
    year_before = month_of(today).replace(year=today.year - 1)
    return replace(look, since=max(look.since or year_before, year_before))


def with_verdict(row: Row, what_if: WhatIf) -> Row:
    plain = judge(case_of(row, WhatIf()))
    return replace(row, plain=plain, verdict=judge(case_of(row, what_if)) if what_if.asked else plain)


def case_of(row: Row, what_if: WhatIf) -> Case:
    """What the verdict rests on: today's rates where the owner keeps them, else what was charged."""
    rates, sums = row.rates or Rates(), row.sums
    price = row.price_minor if rates.price_minor is None else rates.price_minor
    if what_if.price_minor is not None:
        price = what_if.price_minor
    elif what_if.percent is not None and price is not None:
        price = price * (100 + what_if.percent) / 100
    return Case(
        sums.good,
        sums.ground,
        sums.decided,
        row.minutes,
        price,
        rates.hourly_minor if what_if.rate_minor is None else what_if.rate_minor,
        rates.wheel_minor or 0,
        rates.new_minor,
        what_if.lot,
    )
