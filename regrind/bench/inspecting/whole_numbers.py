"""Whole numbers of teeth and rows: as fields of a form, and out of what was sent."""

from typing import Any

from django import forms

from regrind.shop.fields.whole_numbers import read_whole


def make_count(label: str, least: int, most: int, plural: str) -> forms.IntegerField:
    """A whole number whose error names its range."""
    outside = f"From {least} to {most} {plural} fit here."
    return forms.IntegerField(
        label=label,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
        min_value=least,
        max_value=most,
        error_messages={
            "invalid": f"Write a whole number of {plural}, from {least} to {most}.",
            "min_value": outside,
            "max_value": outside,
        },
    )


def read_count(value: Any, most: int) -> int:
    """A whole number up to `most` out of whatever was sent, 0 where it is none."""
    number = read_whole(str(value or "").strip(), 3)
    return number if number is not None and number <= most else 0
