"""Writes exact lengths the way a bench hand may type them, in whatever unit holds them exactly."""

from __future__ import annotations

from fractions import Fraction
from random import Random

NM_PER_INCH = 25_400_000
DECIMAL_UNITS = (
    ("mm", 1_000_000, 6),
    ("um", 1_000, 3),
    ("in", NM_PER_INCH, 6),
    ("thou", 25_400, 3),
    ("tenths", 2_540, 2),
)


def spell(rng: Random, nm: int) -> str:
    """`nm` whole nanometres as text with a unit that the interface names; always exact."""
    choices = [text for unit in DECIMAL_UNITS if (text := _decimal(rng, nm, *unit))]
    binary = Fraction(nm, NM_PER_INCH)
    if nm > 0 and 1 < binary.denominator <= 64 and binary.denominator & (binary.denominator - 1) == 0:
        choices.append(_fraction(binary))
    return rng.choice(choices)


def _decimal(rng: Random, nm: int, unit: str, size: int, places: int) -> str | None:
    scaled = Fraction(abs(nm) * 10**places, size)
    if scaled.denominator != 1:
        return None
    whole, part = divmod(scaled.numerator, 10**places)
    digits = f"{part:0{places}d}".rstrip("0")
    digits += "0" * rng.choice((0, 0, 0, 1)) if digits else rng.choice(("", "", "0"))
    if unit == "tenths" and (whole, digits) == (1, ""):
        unit = "tenth"
    return f"{'-' if nm < 0 else ''}{whole}{'.' if digits else ''}{digits} {unit}"


def _fraction(inches: Fraction) -> str:
    whole, part = divmod(inches.numerator, inches.denominator)
    return f"{whole}-{part}/{inches.denominator} in" if whole else f"{part}/{inches.denominator} in"
