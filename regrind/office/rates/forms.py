from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils import timezone

from regrind.record.rates import SHOP, RateBook, Scope, newest_pk, operations_of
from regrind.shop.fields.dates import day
from regrind.shop.fields.forms import MoneyText, ShopForm
from regrind.shop.fields.whole_numbers import WholeText

FIRST_DAY = date(2000, 1, 1)
AHEAD = timedelta(days=730)
MOST_REGRINDS = 50
OPERATION_WORDS = {"": "whatever is ground", "sides end": "sides and end"}
Said = tuple[str, str]  # what, operation


def operation_words(operation: str) -> str:
    return OPERATION_WORDS.get(operation, f"{operation} only")


class RatesForm(ShopForm):
    """What holds of one scope, filled in as it stands today; what is changed holds from the day named."""

    from_day = day(label="Holds from", required=True)
    seen = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**62, required=False)

    def __init__(self, *args: Any, scope: Scope, kind: str, book: RateBook, **kwargs: Any) -> None:
        """kind: the scope's kind of tool, also where the scope is a family; empty for the shop."""
        super().__init__(*args, **kwargs)
        self.scope, self.kind, today = scope, kind, timezone.localdate()
        self.names: dict[str, Said] = {}
        self.stood: dict[Said, int | None] = {}
        for said, field in _fields(scope, kind):
            name = "_".join((said[0], *said[1].split()))
            self.names[name], self.stood[said] = said, book.own(scope, said[0], today, said[1])
            field.initial = _shown(said[0], self.stood[said])
            self.fields[name] = field
        self.initial.update(from_day=today, seen=newest_pk(scope))
        self.order_fields([*self.names, "from_day"])

    def clean_from_day(self) -> date:
        first, last = FIRST_DAY, timezone.localdate() + AHEAD
        told: date = self.cleaned_data["from_day"]
        if not first <= told <= last:
            raise forms.ValidationError(f"{told} does not fit: from {first} to {last}.")
        return told

    def changes(self) -> dict[Said, int | None]:
        """What was typed differently from what stood; None where it was emptied."""
        typed = {said: self.cleaned_data[name] for name, said in self.names.items()}
        return {said: amount for said, amount in typed.items() if amount != self.stood[said]}

    def rows(self) -> list[tuple[Said, forms.BoundField]]:
        """(what and operation, its bound field), in the order of the page."""
        return [(said, self[name]) for name, said in self.names.items()]


def _shown(what: str, amount: int | None) -> str | None:
    if amount is None:
        return None
    return str(amount) if what == "life" else f"{amount / 100:.2f}"


def _fields(scope: Scope, kind: str) -> list[tuple[Said, forms.Field]]:
    if scope == SHOP:
        return [
            (("hourly", ""), MoneyText(label="Hourly rate", required=False)),
            (("wheel", ""), MoneyText(label="Wheel cost of a regrind", required=False)),
        ]
    prices: list[tuple[Said, forms.Field]] = [
        (("price", operation), MoneyText(label=f"Regrind, {operation_words(operation)}", required=False))
        for operation in operations_of(kind)
    ]
    return [
        *prices,
        (("wheel", ""), MoneyText(label="Wheel cost of a regrind", required=False)),
        (("new", ""), MoneyText(label="Price of a new tool", required=False)),
        (("life", ""), WholeText(label="Regrinds a new tool takes", least=0, most=MOST_REGRINDS, required=False)),
    ]
