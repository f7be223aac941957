"""Weights: typed and shown in pounds or kilograms, stored in whole grams."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from regrind.geometry.units import Unit

# One pound is 0.453 592 37 kg exactly: NIST SP 811, appendix B.8 (from memory).
GRAMS = {"in": Decimal("453.59237"), "mm": Decimal(1000)}
NAMES = {"in": "lb", "mm": "kg"}
PLACES = {"in": 2, "mm": 3}
MOST_G = 1_000_000


def show_weight(grams: int, unit: Unit) -> str:
    """A weight as text, to .01 lb in a shop of inches, else to 0.001 kg.

    >>> show_weight(1134, "in"), show_weight(1134, "mm")
    ('2.50 lb', '1.134 kg')
    """
    return f"{grams / GRAMS[unit]:.{PLACES[unit]}f} {NAMES[unit]}"


class WeightText(forms.CharField):
    """A weight as it is typed, bare in the shop's own unit; cleans to whole grams, or None where left empty."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})

    def __init__(self, *, unit: Unit = "mm", **kwargs: Any) -> None:
        super().__init__(max_length=16, **kwargs)
        self.unit: Unit = unit

    def clean(self, value: str | None) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        plain, unit = text.replace(",", ".").strip().lower(), self.unit
        for known, name in NAMES.items():
            if plain.endswith(name):
                plain, unit = plain.removesuffix(name).strip(), "in" if known == "in" else "mm"
        try:
            typed = Decimal(plain) if plain.isascii() and not set(plain) - set("0123456789.") else Decimal(0)
        except InvalidOperation:
            typed = Decimal(0)
        grams = round(typed * GRAMS[unit])
        if not 1 <= grams <= MOST_G:
            most = show_weight(MOST_G, self.unit)
            raise ValidationError(
                f"“{text}” does not fit. Write a weight such as 2.5 {NAMES[self.unit]}, up to {most}."
            )
        return grams
