"""Lengths at the edge of the module: what a bench hand types, kept exactly, and how it is shown again.

Inside the program a stored length is a whole number of nanometres: .00001 in (254 nm) and 1/64 in
(396,875 nm) are then exact, and sums, checks and grouping never meet a binary fraction.
The inch is 25.4 mm exactly (international yard and pound agreement, 1959; ISO 31-1).
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Literal, NamedTuple, NoReturn

from regrind.geometry.drill_sizes import find_drill_nm, find_last_number, is_drill_size

Unit = Literal["in", "mm"]

NM_PER_MM = 1_000_000
NM_PER_IN = 25_400_000
LONGEST_NM = 10_000 * NM_PER_MM
LONGEST_TEXT = 64
NARROW_SPACE = "\u202f"
MINUS = "\u2212"

_NM = {"in": NM_PER_IN, "mm": NM_PER_MM, "thou": 25_400, "tenths": 2_540, "um": 1_000}
_SPELLINGS = {
    "in": ("in", "in.", "inch", "inches", '"', "\u2033", "\u201d", "\u201c", "''"),
    "mm": ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    "thou": ("thou", "thousandth", "thousandths"),
    "tenths": ("tenth", "tenths"),
    "um": ("um", "\u00b5m", "\u03bcm", "micron", "microns", "micrometre", "micrometres"),
}
_CANONICAL = {spelling: unit for unit, spellings in _SPELLINGS.items() for spelling in spellings}
_SPACES = " \t\u00a0\u2007\u2009\u202f"
_TO_ASCII = str.maketrans({**dict.fromkeys(_SPACES, " "), "\u2212": "-"})
_LENGTH = re.compile(
    r"(?P<sign>[+-]?) *"
    r"(?:(?:(?P<whole>[0-9]+)(?: +|-))?(?P<over>[0-9]+)/(?P<under>[0-9]+)|(?P<decimal>[0-9]*[.,]?[0-9]*))"
    r" *(?P<unit>[^0-9.,/ +-][^0-9,/ ]*)?"
)
_GROUPED = re.compile(r"[1-9][0-9]{0,2},000")  # 10,000 mm: ten, or ten thousand?
_HOW = "Write .25 in, 1/4 in or 6.35 mm."


class NotALength(ValueError):
    """The text is no length that can be kept exactly; the message says why, in the bench's words."""


class NeedsUnit(NotALength):
    """The number could be several lengths; `choices` are ready texts to pick from."""

    def __init__(self, message: str, choices: list[str]) -> None:
        super().__init__(message)
        self.choices = choices


@dataclass(frozen=True, slots=True)
class Typed:
    """A length as it was typed: whole nanometres (`nm`), the text, and its unit."""

    nm: int
    text: str
    unit: str

    @property
    def mm(self) -> float:
        """The length in millimetres as a float (the only step from exact lengths to floats)."""
        return self.nm / NM_PER_MM


class _Number(NamedTuple):
    """A typed number as an exact ratio, and how it was written."""

    over: int
    under: int
    form: Literal["whole", "decimal", "fraction"]


@lru_cache(maxsize=4096)
def parse(text: str, *, unit: Unit | None = None) -> Typed:
    """Read a length in any spelling of the bench; signed, at most 10 m, a whole number of nanometres.

    Takes `0.2500 in`, `.25"`, `1/4 in`, `1-1/4 in`, `6.35 mm`, `6,35 mm`, `4 thou`, `3 tenths` (of a
    thousandth of an inch), `13 um`, `#7`, `letter F`, `F drill`. With `unit` a bare decimal is in that
    unit; a bare whole number (5 in or 5 thou?) and a bare fraction under mm raise `NeedsUnit`, except 0.
    Raises `NotALength` for everything else.
    Source: 1 in = 25.4 mm exactly; drill sizes from shared/23_drill_sizes.csv.

    >>> parse("1-1/4 in").nm
    31750000
    >>> parse("3 tenths").mm
    0.00762
    """
    clean = text.strip(_SPACES + "\r\n")
    if len(clean) > LONGEST_TEXT:
        raise NotALength(f"{quote(text)} is too long to be a length. {_HOW}")
    spelled = clean.translate(_TO_ASCII).casefold()
    if is_drill_size(spelled):
        return Typed(_read_drill(spelled, clean), clean, "drill")
    match = _LENGTH.fullmatch(spelled)
    if match is None:
        _refuse(clean)
    number = _number(match, clean)
    named = _unit(match["unit"], number, clean, unit)
    return Typed(_whole_nm(number, named, -1 if match["sign"] == "-" else 1, clean), clean, named)


def _read_drill(spelled: str, text: str) -> int:
    nm = find_drill_nm(spelled)
    if nm is None:
        raise NotALength(f"{quote(text)} is no drill size: number drills go from #1 to #{find_last_number()}.")
    return nm


def quote(text: str, longest: int = 40) -> str:
    """The text in quotation marks for a message: shortened, control and other unprintable signs as "?".

    longest: signs that are shown, 0 or more.
    Source: none needed: text only.

    >>> quote("1\\n2")
    '"1?2"'
    """
    safe = "".join(sign if sign.isprintable() else "?" for sign in text[: longest + 1])
    return f'"{safe}"' if len(safe) <= longest else f'"{safe[:longest]}…"'


def _number(match: re.Match[str], text: str) -> _Number:
    if match["over"]:
        whole, over, under = int(match["whole"] or 0), int(match["over"]), int(match["under"])
        if under == 0 or (match["whole"] and over >= under):
            _refuse(text)
        return _Number(whole * under + over, under, "fraction")
    if _GROUPED.fullmatch(match["decimal"]):
        plain = match["decimal"].replace(",", "")
        raise NotALength(f"{quote(text)} could be {plain[:-3]} or {plain}. Write one of the two, without the comma.")
    digits = match["decimal"].replace(",", ".")
    before, point, after = digits.partition(".")
    if not before and not after:
        _refuse(text)
    return _Number(int(before + after), 10 ** len(after), "decimal" if point and after else "whole")


def _unit(spelling: str | None, number: _Number, text: str, unit: Unit | None) -> str:
    if spelling:
        return _CANONICAL.get(spelling) or _refuse(text)
    if unit is None:
        raise NotALength(f"{quote(text)} has no unit. {_HOW}")
    if number.over == 0 or number.form == "decimal" or (number.form == "fraction" and unit == "in"):
        return unit
    if number.form == "fraction":
        raise _needs_unit(text, ["in", "mm"])
    raise _needs_unit(text.rstrip(".,"), ["in", "thou", "tenths"] if unit == "in" else ["mm", "µm"])


def _needs_unit(text: str, units: list[str]) -> NeedsUnit:
    one = text.lstrip("+-" + MINUS + _SPACES) == "1"
    choices = [f"{text} {'tenth' if one and unit == 'tenths' else unit}" for unit in units]
    return NeedsUnit(f"{quote(text)} needs a unit: {' or '.join(choices)}?", choices)


def _whole_nm(number: _Number, unit: str, sign: int, text: str) -> int:
    nm, rest = divmod(number.over * _NM[unit], number.under)
    if nm > LONGEST_NM or (nm == LONGEST_NM and rest):
        raise NotALength(f"{quote(text)} is longer than 10 m.")
    if rest:
        raise NotALength(f"{quote(text)} is finer than the step lengths are kept in: 1 nm (0.000001 mm).")
    return sign * nm


def _refuse(text: str) -> NoReturn:
    if "." in text and "," in text:
        raise NotALength(f"{quote(text)} has both a comma and a point. {_HOW}")
    raise NotALength(f"{quote(text)} is not a length. {_HOW}")


def show(nm: int, unit: Unit, *, places: int | None = None, sign: bool = False) -> str:
    """The length as the trade writes it, without its unit: rounded half to even, exactly.

    nm: any length; places: 0 or more, else as usual. Inches have four places and no zero before the point,
    millimetres three and one. `sign` writes a plus before what is above zero. A negative length has the true minus
    sign, which `parse` reads again. Source: exact, 1 in = 25.4 mm.

    >>> show(6_344_920, "in"), show(6_344_920, "mm")
    ('.2498', '6.345')
    """
    places = (4 if unit == "in" else 3) if places is None else places
    steps = _round_half_even(abs(nm) * 10**places, _NM[unit])
    digits = str(steps).rjust(places + 1, "0")
    whole, rest = digits[: len(digits) - places], digits[len(digits) - places :]
    if unit == "in" and whole == "0" and places:
        whole = ""
    mark = "" if steps == 0 else MINUS if nm < 0 else "+" if sign else ""
    return f"{mark}{whole}.{rest}" if places else f"{mark}{whole}"


def show_with_unit(nm: int, unit: Unit, *, places: int | None = None, sign: bool = False) -> str:
    """`show`, a narrow no-break space and the unit, so that the two are never torn apart.

    nm, places: as `show`.
    Source: exact, 1 in = 25.4 mm.

    >>> show_with_unit(6_350_000, "mm")
    '6.350\\u202fmm'
    """
    return f"{show(nm, unit, places=places, sign=sign)}{NARROW_SPACE}{unit}"


def show_fine(nm: int, unit: Unit) -> str:
    """`show_with_unit` with a place more than readings have: a gauge's resolution, an infeed, a wheel's runout.

    nm: any length.
    Source: exact, 1 in = 25.4 mm.

    >>> show_fine(1_000, "in").replace("\\u202f", " ")
    '.00004 in'
    """
    return show_with_unit(nm, unit, places=5 if unit == "in" else 4)


def both(nm: int, unit: Unit) -> tuple[str, str]:
    """The length in the customer's unit, and in the other one.

    nm: any length.
    Source: exact, 1 in = 25.4 mm.

    >>> [text.replace("\\u202f", " ") for text in both(6_344_920, "in")]
    ['.2498 in', '6.345 mm']
    """
    return show_with_unit(nm, unit), show_with_unit(nm, other_unit(unit))


def other_unit(unit: Unit) -> Unit:
    """The one that a length is shown in beside its own.

    Source: none needed: names only.

    >>> other_unit("in"), other_unit("mm")
    ('mm', 'in')
    """
    return "mm" if unit == "in" else "in"


def unit_named(text: str | None, otherwise: Unit) -> Unit:
    """The unit that a text from outside names exactly; `otherwise` where it names none.

    Source: none needed: names only.

    >>> unit_named("mm", "in"), unit_named("thou", "in"), unit_named(None, "mm")
    ('mm', 'in', 'mm')
    """
    return "in" if text == "in" else "mm" if text == "mm" else otherwise


def _round_half_even(over: int, under: int) -> int:
    steps, rest = divmod(over, under)
    return steps + (2 * rest > under or (2 * rest == under and steps % 2 == 1))


def write_mm(nm: int) -> str:
    """The exact length as text that `parse` reads back.

    nm: any length.
    Source: exact, 1 in = 25.4 mm.

    >>> write_mm(6_344_900)
    '6.3449 mm'
    """
    return f"{(Decimal(nm) / NM_PER_MM).normalize():f} mm"


def to_nm(mm: float) -> int:
    """Millimetres as the nearest whole nanometre.

    mm: any finite number. Raises ValueError or OverflowError where it is not finite.
    Source: exact, 1 in = 25.4 mm.

    >>> to_nm(6.35)
    6350000
    """
    return round(mm * NM_PER_MM)
