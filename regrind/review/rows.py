"""One family as the review tells it: its sums, its figures, and the verdict with what would change it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from regrind.record.kinds import is_radial
from regrind.record.models import Family
from regrind.record.rates import RateBook, Rates
from regrind.shop.fields.dates import next_month

from .filters import WhatIf, month_of
from .intervals import Interval, share_difference, share_interval
from .setups import Minutes, part_minutes
from .sums import Sums, Tallied
from .verdicts import Case, Verdict, judge

DECIDED: tuple[str, ...] = ("good", "ground", "returned_unground", "scrap")
OF_AN_ERA = (*DECIDED, "replaced_n", "charged_minor", "earning_minor", "earning_ground")


@dataclass(frozen=True)
class Row:
    """A family (or, for the customers' page, a customer) in the part that is looked at.

    earned_minor: what its tools with minutes brought, less their wheels, each at the rates of its own time.
    saved_minor: what its good tools saved against new ones, over those `saved_n` whose new price was known; saved_of:
    how many were decided on in that time, without the good ones that were not charged. now, before: what was DECIDED in
    the last year, and before it.
    """

    key: int
    sums: Sums
    earned_minor: int = 0
    wheel_minor: int = 0
    saved_minor: int = 0
    saved_n: int = 0
    saved_of: int = 0
    now: Sums = field(default_factory=Sums)
    before: Sums = field(default_factory=Sums)
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
        return self.wheel_minor / self.sums.ground if self.sums.ground and self.wheel_minor else None

    @property
    def earns_minor(self) -> float | None:
        """What a bench minute brought, in minor units: over pieces whose minutes and whose price are both known."""
        if not self.sums.earning_hundredths or not self.sums.charged_n:
            return None
        return self.earned_minor * 100 / self.sums.earning_hundredths

    @property
    def saves_minor(self) -> float | None:
        """What a tool that came and was decided on saved its owner."""
        return self.saved_minor / self.saved_of if self.saved_n else None

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


def eras(book: RateBook, families: Iterable[Family], today: date) -> list[date]:
    """The months at which a rate changes that sums of the past take, and the one from which on the last year counts."""
    return sorted({*rate_changes(book, families), year_before(today)})


def rate_changes(book: RateBook, families: Iterable[Family]) -> list[date]:
    """The months at which some family's wheel cost or its new tool's price changes."""
    return sorted({_first_whole_month(day) for family in families for day in _changes(book, family)})


def _changes(book: RateBook, family: Family) -> list[date]:
    """The days from which on a family's wheel cost or its new tool's price is another."""
    periods = book.periods(family)
    return [
        day
        for (day, rates), (_, before) in zip(periods[1:], periods, strict=False)
        if (rates.wheel_minor, rates.new_minor) != (before.wheel_minor, before.new_minor)
    ]


def year_before(today: date) -> date:
    """The first day of the month a year before: the trend compares what came from it on with what came earlier."""
    return month_of(today).replace(year=today.year - 1)


def _first_whole_month(day: date) -> date:
    """A visit takes the rates of the first day of its month."""
    return day if day.day == 1 else next_month(day)


def make_row(
    sums: Sums, by_era: Mapping[int, Sums], breaks: Sequence[date], book: RateBook, family: Family, today: date
) -> Row:
    """The row of one family: every era's tools at the rates of that era. by_era: by number the figures OF_AN_ERA."""
    row = Row(family.pk, sums, family=family, rates=book.on(family, today))
    for era, sums in sorted(by_era.items()):
        start = breaks[era - 1] if era else date.min
        row = add_era(row, sums, book.on(family, start), start >= year_before(today))
    return row


def add_era(row: Row, sums: Sums, rates: Rates, recent: bool) -> Row:
    wheel = (rates.wheel_minor or 0) * sums.ground
    earned = sums.earning_minor - (rates.wheel_minor or 0) * sums.earning_ground
    saved, saved_n = saved_by(sums, rates)
    tools = 0 if rates.new_minor is None else sums.decided - sums.good + sums.replaced_n
    return replace(
        row,
        wheel_minor=row.wheel_minor + wheel,
        earned_minor=row.earned_minor + earned,
        saved_minor=row.saved_minor + saved,
        saved_n=row.saved_n + saved_n,
        saved_of=row.saved_of + tools,
        now=row.now + sums if recent else row.now,
        before=row.before if recent else row.before + sums,
    )


def saved_by(sums: Sums, rates: Rates) -> tuple[int, int]:
    """What the good tools saved against new ones in minor units, and how many those are: new price less what was
    charged. A good tool counts where it was charged, or made good a complaint; one without a price was no gift."""
    if rates.new_minor is None:
        return 0, 0
    return rates.new_minor * sums.replaced_n - sums.charged_minor, sums.replaced_n


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
