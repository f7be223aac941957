"""How values become words: the one place where a paper's numbers are rounded and its strings made safe."""

import re
import unicodedata
from datetime import date
from html import escape

from regrind.geometry import units
from regrind.paper.type import covers
from regrind.paper.values import Angle, Length, Money, Style, Unit

NARROW = "\u202f"  # narrow no-break space, before a unit
NO_BREAK = "\u00a0"
UNKNOWN = "–"
MISSING_GLYPH = "□"
LONGEST = 20_000
# What stands between groups of three digits: a comma where the point is the mark, else the small space of ISO 80000-1.
_GROUPS = {".": ",", ",": NARROW}
_IN_MM = re.compile(r"(?<=\d)\.(?=\d+[\u202f\u00a0 ]mm\b)")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MINOR_PLACES = {"JPY": 0, "KRW": 0, "ISK": 0, "CLP": 0, "VND": 0, "KWD": 3, "BHD": 3, "TND": 3}  # ISO 4217


def clean(text: str) -> str:
    """Text as the font can print it: control and direction marks gone, a box where it has no glyph.

    Line breaks stay. A string beyond 20,000 characters is cut there, with an ellipsis to say so.
    """
    short = text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"
    if short.isascii() and short.isprintable():
        return short
    return "".join(_sign(sign) for sign in unicodedata.normalize("NFC", short))


def _sign(sign: str) -> str:
    if sign == "\n" or (covers(sign) and sign.isprintable()) or sign in (NARROW, NO_BREAK):
        return sign
    kind = unicodedata.category(sign)
    if kind in ("Zs", "Zl", "Zp") or sign in "\t\r\v\f":
        return " "
    return "" if kind in ("Cc", "Cf", "Mn") else MISSING_GLYPH


def unprintable(text: str) -> str:
    """The signs of a text that the bundled font has no glyph for, each once, in their order."""
    return "".join(dict.fromkeys(sign for sign in unicodedata.normalize("NFC", text) if _sign(sign) == MISSING_GLYPH))


def line(text: str) -> str:
    """Clean text on a single line."""
    return (
        " ".join(clean(text).replace(NARROW, "\0").replace(NO_BREAK, "\1").split())
        .replace("\0", NARROW)
        .replace("\1", NO_BREAK)
    )


def markup(text: str) -> str:
    """Clean text, escaped for a paragraph, line breaks kept.

    Paragraphs break lines at the narrow no-break space, so the wide one takes its place there.
    """
    return escape(clean(text), quote=False).replace(NARROW, NO_BREAK).replace("\n", "<br/>")


def number(value: Length, unit: Unit, style: Style, *, sign: bool = False) -> str:
    """A length in one unit without the unit: inch by ASME Y14.5, millimetres by ISO 80000-1."""
    places = value.places_in if unit == "in" else value.places_mm
    text = units.show(value.nm, unit, places=places, sign=sign)
    return text if unit == "in" else text.replace(".", style.decimal_mark)


def length(value: Length | None, style: Style, *, sign: bool = False) -> str:
    """A length in the customer's unit, with the unit; a dash where it is unknown."""
    return UNKNOWN if value is None else _marked(value, _in(value, style.unit, style, sign))


def composed(words: str, style: Style) -> str:
    """Words made of figures elsewhere ("8.5 mm, 3 flutes"): their millimetres with this style's decimal mark."""
    return words if style.decimal_mark == "." else _IN_MM.sub(style.decimal_mark, words)


def stacked(value: Length | None, style: Style, *, sign: bool = False) -> str:
    """For a table whose head names the units: the customer's unit above, the other in parentheses below."""
    if value is None:
        return UNKNOWN
    there = number(value, other_unit(style), style, sign=sign)
    qualifiers = [word for word, is_so in (("about", value.about), ("assumed", value.assumed)) if is_so]
    return "\n".join([number(value, style.unit, style, sign=sign), f"({there})", *qualifiers])


def taken(value: Length | None, style: Style) -> str:
    """What is taken off, as `stacked` writes it: in words where that is nothing, a dash where it is unknown."""
    return "none" if value is not None and not value.nm else stacked(value, style)


def other(value: Length | None, style: Style, *, sign: bool = False) -> str:
    """The same length in the other unit, with the unit; empty where it is unknown."""
    return "" if value is None else _in(value, other_unit(style), style, sign)


def dual(value: Length | None, style: Style, *, sign: bool = False) -> str:
    """The customer's unit first, the other in parentheses, and the word where the value is not measured."""
    if value is None:
        return UNKNOWN
    both = f"{_in(value, style.unit, style, sign)} ({_in(value, other_unit(style), style, sign)})"
    return _marked(value, both)


def other_unit(style: Style) -> Unit:
    """The unit that stands in parentheses."""
    return "mm" if style.unit == "in" else "in"


def _in(value: Length, unit: Unit, style: Style, sign: bool) -> str:
    return f"{number(value, unit, style, sign=sign)}{NARROW}{unit}"


def _marked(value: Length, text: str) -> str:
    about = f"about {text}" if value.about else text
    return f"{about} assumed" if value.assumed else about


def angle(value: Angle | None, style: Style) -> str:
    """An angle in degrees, rounded once at its own places, half to even as lengths are."""
    if value is None:
        return UNKNOWN
    step = 10 ** max(0, 2 - value.places)
    steps, rest = divmod(abs(value.hundredths), step)
    steps += 2 * rest > step or (2 * rest == step and steps % 2 == 1)
    text = _decimal(steps, min(value.places, 2), style)
    sign = units.MINUS if value.hundredths < 0 and steps else ""
    return f"{sign}{text}°" + (" assumed" if value.assumed else "")


def money(value: Money | None, style: Style) -> str:
    """An amount without its currency, to the currency's own places."""
    if value is None:
        return ""
    text = _decimal(abs(value.minor), _MINOR_PLACES.get(value.currency, 2), style)
    return f"{units.MINUS if value.minor < 0 else ''}{_grouped(text, style)}"


def _grouped(text: str, style: Style) -> str:
    """Digits before the decimal mark in threes, from 1,000 on; lengths are not grouped."""
    whole, mark, rest = text.partition(style.decimal_mark)
    head = len(whole) % 3 or 3
    groups = [whole[:head], *(whole[start : start + 3] for start in range(head, len(whole), 3))]
    return _GROUPS[style.decimal_mark].join(groups) + mark + rest


def _decimal(steps: int, places: int, style: Style) -> str:
    digits = str(steps).rjust(places + 1, "0")
    return f"{digits[:-places]}{style.decimal_mark}{digits[-places:]}" if places else digits


def day(value: date | None) -> str:
    """A date as the pages write it, held together: 24 Nov 2025 is read the same on either side of the sea."""
    return UNKNOWN if value is None else NO_BREAK.join((str(value.day), _MONTHS[value.month - 1], str(value.year)))


def times(count: int) -> str:
    """How often: once, twice, 3 times."""
    return {0: "not before", 1: "once", 2: "twice"}.get(count, f"{count} times")


def plural(count: int, one: str, many: str = "") -> str:
    """A count with its noun, held together: 1 piece, 12 pieces."""
    return f"{count}{NO_BREAK}{one if count == 1 else many or one + 's'}"
