from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils import timezone

from regrind.geometry.units import Unit
from regrind.shop.fields.dates import day
from regrind.shop.fields.forms import MoneyText, ShopForm
from regrind.shop.fields.whole_numbers import read_whole

from ..rates.forms import AHEAD, FIRST_DAY
from .entries import Entry, Key, standing
from .row_form import RowForm
from .table import read_table

NEW_ROWS = 4
LARGEST_FILE = 500_000


class FromDayForm(ShopForm):
    """A change of the list, valid from a day on; `newest` is the last entry that the page showed."""

    from_day = day(label="Valid from", required=True)
    newest = forms.CharField(max_length=17, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, shown: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.update(from_day=timezone.localdate(), newest=shown)

    def clean_from_day(self) -> Any:
        first, last, from_day = FIRST_DAY, timezone.localdate() + AHEAD, self.cleaned_data["from_day"]
        if not first <= from_day <= last:
            raise forms.ValidationError(f"{from_day} is out of range. Write a day from {first} to {last}.")
        return from_day

    def newest_shown(self) -> int:
        return read_whole(self.data.get("newest", "")) or 0

    def only_new(self, entries: dict[Key, int | None]) -> dict[Key, int | None]:
        """Those amounts that differ from the ones that hold on the form's day."""
        known = standing(self.cleaned_data["from_day"])
        return {key: amount for key, amount in entries.items() if known.get(key) != amount}


class ListForm(FromDayForm):
    """The amounts of the rows that stand, and new rows below them."""

    def __init__(self, *args: Any, entries: Sequence[Entry], unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entries = [entry for entry in entries if entry.rate.family_id is None]
        for entry in self.entries:
            label = f"{entry.words}, {entry.tool}"
            field = MoneyText(label=label, required=False, initial=entry.amount)
            field.widget.attrs["aria-label"] = label
            self.fields[_name(entry)] = field
        posted = self.data if self.is_bound else None
        self.new_rows = [RowForm(posted, prefix=f"new_{n}", unit=unit) for n in range(1, NEW_ROWS + 1)]

    def is_valid(self) -> bool:
        rows = [row.is_valid() for row in self.new_rows]
        return super().is_valid() and all(rows)

    def rows(self) -> list[tuple[Entry, forms.BoundField]]:
        return [(entry, self[_name(entry)]) for entry in self.entries]

    def changes(self) -> dict[Key, int | None]:
        """The amounts that differ, by their place in the list; None where a field was emptied."""
        typed = {entry.key: self.cleaned_data[_name(entry)] for entry in self.entries}
        return self.only_new(typed | dict(entry for row in self.new_rows if (entry := row.entry()) is not None))


def _name(entry: Entry) -> str:
    return f"row_{entry.rate.pk}"


class ImportForm(FromDayForm):
    """A table pasted or uploaded; what is wrong in it is said line by line beside it."""

    table = forms.CharField(
        label="Table", max_length=LARGEST_FILE, required=False, widget=forms.Textarea(attrs={"rows": 12}), strip=False
    )
    file = forms.FileField(label="Or a file (CSV)", required=False)

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        entries, faults = read_table(_text(data), self.unit)
        for fault in faults:
            self.add_error("table", fault)
        self.read = entries
        return data

    def changes(self) -> dict[Key, int | None]:
        """The amounts of the table that differ from those that hold."""
        return self.only_new(self.read)


def _text(data: dict[str, Any]) -> str:
    """The uploaded file in UTF-8 or, as older spreadsheets write, in Windows-1252; else what was pasted."""
    if data.get("file") is None:
        return str(data.get("table") or "")
    content: bytes = data["file"].read(LARGEST_FILE)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")
