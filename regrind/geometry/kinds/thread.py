"""Threads as the trade writes them: M8 x 1.25, M8 (coarse), 1/4-20, #10-32 UNF."""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

from regrind.geometry.errors import Refused
from regrind.geometry.tables import rows
from regrind.geometry.units import quote

_MM_PER_IN = Fraction(254, 10)
_NUMBER = r"[0-9]{1,3}(?:[.,][0-9]{1,4})?"
_METRIC = re.compile(rf"m ?(?P<size>{_NUMBER})(?: ?[x\u00d7*] ?(?P<pitch>{_NUMBER}))?")
_INCH = re.compile(
    r"(?:# ?(?P<number>[0-9]{1,2})|(?P<only>[0-9]{1,2})"
    r"|(?:(?P<whole>[0-9]{1,2})[ -])?(?P<over>[0-9]{1,2})/(?P<under>[0-9]{1,2}))"
    rf" ?- ?(?P<count>{_NUMBER})(?: ?(?:unc|unf|unef|uns|un|nc|nf))?"
)
_HOW = "write M8 x 1.25, M8, 1/4-20 or #10-32"
_NUMBERS = range(13)
_LEAST_OF_NUMBERS = 24  # threads per inch: no number size has fewer, no whole inch as many (common practice)


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread's diameter and pitch in mm; `per_inch`: threads per inch, of an inch thread alone."""

    diameter_mm: float
    pitch_mm: float
    per_inch: float | None = None


def read_thread(text: str) -> Thread:
    """The thread that a designation names; metric without a pitch is coarse.

    text: M and a diameter in mm, with x and a pitch or without; or inches as a whole number, a fraction or both,
    or # and a number from 0 to 12, then - and threads per inch, then the series or nothing.
    Raises Refused naming `thread`.
    Source: ISO 261 for coarse pitches (shared/31); inch sizes 0.060 + 0.013 n in (common practice).

    >>> read_thread("M8"), read_thread("#10-32").diameter_mm
    (Thread(diameter_mm=8.0, pitch_mm=1.25, per_inch=None), 4.826)
    """
    spelled = " ".join(text.casefold().split())
    metric, inch = _METRIC.fullmatch(spelled), _INCH.fullmatch(spelled)
    diameter, pitch, count = _read_metric(metric) if metric else _read_inch(inch) if inch else (None, None, None)
    if not diameter or not pitch:
        raise Refused("thread", f"{quote(text)} is no thread that is known: {_HOW}")
    if pitch >= diameter:
        raise Refused("thread", f"{quote(text)} has a pitch as large as its diameter: {_HOW}")
    return Thread(float(diameter), float(pitch), None if count is None else float(count))


def _read_metric(match: re.Match[str]) -> tuple[Fraction, Fraction | None, None]:
    size = _fraction(match["size"])
    return size, _fraction(match["pitch"]) if match["pitch"] else _coarse_pitches().get(size), None


def _read_inch(match: re.Match[str]) -> tuple[Fraction | None, Fraction | None, Fraction | None]:
    count, inches = _fraction(match["count"]), _read_inches(match)
    if not count or not inches:
        return None, None, None
    if match["only"] and count >= _LEAST_OF_NUMBERS:
        raise Refused("thread", f"{quote(match[0])} could be #{match['only']}: write # before a number size")
    return inches * _MM_PER_IN, _MM_PER_IN / count, count


def _read_inches(match: re.Match[str]) -> Fraction | None:
    if match["number"]:
        number = int(match["number"])
        return Fraction(60 + 13 * number, 1000) if number in _NUMBERS else None
    if match["only"]:
        return Fraction(match["only"])
    over, under = int(match["over"]), int(match["under"])
    if not under or (match["whole"] and over >= under):
        return None
    return int(match["whole"] or 0) + Fraction(over, under)


def _fraction(text: str) -> Fraction:
    return Fraction(Decimal(text.replace(",", ".")))


@cache
def _coarse_pitches() -> dict[Fraction, Fraction]:
    return {_fraction(row["diameter_mm"]): _fraction(row["coarse_pitch_mm"]) for row in rows("31_iso261_coarse_pitch")}
