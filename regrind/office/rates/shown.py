"""The rows of the pages of rates: each field with the wider rate that replaces an empty one, and the history."""

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.forms import BoundField
from django.utils import timezone

from regrind.record.kinds import CHOICES, KINDS
from regrind.record.models import Family, Rate
from regrind.record.rates import SHOP, RateBook, Scope, columns_of
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.models import ShopSettings
from regrind.shop.owner.settings import shop_settings

from .forms import RateKey, RatesForm, operation_words

PAGE = 50
MOST_ENTRIES = 200


def fields(form: RatesForm, book: RateBook) -> list[tuple[BoundField, str, str]]:
    """(bound field, its unit, a note on the rate used where it is empty), for each rate."""
    currency = shop_settings().currency
    return [
        (bound, "" if key[0] == "life" else currency, _fallback(form.scope, form.kind, key, book))
        for key, bound in form.rows()
    ]


def _fallback(scope: Scope, kind: str, key: RateKey, book: RateBook) -> str:
    name, operation = key
    today = timezone.localdate()
    if name == "hourly":
        return _say_before(book.before_minor or 0)
    if operation:
        return ""
    for wider, words in (((None, kind), "of the kind"), (SHOP, "of the whole shop")):
        amount = book.find_exact(wider, name, today) if wider != scope else None
        if amount is not None:
            return f"If empty: {amount if name == 'life' else _money(amount)} {words}."
    return ""


def _say_before(minor: int) -> str:
    """Where the rate comes from while none is entered here."""
    built_in = minor == ShopSettings._meta.get_field("rate_minor").default
    return f"{_money(minor)}, {'a built-in default' if built_in else 'as the shop was set up'}, until one is entered"


def _money(minor: int) -> str:
    return f"{minor // 100}.{minor % 100:02d}"


def _older(last: int, kind: str) -> str:
    return "?" + urlencode({"after": last, **({"kind": kind} if kind else {})})


@dataclass(frozen=True)
class Entry:
    """One dated row in words: name and amount."""

    rate: Rate
    name: str
    amount: str


def history(scope: Scope) -> list[Entry]:
    """Every rate that was entered for a scope, the latest valid one first."""
    rows: QuerySet[Rate] = Rate.objects.filter(**columns_of(scope)).select_related("event__by")
    return [Entry(row, _name(row), _amount(row)) for row in rows.order_by("-from_day", "-pk")[:MOST_ENTRIES]]


def _name(row: Rate) -> str:
    name = row.get_what_display()
    return f"{name}, {operation_words(row.operation)}" if row.operation else name


def _amount(row: Rate) -> str:
    if row.amount is None:
        return "removed"
    return str(row.amount) if row.what == "life" else f"{_money(row.amount)}\u202f{row.currency}"


def kinds_and_families(after: str, kind: str) -> dict[str, Any]:
    """The kinds, and families of one of them or of all, the newest first, a page at a time."""
    kind = kind if kind in KINDS else ""
    families = Family.objects.filter(merged_into=None, **({"kind": kind} if kind else {})).order_by("-pk")
    if (before := read_whole(after)) is not None:
        families = families.filter(pk__lt=before)
    rows = list(families[: PAGE + 1])
    unit = shop_settings().unit
    return {
        "kinds": CHOICES,
        "of_kind": kind,
        "families": [(row.pk, row.name(unit)) for row in rows[:PAGE]],
        "older": _older(rows[PAGE - 1].pk, kind) if len(rows) > PAGE else "",
    }
