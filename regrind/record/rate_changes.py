"""What the owner says of prices and costs: the only writer of rates. The sums of the past are priced anew with it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from regrind.shop.events import Conflict, Refusal, before_commit, event
from regrind.shop.models import Event, Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.undo import Change, before_undo

from .models import Rate
from .rates import Scope, columns_of, newest_pk
from .rollup_prices import PRICED_BY, RateChange, price_again


def keep_rates(
    *, by: Person, scope: Scope, amounts: Mapping[tuple[str, str], int | None], from_day: date, seen: int
) -> list[Rate]:
    """Say what holds from a day on. Returns the rows written.

    amounts: by (what, operation), minor units or, for `life`, a count; None takes back what was said. seen: what
    `newest_pk` was when the page was made. Refusal where nothing is said; Conflict where somebody else said something
    of the same scope meanwhile.
    """
    entries = {(scope, what, operation): amount for (what, operation), amount in amounts.items()}
    return keep_list(by=by, entries=entries, from_day=from_day, stale=lambda: newest_pk(scope) != seen)


def keep_list(
    *, by: Person, entries: Mapping[tuple[Scope, str, str], int | None], from_day: date, stale: Callable[[], bool]
) -> list[Rate]:
    """Say what holds from a day on, for any rows of the list: amounts by (scope, what, operation), as `keep_rates`.

    stale: whether the page was made before the newest entry. One event, which `undo` takes back whole.
    """
    if not entries:
        raise Refusal("Nothing here differs from what holds already: change an amount.")
    with event(by, "rates set", why=f"from {from_day}") as setting:
        if stale():
            raise Conflict("Somebody else wrote down other amounts while this page was open.")
        rates = [_rate(setting, key, amount, from_day) for key, amount in entries.items()]
        price_sums(rates)
        return Rate.objects.bulk_create(rates, batch_size=500)


def _rate(setting: Event, key: tuple[Scope, str, str], amount: int | None, from_day: date) -> Rate:
    scope, what, operation = key
    currency = "" if what in ("life", "discount") else shop_settings().currency
    named = {"what": what, "operation": operation, "amount": amount, "from_day": from_day, "currency": currency}
    return Rate(event=setting, **columns_of(scope), **named)


def price_sums(rates: Iterable[Rate]) -> None:
    """Have the sums that hang on these rates priced anew at the end of the event."""
    before_commit(price_again, [RateChange(r.family_id, r.kind, r.from_day) for r in rates if r.what in PRICED_BY])


def _price_after_undo(done: Event, changes: Sequence[Change]) -> None:
    price_sums(Rate.every.filter(event=done))


before_undo(_price_after_undo)
