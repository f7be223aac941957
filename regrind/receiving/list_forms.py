"""A table that somebody has already: pasted, or as a file."""

from collections.abc import Callable
from typing import Any, Generic, TypeVar

from django import forms

from regrind.shop.fields.forms import ShopForm

from .forms import MOST_CHARACTERS
from .packing_list import Refused
from .packing_list.listing import MOST_BYTES

Read = TypeVar("Read")


class TableForm(ShopForm, Generic[Read]):
    """A table pasted or as a file, read when the form is cleaned: `read` is what it gives.

    reader: what reads it, from the text and the file's bytes; raises Refused, a sentence a line.
    """

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

    def __init__(self, *args: Any, reader: Callable[[str, bytes], Read], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.reader = reader
        self.read: Read | None = None

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        text, file = data.get("text", "").strip("\r\n"), data.get("file")
        if self.errors:
            return data
        if bool(text.strip()) == bool(file):
            self.add_error("text", "Paste the rows or choose a file: one of the two.")
            return data
        if file and file.size > MOST_BYTES:
            self.add_error("file", f"The file has {file.size:,} bytes. A table has at most {MOST_BYTES:,}.")
            return data
        try:
            self.read = self.reader(text, file.read() if file else b"")
        except Refused as refused:
            self.add_error("file" if file else "text", str(refused).split("\n"))
        return data
