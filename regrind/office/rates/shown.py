"""What the pages of rates show: each field with what holds where it is left empty, and all that was ever said."""

from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.forms import BoundField
from django.utils import timezone

from regrind.record.kinds import CHOICES, KINDS
from regrind.record.models import Family, Rate
from regrind.record.rates import SHOP, RateBook, Scope
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.owner.settings import shop_settings

from .forms import RatesForm, operation_words

PAGE = 50
MOST_SAID = 200


def fields(form: RatesForm, book: RateBook) -> list[tuple[BoundField, str]]:
    """Each amount's field with what holds instead where it is empty, in words."""
    return [(bound, _instead(form.scope, form.kind, said, book)) for said, bound in form.rows()]


def _instead(scope: Scope, kind: str, said: tuple[str, str], book: RateBook) -> str:
    what, operation = said
    today = timezone.localdate()
    if what == "hourly":
        return f"{_money(book.before_minor or 0)} until the first one is written down"
    if operation:
        return ""
    for wider, words in (((None, kind), "of the kind"), (SHOP, "of the whole shop")):
        amount = book.own(wider, what, today) if wider != scope else None
        if amount is not None:
            return f"Left empty: {amount if what == 'life' else _money(amount)} {words}."
    return ""


def _money(minor: int) -> str:
    return f"{minor // 100}.{minor % 100:02d}"


@dataclass(frozen=True)
class Said:
    """One dated row in words: what, how much (None where it was taken back), from when, who said it when."""

    rate: Rate
    what: str
    amount: str


def history(scope: Scope) -> list[Said]:
    """All that was said of a scope, what holds latest first."""
    family, kind = scope
    rows: QuerySet[Rate] = Rate.objects.filter(family=family, kind=kind).select_related("event__by")
    return [Said(row, _what(row), _amount(row)) for row in rows.order_by("-from_day", "-pk")[:MOST_SAID]]


def _what(row: Rate) -> str:
    what = row.get_what_display()
    return f"{what}, {operation_words(row.operation)}" if row.operation else what


def _amount(row: Rate) -> str:
    if row.amount is None:
        return "taken back"
    return str(row.amount) if row.what == "life" else f"{_money(row.amount)}\u202f{row.currency}"


def kinds_and_families(after: str, kind: str) -> dict[str, Any]:
    """The kinds, and families of one of them or of all, the newest first, a page at a time."""
    kind = kind if kind in KINDS else ""
    found = Family.objects.filter(merged_into=None, **({"kind": kind} if kind else {})).order_by("-pk")
    if (before := read_whole(after)) is not None:
        found = found.filter(pk__lt=before)
    rows = list(found[: PAGE + 1])
    unit = shop_settings().unit
    return {
        "kinds": CHOICES,
        "of_kind": kind,
        "families": [(row.pk, row.name(unit)) for row in rows[:PAGE]],
        "more": rows[PAGE - 1].pk if len(rows) > PAGE else None,
    }
