"""Sizes that a line names in words: a width and a bore, which go into the note, and a diameter (`ø63`, `63 dia`)."""

import re
from fractions import Fraction

from regrind.geometry.units import Unit
from regrind.record.kinds import KINDS

from . import words
from .scan import Ask, ParsedLine, Scan

LENGTH = rf"(?:\d+-\d+/\d+|(?<=\S )\d+ \d+/\d+|\d+/\d+|\d*[.,]\d+|\d+){words.UNIT}?"
START = r"(?<![\w./-])"
OTHERS = rf"(?![\w/])(?!\s*-?\s*(?:{words.DIAMETER}|bore))"
WIDTH = [
    re.compile(pattern, re.I)
    for pattern in (
        rf"(?<!\w)(?:width|thickness)\s*[:=]?\s*({LENGTH}){OTHERS}",
        rf"{START}({LENGTH})\s*-?\s*(?:wide|width|thick(?:ness)?)(?!\w)",
        rf"(?<!\w)(?:wide|thick)\s*[:=]?\s*({LENGTH}){OTHERS}",
    )
]
BORE_BEFORE = re.compile(rf"{START}({LENGTH})\s*-?\s*bore(?!\w)", re.I)
BORE_AFTER = re.compile(rf"(?<!\w)bore\s*[:=]?\s*(?:{words.DIAMETER})?\s*({LENGTH})(?![\w/])", re.I)
CHAIN_BEFORE = re.compile(rf"({LENGTH})\s*x\s*$", re.I)
OTHER_WORD = re.compile(r"\s*-?\s*[a-z]", re.I)
DIAMETER = [
    re.compile(pattern, re.I)
    for pattern in (
        rf"(?<!\w)(?:{words.DIAMETER})\s*[=:]?\s*({LENGTH})(?![\w/])",
        rf"{START}({LENGTH})\s*-?\s*dia(?:m(?:eter)?)?(?!\w)",
    )
]
FULL = re.compile(rf"{START}(?:\d+{words.UNIT}|(?:\d+-)?\d+/\d+{words.UNIT}?|\d*[.,]\d+{words.UNIT}?)(?![\w/])", re.I)
SIZE = re.compile(rf"\d[\d./,-]*{words.UNIT}?", re.I)


def read_width_and_bore(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`10 mm wide`, `22 bore`, `width 4 bore 16`: neither is the diameter nor a count."""
    for name, find in (("width", _width), ("bore", _bore)):
        if match := find(scan):
            parsed.notes.append(f"{name} {match[1].strip()}")
            scan.take(match, "note")


def _width(scan: Scan) -> re.Match[str] | None:
    return next((match for pattern in WIDTH if (match := scan.find(pattern))), None)


def _bore(scan: Scan) -> re.Match[str] | None:
    """Of two sizes around the word the smaller is the bore: the other is the diameter that holds it.

    In `80 x 10 bore 27` the one in front is a width, whatever its figure.
    """
    before, after = scan.find(BORE_BEFORE), scan.find(BORE_AFTER)
    if before and after and not OTHER_WORD.match(scan.rest, after.end()):
        return after if _ends_chain(scan, before, after) else min(before, after, key=lambda match: _figure(match[1]))
    return before or after


def _ends_chain(scan: Scan, width: re.Match[str], bore: re.Match[str]) -> bool:
    """Whether a size in front of an x is large enough to hold the bore: a diameter, and no count of pieces."""
    diameter = CHAIN_BEFORE.search(scan.rest, 0, width.start(1))
    return diameter is not None and _figure(diameter[1]) > _figure(bore[1])


def _figure(text: str) -> Fraction:
    """The bare figure of a size, whatever its unit."""
    figure = re.sub(r"[^\d./-]", "", text.replace(",", ".").replace(" ", "-").rstrip(" -"))
    *whole, part = figure.strip("-").split("-")
    over, _, under = part.partition("/")
    return Fraction(whole[0] if whole else 0) + Fraction(over or 0) / (Fraction(under or 1) or 1)


def find_diameter(scan: Scan) -> re.Match[str] | None:
    """The size that is named as the diameter; None where none is."""
    return next((match for pattern in DIAMETER if (match := scan.find(pattern))), None)


def ask_diameter(parsed: ParsedLine, scan: Scan, named: bool) -> None:
    """Ask which is the diameter: of a cutter with a width two sizes without a name may each be; of others, one that is
    named beside another in full (`1/2 end mill dia 3/8`) contradicts it.
    """
    disc = KINDS[parsed.kind].disc
    if named == disc or parsed.nominal_nm is None:
        return
    others = [match[0].strip() for match in (SIZE if disc else FULL).finditer(scan.rest)]
    if others:
        answers = {size: {"nominal": size} for size in dict.fromkeys([scan.words_of("nominal").strip(), *others])}
        parsed.asks.append(Ask(("nominal",), "Which of these is the diameter?", answers))
        parsed.nominal_nm = None
