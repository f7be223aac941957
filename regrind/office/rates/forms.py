from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils import timezone

from regrind.record.kinds import name_part
from regrind.record.rates import SHOP, RateBook, Scope, newest_pk, operations_of
from regrind.shop.fields.dates import day
from regrind.shop.fields.forms import MoneyText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText

FIRST_DAY = date(2000, 1, 1)
AHEAD = timedelta(days=730)
MOST_REGRINDS = 50
OPERATION_WORDS = {"": "any work", "sides end": "sides and end"}
RateKey = tuple[str, str]  # what the rate is for, operation


def operation_words(operation: str) -> str:
    return OPERATION_WORDS.get(operation, f"{name_part(operation)} only")


class RatesForm(ShopForm):
    """The rates of one scope, filled in as they are today; a change is valid from the day in the form."""

    from_day = day(label="Valid from", required=True)
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**62, required=False)

    def __init__(self, *args: Any, scope: Scope, kind: str, book: RateBook, **kwargs: Any) -> None:
        """kind: the scope's kind of tool, also where the scope is a family; empty for the shop."""
        super().__init__(*args, **kwargs)
        self.scope, self.kind, today = scope, kind, timezone.localdate()
        self.keys: dict[str, RateKey] = {}
        self.current: dict[RateKey, int | None] = {}
        for key, field in _fields(scope, kind):
            name = "_".join((key[0], *key[1].split()))
            self.keys[name], self.current[key] = key, book.find_exact(scope, key[0], today, key[1])
            field.initial = _shown(key[0], self.current[key])
            self.fields[name] = field
        self.initial.update(from_day=today, seen=newest_pk(scope))
        self.order_fields([*self.keys, "from_day"])

    def clean_from_day(self) -> date:
        first, last = FIRST_DAY, timezone.localdate() + AHEAD
        from_day: date = self.cleaned_data["from_day"]
        if not first <= from_day <= last:
            raise forms.ValidationError(f"{from_day} is out of range. Write a day from {first} to {last}.")
        return from_day

    def changes(self) -> dict[RateKey, int | None]:
        """The amounts that differ from the current ones; None where a field was emptied."""
        typed = {key: self.cleaned_data[name] for name, key in self.keys.items()}
        return {key: amount for key, amount in typed.items() if amount != self.current[key]}

    def rows(self) -> list[tuple[RateKey, forms.BoundField]]:
        """(rate key, its bound field), in the order of the page."""
        return [(key, self[name]) for name, key in self.keys.items()]


def _shown(name: str, amount: int | None) -> str | None:
    if amount is None:
        return None
    return str(amount) if name == "life" else f"{amount / 100:.2f}"


def _fields(scope: Scope, kind: str) -> list[tuple[RateKey, forms.Field]]:
    if scope == SHOP:
        return [
            (("hourly", ""), MoneyText(label="Hourly rate", required=False)),
            (("wheel", ""), MoneyText(label="Wheel cost per regrind", required=False)),
        ]
    prices: list[tuple[RateKey, forms.Field]] = [
        (("price", operation), MoneyText(label=f"Regrind, {operation_words(operation)}", required=False))
        for operation in operations_of(kind)
    ]
    return [
        *prices,
        (("wheel", ""), MoneyText(label="Wheel cost per regrind", required=False)),
        (("new", ""), MoneyText(label="Price of a new tool", required=False)),
        (("life", ""), WholeText(label="Regrinds of a new tool", least=0, most=MOST_REGRINDS, required=False)),
    ]
