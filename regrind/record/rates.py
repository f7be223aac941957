"""Prices and costs as they held on a day: of a family, else of its kind, else of the whole shop."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any, NamedTuple

from django.db.models import Q

from regrind.shop.owner.settings import shop_settings

from .kinds import KINDS
from .models import Family, Rate

SHOP: "Scope" = (None, "")
ALWAYS = date.min
UNLIMITED = [None] * 5
BAND = ("family_id", "kind", "customer_id", "over_nm", "up_to_nm", "teeth_from", "teeth_to")


class Band(NamedTuple):
    """A row of the price list that is narrower than a kind: diameters over and up to, nm, and a count of teeth, each
    from and to; or that is one customer's own."""

    family: int | None = None
    kind: str = ""
    customer: int | None = None
    over_nm: int | None = None
    up_to_nm: int | None = None
    teeth_from: int | None = None
    teeth_to: int | None = None

    def holds(self, family: Family, customer: int | None) -> bool:
        """Whether a tool of this family, sent by this customer, is within the band. A size that nobody knows is not."""
        return (
            self.customer in (None, customer)
            and self.family in (None, family.pk)
            and self.kind in ("", family.kind)
            and _within(family.nominal_nm, None if self.over_nm is None else self.over_nm + 1, self.up_to_nm)
            and _within(family.teeth, self.teeth_from, self.teeth_to)
        )

    @property
    def nearness(self) -> tuple[Any, ...]:
        """Sorts the nearest first: the customer's own, the family's, the kind's, a count of teeth, a small band."""
        sized = self.over_nm is not None or self.up_to_nm is not None
        width = (self.up_to_nm or 10**12) - (self.over_nm or 0)
        toothed = self.teeth_from is not None or self.teeth_to is not None
        whose = self.customer is None, self.family is None, not self.kind
        return (*whose, not toothed, not sized, width, str(self))


Scope = tuple[int | None, str] | Band  # (family, ""), (None, kind) or (None, "") for the whole shop, or a band


def _within(value: int | None, least: int | None, most: int | None) -> bool:
    if least is None and most is None:
        return True
    return value is not None and (least is None or value >= least) and (most is None or value <= most)


def as_band(scope: Scope) -> Band:
    """Any scope as a band; one without limits is that of a family, a kind or the shop."""
    return scope if isinstance(scope, Band) else Band(*scope)


def as_scope(band: Band) -> Scope:
    """A band as it is looked up: one without limits by its family and kind alone."""
    return (band.family, band.kind) if band == Band(band.family, band.kind) else band


class Listed(NamedTuple):
    """An amount of the list with where it stands; parts: the operations that it adds up, each with its own amount."""

    amount: int
    scope: Scope
    parts: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Rates:
    """What held for one family on one day: money in minor units of the shop's currency, None where nobody said."""

    price_minor: int | None = None
    hourly_minor: int | None = None
    wheel_minor: int | None = None  # a regrind
    new_minor: int | None = None  # a new tool
    new_regrinds: int | None = None  # that a new tool takes


@dataclass
class RateBook:
    """Every dated rate, read once. Per scope, what and operation: days ascending and the amounts from each on."""

    days: dict[tuple[Scope, str, str], list[date]] = field(default_factory=lambda: defaultdict(list))
    amounts: dict[tuple[Scope, str, str], list[int | None]] = field(default_factory=lambda: defaultdict(list))
    days_of: dict[Scope, set[date]] = field(default_factory=lambda: defaultdict(set))  # when anything was
    before_minor: int | None = None  # the hourly rate before the first dated one
    bands: set[Band] = field(default_factory=set)
    _near: dict[tuple[int, int | None], tuple[Scope, ...]] = field(default_factory=dict)

    def find_exact(self, scope: Scope, what: str, day: date, operation: str = "") -> int | None:
        """What was said of exactly this scope and operation, as it held on the day; None where nothing was."""
        key = (scope, what, operation)
        if key not in self.days:
            return None
        position = bisect_right(self.days[key], day)
        return self.amounts[key][position - 1] if position else None

    def find(
        self, family: Family, what: str, day: date, operation: str = "", customer: int | None = None
    ) -> int | None:
        """The amount that `locate` finds."""
        nearest = self.locate(family, what, day, operation, customer)
        return nearest.amount if nearest else None

    def locate(
        self, family: Family, what: str, day: date, operation: str = "", customer: int | None = None
    ) -> Listed | None:
        """The nearest scope that says anything: the customer's own before the list's, family before kind before shop,
        narrow bands before wide ones. Within each, the operation itself before its parts together, and these before
        the price of whatever is ground."""
        for scope in self.scopes_of(family, customer):
            for parts in ways_to_price(operation):
                amounts = [self.find_exact(scope, what, day, part) for part in parts]
                known = [amount for amount in amounts if amount is not None]
                if len(known) == len(parts):
                    return Listed(sum(known), scope, tuple(zip(parts, known, strict=True)))
        return None

    def scopes_of(self, family: Family, customer: int | None = None) -> tuple[Scope, ...]:
        """Where a family's rates are looked for, the nearest first; customer: their own among them."""
        key = family.pk, customer
        if key not in self._near:
            plain = [Band(family.pk), Band(kind=family.kind), Band()]
            fitting = (band for band in self.bands if band.holds(family, customer))
            near = sorted({*plain, *fitting}, key=lambda band: band.nearness)
            self._near[key] = tuple(as_scope(band) for band in near)
        return self._near[key]

    def on(self, family: Family, day: date, operation: str = "") -> Rates:
        """All that held for a family on a day; operation as in `Rate`."""
        hourly = self.find_exact(SHOP, "hourly", day)
        return Rates(
            self.find(family, "price", day, operation),
            self.before_minor if hourly is None else hourly,
            *(self.find(family, what, day) for what in ("wheel", "new", "life")),
        )

    def periods(self, family: Family, operation: str = "") -> list[tuple[date, Rates]]:
        """What held from when on, oldest first; the first entry holds from date.min."""
        scopes = self.scopes_of(family)
        days = {day for scope in scopes for day in self.days_of.get(scope, ())}
        periods: list[tuple[date, Rates]] = []
        for day in (ALWAYS, *sorted(days)):
            rates = self.on(family, day, operation)
            if not periods or periods[-1][1] != rates:
                periods.append((day, rates))
        return periods


def ways_to_price(operation: str) -> list[tuple[str, ...]]:
    """How the price of some work may be made up, the exact one first: itself, sides and end as one and the rest, each
    part alone, whatever is ground."""
    parts = tuple(operation.split())
    ways: list[tuple[str, ...]] = [(operation,)] if operation else []
    if len(parts) > 1:
        if {"sides", "end"} < set(parts):
            ways.append(("sides end", *(part for part in parts if part not in ("sides", "end"))))
        ways.append(parts)
    return [*ways, ("",)]


def read_rates(
    family: int | None = None, *, wide: bool = True, customers: Collection[int] = (), whats: Collection[str] = ()
) -> RateBook:
    """All dated rates in two queries, whatever the number of families. The table is small: what the owner typed.

    wide: False for those of one family, or of none, with those of the kinds and the shop. customers: whose own prices
    are read too. whats: these alone.
    """
    book = RateBook(before_minor=shop_settings().rate_minor)
    whose = Q(customer=None) | Q(customer__in=customers)
    whose &= Q(what__in=whats) if whats else Q()
    every = Rate.objects.all() if wide else Rate.objects.filter(Q(family=None) | Q(family=family))
    rows = every.filter(whose).order_by("from_day", "pk").values_list("what", "operation", "from_day", "amount", *BAND)
    for what, operation, day, amount, key, kind, *limits in rows:
        scope: Scope = (key, kind)
        if limits != UNLIMITED:
            scope = Band(key, kind, *limits)
            book.bands.add(scope)
        book.days[scope, what, operation].append(day)
        book.amounts[scope, what, operation].append(amount)
        book.days_of[scope].add(day)
    return book


def rates_on(families: Iterable[Family], day: date) -> dict[int, Rates]:
    """What held for each family on a day, by its primary key; two queries for all of them."""
    book = read_rates()
    return {family.pk: book.on(family, day) for family in families}


def operations_of(kind: str) -> tuple[str, ...]:
    """What a price may be asked for on this kind: whatever is ground, one thing alone, sides and end together."""
    grinds = KINDS[kind].grinds
    both = ("sides end",) if {"sides", "end"} <= set(grinds) else ()
    return ("", *grinds, *both)


def newest_pk(scope: Scope) -> int:
    """The last entered rate of this scope, 0 where there is none: what a page saw."""
    return Rate.objects.filter(**columns_of(scope)).order_by("-pk").values_list("pk", flat=True).first() or 0


def columns_of(scope: Scope) -> dict[str, Any]:
    """The columns of the rates of exactly this scope."""
    return dict(zip(BAND, as_band(scope), strict=True))
