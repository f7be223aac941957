"""Lengths within a said line: which unit a bare number is in, and when it must be asked.

A fraction is inches (common practice: no tool is sized in fractions of a millimetre). A bare decimal is in the unit
that the line itself names, else in the customer's. A bare whole number is never guessed, unless the line or a chain
it stands in leaves no doubt.
"""

import re
from decimal import Decimal

from regrind.geometry.units import NeedsUnit, NotALength, Typed, Unit, parse

WIDEST_BARE_IN = 3  # a bare 8.0 is no eight-inch end mill: ask
INCH_DECIMALS = 3  # 0.1875 on a metric customer's paper: ask
METRIC = re.compile(r"\d\s*mm(?![a-z])", re.I)
INCH = re.compile(r"\d\s*(?:inch(?:es)?|in)(?![a-z])|\d\s*\"|\d/\d", re.I)
IMPROPER = re.compile(r"(\d{1,3})/(\d{1,3})\s*(?:in|inch|\")?", re.I)
BARE = re.compile(r"\d+|\d*[.,]\d+")


def unit_of(text: str) -> Unit | None:
    """The one unit that the line itself names; None where it names none or both."""
    metric, inch = bool(METRIC.search(text)), bool(INCH.search(text))
    if metric == inch:
        return None
    return "mm" if metric else "in"


def read_size(text: str, unit: Unit, *, whole: Unit | None = None) -> Typed:
    """A tool's diameter or length. `unit`: what a bare decimal is in; `whole`: what a bare whole number is in.

    Raises NeedsUnit, with millimetres and inches to choose from, where it could be either; NotALength else.
    """
    text = text.strip()
    if choices := _improper(text):
        raise NeedsUnit(f"“{text}” could be {' or '.join(choices)}.", choices)
    if "/" in text and text[-1:].isdigit():
        return parse(f"{text} in")
    if BARE.fullmatch(text):
        if (text.isdigit() and whole is None) or _improbable(text, unit):
            raise NeedsUnit(f"“{text}” could be {text} mm or {text} in.", [f"{text} mm", f"{text} in"])
        return parse(f"{text} {whole if text.isdigit() else unit}")
    return parse(text, unit=unit)


def _improper(text: str) -> list[str]:
    """What `11/2` may mean, a fraction above one with no whole number: 1-1/2 in, or eleven halves."""
    match = IMPROPER.fullmatch(text)
    if match is None or not int(match[2]) or int(match[1]) <= int(match[2]):
        return []
    over, under = int(match[1]), int(match[2])
    first, rest = match[1][:1], match[1][1:]
    split = [f"{first}-{rest}/{under} in"] if rest and 0 < int(rest) < under and rest[0] != "0" else []
    return [*split, f"{over // under}-{over % under}/{under} in" if over % under else f"{over // under} in"]


def _improbable(text: str, unit: Unit) -> bool:
    """A bare decimal that nobody writes so in this unit: 8.0 in inches, .250 or 0.1875 in millimetres."""
    if text.isdigit():
        return False
    if unit == "in":
        return Decimal(text.replace(",", ".")) >= WIDEST_BARE_IN
    value, decimals = Decimal(text.replace(",", ".")), len(re.split("[.,]", text)[1])
    return text[0] in ".," or (decimals >= INCH_DECIMALS and value < WIDEST_BARE_IN)


def size_or_text(text: str, unit: Unit, *, whole: Unit | None = None) -> tuple[int | None, str]:
    """(nm, ""), or (None, the text) where it must be asked, or (None, "") where it is no length."""
    try:
        return read_size(text, unit, whole=whole).nm or None, ""
    except NeedsUnit:
        return None, text.strip()
    except NotALength:
        return None, ""


def chain_unit(parts: list[str], named: Unit | None, customer: Unit) -> tuple[Unit, Unit | None]:
    """What the bare decimals and the bare whole numbers of `1/4 x 1/4 x 3/4 x 2-1/2` are in."""
    unit_named = unit_of(" ".join(parts)) or named
    if unit_named:
        return unit_named, unit_named
    plain = all(part.strip().isdigit() for part in parts)
    return customer, "mm" if customer == "mm" else None if plain else customer
