"""The prices of a batch's lines: what the price list proposes, and what is set by hand with the reason."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from regrind.record.models import Line
from regrind.shop.fields.forms import MoneyText, ShopForm

from .charges import Prices
from .extras import WORDS
from .proposals import Proposal

Items = dict[int, dict[str, int]]  # line -> item beside the regrind -> pieces


@dataclass(frozen=True)
class PriceRow:
    """One line on the page: its fields, what the list says, and an earlier line of the customer with a price."""

    line: Line
    price: forms.BoundField
    why: forms.BoundField
    extras: list[tuple[forms.BoundField, int]]
    proposal: Proposal
    paid: Line | None
    fixed: bool

    @property
    def source(self) -> str:
        """Where the price that is filled in comes from, where it is not the list's: for after the list's own words."""
        line, paid = self.line, self.paid
        if line.unit_price_minor is not None:
            return (
                f"; {line.unit_price_minor / 100:.2f} was set by hand{f', by {line.price_by}' if line.price_by else ''}"
            )
        if paid and self.price.value():
            return f"; {self.price.value()} is the last price, of batch {paid.batch.number}"
        return ""


class PricesForm(ShopForm):
    """A price per piece for each line of a batch, with the items beside it; the fields are named by line."""

    def __init__(
        self,
        *args: Any,
        lines: Sequence[Line],
        proposals: Mapping[int, Proposal],
        last_paid: Mapping[int, Line],
        items: Items,
        prices: Mapping[int, Prices],
        fixed: Mapping[int, Prices],
        **kwargs: Any,
    ) -> None:
        """last_paid: by family, an earlier line whose price is filled in where this one has none yet. items: on how
        many pieces of a line each item beside the regrind was done. prices: what they cost now. fixed: by line, those
        that no longer change."""
        super().__init__(*args, **kwargs)
        self.lines, self.proposals, self.items, self.asked = lines, proposals, items, prices
        self.fixed = {pk for pk, row in fixed.items() if row.get("price") is not None}
        for line in lines:
            if line.pk not in self.fixed:
                self._add(line, last_paid.get(line.family_id))

    def _add(self, line: Line, paid: Line | None) -> None:
        price = line.unit_price_minor
        if price is None:
            price = paid.unit_price_minor if paid else self.proposals[line.pk].minor
        self.fields[f"line_{line.number}"] = _money(f"Price per piece, line {line.number}", price)
        self.fields[f"why_{line.number}"] = forms.CharField(
            label="Why not the list’s price",
            max_length=200,
            required=False,
            initial=line.price_why if line.price_by_id else "",
        )
        for item in self.items.get(line.pk, {}):
            field = _money(WORDS[item].capitalize(), self.asked[line.pk].get(item))
            self.fields[f"line_{line.number}_{item}"] = field

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for line in self._open():
            proposed, minor = self.proposals[line.pk].minor, data.get(f"line_{line.number}")
            if None not in (proposed, minor) and minor != proposed and not data.get(f"why_{line.number}"):
                typed, listed = f"{(minor or 0) / 100:.2f}", f"{(proposed or 0) / 100:.2f}"
                message = f"{typed} is not the list’s {listed}. Write why, or take the list’s price."
                self.add_error(f"why_{line.number}", message)
        return data

    def _open(self) -> list[Line]:
        return [line for line in self.lines if line.pk not in self.fixed]

    def prices(self) -> dict[Line, int | None]:
        return {line: self.cleaned_data[f"line_{line.number}"] for line in self._open()}

    def listed(self) -> dict[Line, str]:
        """The lines whose price is the list's, with its reason."""
        of_list = {line: self.proposals[line.pk] for line in self._open()}
        return {
            line: proposal.why
            for line, proposal in of_list.items()
            if proposal.minor is not None and proposal.minor == self.cleaned_data[f"line_{line.number}"]
        }

    def reasons(self) -> dict[Line, str]:
        """Why the others are not."""
        listed = self.listed()
        return {line: self.cleaned_data[f"why_{line.number}"] for line in self._open() if line not in listed}

    def extras(self) -> dict[tuple[Line, str], int]:
        """The items whose price was changed by hand; an emptied field charges nothing."""
        typed = {
            (line, item): self.cleaned_data[f"line_{line.number}_{item}"]
            for line in self._open()
            for item in self.items.get(line.pk, {})
        }
        return {
            key: minor or 0 for key, minor in typed.items() if (minor or 0) != (self.asked[key[0].pk].get(key[1]) or 0)
        }

    def rows(self, earlier: Mapping[int, Line]) -> list[PriceRow]:
        """The lines in order; earlier: by family, the customer's last line with a price."""
        return [self._row(line, earlier.get(line.family_id)) for line in self._open()]

    def _row(self, line: Line, paid: Line | None) -> PriceRow:
        number = line.number
        extras = [(self[f"line_{number}_{item}"], count) for item, count in self.items.get(line.pk, {}).items()]
        price, why = self[f"line_{number}"], self[f"why_{number}"]
        return PriceRow(line, price, why, extras, self.proposals[line.pk], paid, line.pk in self.fixed)


def _money(label: str, minor: int | None) -> MoneyText:
    return MoneyText(label=label, required=False, initial=None if minor is None else f"{minor / 100:.2f}")
