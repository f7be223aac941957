"""Threads of taps and thread mills: `M8 x 1.25`, `1/4-20`, `#10-32 UNF`. The diameter is the thread's own.

Screw numbers: diameter = .060 in + .013 in for each number (ASME B1.1, unified screw threads).
"""

import re
from fractions import Fraction

from regrind.geometry.errors import Refused
from regrind.geometry.kinds.thread import read_thread as spell_thread
from regrind.geometry.units import NM_PER_IN, Unit

from . import words
from .scan import ParsedLine, Scan

PIPE = re.compile(
    r"(?<![\w/])(?:\d+-)?\d{1,2}(?:/\d{1,2})?\"?\s*(?:-\s*\d{2}(?:\.5)?\s*)?(?:npt[fs]?|bspt?|bspp)(?!\w)", re.I
)
# Unified threads that are known by their two numbers alone (ASME B1.1, coarse and fine).
UNIFIED = re.compile(
    "0-80|1-(?:64|72)|2-(?:56|64)|3-(?:48|56)|4-(?:40|48)|5-(?:40|44)|6-(?:32|40)|8-(?:32|36)|10-(?:24|32)|12-(?:24|28)"
    "|1/4-(?:20|28)|5/16-(?:18|24)|3/8-(?:16|24)|7/16-(?:14|20)|1/2-(?:13|20)|9/16-(?:12|18)|5/8-(?:11|18)"
    "|3/4-(?:10|16)|7/8-(?:9|14)"
)
THREADED = words.word(r"taps?|thread[ -]?(?:mill|form)s?|threading|helicoils?")
METRIC = re.compile(r"(?<![\w/])m\s?(\d{1,2}(?:[.,]\d)?)(\s*x\s*\d?[.,]?\d{1,3})?(?![\w/.])", re.I)
INCH = re.compile(
    r"(?<![\w/.-])(?:(\d+-\d+/\d+|\d+/\d+)|(?:#|no\.?\s*)?(\d{1,2}))\s?-\s?(\d{1,2})(?:\s*(?:un[cfs]|unef|nc|nf))?(?![\w/.])",
    re.I,
)


def read_thread(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """The thread of a tap; a pitch (`M8 x 1.25`) tells a thread even where nobody says tap."""
    threaded = scan.find(THREADED) is not None
    pipe = scan.find_and_take(PIPE, "note") if threaded else None
    if pipe:  # a pipe thread is named by its pipe, not by its own diameter
        parsed.notes.append(pipe[0].strip())
        return
    match = scan.find(METRIC)
    if match and (threaded or match[2]):
        _take(parsed, scan, match, round(float(match[1].replace(",", ".")) * 1_000_000))
        return
    match = scan.find(INCH)
    known = match is not None and UNIFIED.fullmatch(f"{match[1] or match[2]}-{match[3]}") is not None
    if match and known and not threaded:
        parsed.ambiguities.append(f"“{match[0].strip()}” was read as the thread of a tap or thread mill.")
        parsed.kind = words.OTHER
    if match and (threaded or known):
        _take(parsed, scan, match, _fraction_nm(match[1]) if match[1] else _screw_nm(int(match[2])))


def _take(parsed: ParsedLine, scan: Scan, match: re.Match[str], nm: int) -> None:
    if nm <= 0:
        return
    parsed.nominal_nm = nm
    parsed.thread = _spell(match[0])
    scan.take(match, "nominal")


def _spell(text: str) -> str:
    """As the plan reads it: a number size has its #, a pitch its spaces; what is no thread there is kept as it is."""
    plain = " ".join(text.replace("no.", "#").replace("no ", "#").split())
    plain = re.sub(r"(?<=\d)\s*x\s*(?=[\d.,])", " x ", plain)
    for spelled in (plain, f"#{plain}"):
        try:
            spell_thread(spelled)
        except Refused:
            continue
        return spelled
    return plain


def _fraction_nm(text: str) -> int:
    whole, _, part = text.rpartition("-")
    over, under = map(int, part.split("/"))
    return round((int(whole or 0) + Fraction(over, under)) * NM_PER_IN) if under else 0


def _screw_nm(number: int) -> int:
    """The diameter of a numbered screw thread, 0 to 14; 0 for no such number."""
    return (60 + 13 * number) * NM_PER_IN // 1000 if number <= 14 else 0
