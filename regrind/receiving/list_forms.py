"""A customer's packing list: pasted, or as a file."""

from typing import Any

from django import forms

from regrind.geometry.units import Unit
from regrind.shop.fields.forms import ShopForm

from .forms import MOST_CHARACTERS
from .packing_list import PackingList, Refused, read_list
from .packing_list.listing import MOST_BYTES


class ListForm(ShopForm):
    """Reads the list when it is cleaned: `packed` is what it gives."""

    text = forms.CharField(
        label="Paste the rows",
        max_length=MOST_CHARACTERS,
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 6, "autocomplete": "off", "spellcheck": "false"}),
        help_text="as copied from a sheet or a mail, with the row of heads where there is one",
    )
    file = forms.FileField(
        label="Or the file",
        required=False,
        help_text="XLSX or CSV",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.csv,.txt,.tsv"}),
    )

    packed: PackingList

    def __init__(self, *args: Any, unit: Unit, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        text, file = data.get("text", "").strip("\r\n"), data.get("file")
        if self.errors:
            return data
        if bool(text.strip()) == bool(file):
            self.add_error("text", "Paste the rows or choose a file: one of the two.")
            return data
        if file and file.size > MOST_BYTES:
            self.add_error("file", f"The file has {file.size:,} bytes. A packing list has at most {MOST_BYTES:,}.")
            return data
        try:
            self.packed = read_list(text, file.read() if file else b"", self.unit)
        except Refused as refused:
            self.add_error("file" if file else "text", str(refused))
        return data
