"""Whole numbers: read from text, and as a form field with a range."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError


def read_whole(text: str | None, digits: int = 17) -> int | None:
    """The number written in plain digits 0 to 9, at most so many; None for anything else, a sign or a space too.

    17 digits fit every primary key.
    """
    return int(text) if text and text.isascii() and text.isdigit() and len(text) <= digits else None


class WholeText(forms.CharField):
    """A whole number from `least` to `most`, or None where the field is empty; the error names the range."""

    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "whole"})

    def __init__(self, *, least: int, most: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.least, self.most = least, most

    def clean(self, value: Any) -> int | None:
        text = super().clean(None if value is None else str(value))
        if not text:
            return None
        number = read_whole(text, 9)
        if number is None or not self.least <= number <= self.most:
            raise ValidationError(f"“{text[:40]}” does not fit: write a whole number from {self.least} to {self.most}.")
        return number
