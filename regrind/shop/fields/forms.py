"""Form fields for lengths, angles and prices: text in, exact values out, an error beside the field."""

from collections.abc import Callable, Iterator
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.forms.models import ModelChoiceIterator

from regrind.geometry.units import NeedsUnit, NotALength, Typed, Unit, parse, show_with_unit
from regrind.paper.text import unprintable

from .whole_numbers import read_whole

MOST_SIGNS = 8
LONG_NM = 100_000_000  # a field that may hold this much is of a tool's lengths or diameters, not of depths


def read_long(text: str, unit: Unit, most_nm: int | None) -> Typed | None:
    """A bare whole number of millimetres where the field holds a tool's own lengths, which nobody writes in µm.

    None where it must be asked: in inches (5 in or 5 thou?), in a field of depths (60 mm or 60 µm?), or too long here.
    """
    if unit != "mm" or most_nm is None or most_nm < LONG_NM or not text.strip().isdecimal():
        return None
    typed = parse(f"{text} mm")
    return typed if typed.nm <= most_nm else None


class LengthInput(forms.TextInput):
    input_type = "text"

    def __init__(self, attrs: dict[str, Any] | None = None):
        super().__init__(
            {"inputmode": "decimal", "autocomplete": "off", "spellcheck": "false", "class": "length", **(attrs or {})}
        )


class LengthText(forms.CharField):
    """A length as it is typed; cleans to geometry.units.Typed, or None where left empty.

    unit: the unit of a bare decimal or fraction. remembered: the unit chosen before for a bare whole number in this
    field ('thou' …), "" for none. least_nm, most_nm: the allowed range, named in the error.
    """

    widget = LengthInput

    def __init__(
        self,
        *,
        unit: Unit = "in",
        least_nm: int | None = 0,
        most_nm: int | None = None,
        remembered: str = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(max_length=64, **kwargs)
        self.unit, self.least_nm, self.most_nm, self.remembered = unit, least_nm, most_nm, remembered
        if most_nm:  # the echo reads a bare whole number as the form will
            self.widget.attrs["data-longest"] = str(most_nm)

    def set_unit(self, unit: Unit) -> None:
        """Read bare figures in this unit, and tell the page so."""
        self.unit = unit
        self.widget.attrs["data-unit"] = unit

    def clean(self, value: str | None) -> Typed | None:
        text = super().clean(value)
        if not text:
            return None
        typed = self._read(text)
        self._check_range(typed)
        return typed

    def _read(self, text: str) -> Typed:
        try:
            return parse(text, unit=self.unit)
        except NeedsUnit as error:
            return self._read_remembered(text, error)
        except NotALength as error:
            raise ValidationError(str(error), code="not_a_length") from error

    def _read_remembered(self, text: str, error: NeedsUnit) -> Typed:
        """A bare whole number in the unit chosen before, else in the field's own; asked about where neither fits it."""
        try:
            if self.remembered:
                return parse(f"{text} {self.remembered}")
            if (typed := read_long(text, self.unit, self.most_nm)) and typed.nm >= (self.least_nm or 0):
                return typed
        except NotALength:
            pass
        raise ValidationError(str(error), code="needs_unit", params={"choices": error.choices}) from error

    def _check_range(self, typed: Typed) -> None:
        low, high = self.least_nm, self.most_nm
        if (low is not None and typed.nm < low) or (high is not None and typed.nm > high):
            raise ValidationError(f"{typed.text} is out of range. Write a length {self.range_text()}.", code="range")

    def range_text(self) -> str:
        low = show_with_unit(self.least_nm, self.unit) if self.least_nm is not None else ""
        high = show_with_unit(self.most_nm, self.unit) if self.most_nm is not None else ""
        if low and high:
            return f"from {low} to {high}"
        return f"of {low} or more" if low else f"of {high} or less"


class AngleText(forms.CharField):
    """An angle in degrees; cleans to hundredths of a degree (an int), or None where left empty."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "angle"})

    def __init__(self, *, least: float = 0, most: float = 90, **kwargs: Any) -> None:
        super().__init__(max_length=16, **kwargs)
        self.least, self.most = least, most

    def clean(self, value: str | None) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        plain = text.replace("\u2212", "-").replace(",", ".").removesuffix("°").removesuffix("deg").strip()
        try:
            degrees = Decimal(plain) if plain.isascii() and "e" not in plain.lower() and "_" not in plain else None
        except InvalidOperation:
            degrees = None
        if degrees is None or not degrees.is_finite() or degrees != degrees.quantize(Decimal("0.01")):
            raise ValidationError(
                f"“{text}” is not an angle. Write degrees, such as 12 or 12.5, with at most two decimals."
            )
        if not self.least <= degrees <= self.most:
            raise ValidationError(f"{text}° is out of range. Write an angle from {self.least:g}° to {self.most:g}°.")
        return int(degrees * 100)


class MoneyText(forms.CharField):
    """A price; cleans to minor units (an int), or None where left empty."""

    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "class": "money"})

    def clean(self, value: str | None) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        plain = text.replace(",", ".")
        whole, point, cents = plain.partition(".")
        if (
            not (whole + cents).isascii()
            or not (whole + cents).isdigit()
            or len(cents) > 2
            or len(whole) > 7
            or (point and not cents)
            or plain.count(".") > 1
        ):
            raise ValidationError(f"“{text}” is not a price. Write a number from 0 to 9999999.99, such as 7.50 or 12.")
        return int(whole or "0") * 100 + int(cents.ljust(2, "0") or "0")


class ReadOnce(ModelChoiceIterator):  # type: ignore[type-arg]  # Django takes no argument at run time
    """The rows of a choice, read once a form: Django asks for them anew each time that it goes through them."""

    def __iter__(self) -> Iterator[Any]:
        yield ("", self.field.empty_label)
        yield from map(self.choice, self.queryset)


class InUse(forms.ModelChoiceField):  # type: ignore[type-arg]  # Django takes no argument at run time
    """A gauge, wheel or work holding that is in use. One that was retired while the page was open is accepted too:
    the work was done with it."""

    iterator = ReadOnce

    def __init__(self, register: type[models.Model], **kwargs: Any) -> None:
        self.register = register._default_manager
        super().__init__(self.register.filter(in_use=True), required=False, empty_label="not recorded", **kwargs)
        self.error_messages["invalid_choice"] = "That is not in the register. Choose one from the list."

    def take(self, sent: str | None) -> None:
        if (key := read_whole(sent)) is not None:
            self.queryset = self.register.filter(Q(in_use=True) | Q(pk=key))


def say_unprintable(signs: str) -> str:
    """What is wrong with letters that the papers' font lacks, the first few of them named."""
    named = " ".join(signs[:MOST_SIGNS]) + (" …" if len(signs) > MOST_SIGNS else "")
    return f"Papers and labels cannot print {named}. Write it in Latin, Greek or Cyrillic letters."


class ShopForm(forms.Form):
    """The base of every form: trims, keeps the typed values, and puts the focus on the first error.

    refused_beside: the field that shows a refusal by the shop's rules, None for the head of the form.
    """

    error_css_class = "wrong"
    required_css_class = "required"
    refused_beside: str | None = None

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            if isinstance(field, InUse) and self.is_bound:
                field.take(self.data.get(name))
            field.error_messages["required"] = f"{(field.label or name.replace('_', ' ')).capitalize()} is required."

    def _post_clean(self) -> None:
        """Refuse letters that no paper can print, beside their field; a password is printed nowhere."""
        for name, value in self.cleaned_data.copy().items():
            secret = isinstance(self.fields[name].widget, forms.PasswordInput) if name in self.fields else True
            signs = unprintable(value) if isinstance(value, str) and not secret else ""
            if signs:
                self.add_error(name, say_unprintable(signs))

    def check_stale(self) -> None:
        """Raise Conflict where the page showed older values. Runs in the transaction of the save."""

    def refuse(self, message: str) -> None:
        """Show a refusal by the shop's rules."""
        self.add_error(self.refused_beside, message)

    def each_length(self, act: Callable[[str, LengthText], None]) -> None:
        """Call `act(name, field)` for every length field, to set units and what was remembered."""
        for name, field in self.fields.items():
            if isinstance(field, LengthText):
                act(name, field)
