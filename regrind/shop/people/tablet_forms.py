"""Forms of tablets, PINs and badges."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from ..fields.forms import ShopForm
from ..fields.whole_numbers import read_whole

DIGITS = "01234567890123456789"


def pad_input(**attrs: str) -> forms.PasswordInput:
    """Hidden digits; the tablet shows its number keys."""
    return forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "pin", **attrs})


class PinForm(ShopForm):
    """A new PIN, typed twice."""

    pin = forms.CharField(label="New PIN", max_length=6, widget=pad_input(), help_text="Four to six digits.")
    again = forms.CharField(label="New PIN again", max_length=6, widget=pad_input())

    def clean_pin(self) -> str:
        pin: str = self.cleaned_data["pin"]
        if len(pin) < 4 or read_whole(pin, 6) is None:
            raise ValidationError("That is not a PIN. Write four to six digits.")
        if len(set(pin)) == 1 or pin in DIGITS or pin in DIGITS[::-1]:
            raise ValidationError("That PIN is easy to guess. Do not use one digit alone or a row of digits.")
        return pin

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("pin") and data.get("again") is not None and data["pin"] != data["again"]:
            self.add_error("again", "The two PINs differ. Type the new PIN again.")
        return data


class PinSignInForm(ShopForm):
    """A PIN for the person who was tapped, or a badge. Neither is shown again."""

    pin = forms.CharField(label="PIN, or scan your badge", max_length=40, widget=pad_input(autofocus="autofocus"))


class BadgeForm(ShopForm):
    badge = forms.CharField(
        label="Scan your badge",
        max_length=40,
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off", "autofocus": "autofocus"}),
    )

    def clean_badge(self) -> str:
        badge: str = self.cleaned_data["badge"]
        if not badge:
            raise ValidationError("No badge was read. Scan your badge, or tap your name above.")
        return badge


class TabletForm(ShopForm):
    name = forms.CharField(label="Place of this tablet", max_length=40)
