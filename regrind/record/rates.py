"""Prices and costs as they held on a day: of a family, else of its kind, else of the whole shop."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Q

from regrind.shop.events import Conflict, Refusal, event
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings

from .kinds import KINDS
from .models import Family, Rate

Scope = tuple[int | None, str]  # (family, ""), (None, kind) or (None, "") for the whole shop
SHOP: Scope = (None, "")
ALWAYS = date.min


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

    def find_exact(self, scope: Scope, what: str, day: date, operation: str = "") -> int | None:
        """What was said of exactly this scope and operation, as it held on the day; None where nothing was."""
        key = (scope, what, operation)
        if key not in self.days:
            return None
        position = bisect_right(self.days[key], day)
        return self.amounts[key][position - 1] if position else None

    def find(self, family: Family, what: str, day: date, operation: str = "") -> int | None:
        """Family before kind before shop; within each the operation itself before whatever is ground."""
        for scope in scopes_of(family):
            for named in dict.fromkeys((operation, "")):
                amount = self.find_exact(scope, what, day, named)
                if amount is not None:
                    return amount
        return None

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
        scopes = scopes_of(family)
        days = {day for scope in scopes for day in self.days_of.get(scope, ())}
        periods: list[tuple[date, Rates]] = []
        for day in (ALWAYS, *sorted(days)):
            rates = self.on(family, day, operation)
            if not periods or periods[-1][1] != rates:
                periods.append((day, rates))
        return periods


def scopes_of(family: Family) -> tuple[Scope, ...]:
    """Where a family's rates are looked for, the nearest first."""
    return (family.pk, ""), (None, family.kind), SHOP


def read_rates(family: int | None = None, *, wide: bool = True) -> RateBook:
    """All dated rates in two queries, whatever the number of families. The table is small: what the owner typed.

    wide: False for those of one family, or of none, with those of the kinds and the shop.
    """
    book = RateBook(before_minor=shop_settings().rate_minor)
    every = Rate.objects.all() if wide else Rate.objects.filter(Q(family=None) | Q(family=family))
    rows = every.order_by("from_day", "pk").values_list("family_id", "kind", "what", "operation", "from_day", "amount")
    for family, kind, what, operation, day, amount in rows:
        key: tuple[Scope, str, str] = ((family, kind), what, operation)
        book.days[key].append(day)
        book.amounts[key].append(amount)
        book.days_of[family, kind].add(day)
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
    family, kind = scope
    return Rate.objects.filter(family=family, kind=kind).order_by("-pk").values_list("pk", flat=True).first() or 0


def keep_rates(
    *, by: Person, scope: Scope, amounts: Mapping[tuple[str, str], int | None], from_day: date, seen: int
) -> list[Rate]:
    """Say what holds from a day on. Returns the rows written.

    amounts: by (what, operation), minor units or, for `life`, a count; None takes back what was said. seen: what
    `newest_pk` was when the page was made. Refusal where nothing is said; Conflict where somebody else said something
    of the same scope meanwhile.
    """
    if not amounts:
        raise Refusal("Nothing here differs from what holds already: change an amount.")
    family, kind = scope
    currency = shop_settings().currency
    with event(by, "rates set", why=f"from {from_day}") as setting:
        if newest_pk(scope) != seen:
            raise Conflict("Somebody else wrote down other amounts while this page was open.")
        return Rate.objects.bulk_create(
            [
                Rate(
                    event=setting,
                    what=what,
                    family_id=family,
                    kind=kind,
                    operation=operation,
                    amount=amount,
                    from_day=from_day,
                    currency="" if what == "life" else currency,
                )
                for (what, operation), amount in amounts.items()
            ]
        )
