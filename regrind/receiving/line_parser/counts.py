"""How many: `12 x`, `12 pcs`, `a dozen`, `qty 12`, `12 rougher 3/4`, `… x12`."""

import re

from regrind.geometry.units import Unit

from . import words
from .scan import ParsedLine, Scan
from .spoken import SPOKEN, number_of

PIECES = r"(?:pcs?|pieces?|off|ea(?:ch)?|nos?|units?)(?![a-z])\.?"
NAMED = "|".join(sorted((name.replace(" ", "[ -]") for name in words.NUMBERS), key=len, reverse=True))
NO_FLUTES = r"(?!\s*-?\s*(?:fl|teeth|tooth))"
NOT_A_SIZE = (
    r"(?!(?:mm|inch(?:es)?|in|cm|thou|tenths?|um|fl\w*|teeth|tooth|[tz]|edges?|deg\w*|cr|rad\w*|helix|hx"
    r"|spiral|point|[rfx](?!\s+drill))(?![a-z-]))"
)
FIRST = [
    re.compile(rf"^[\s\0]*{pattern}", re.I)
    for pattern in (
        rf"-?\s*(\d{{1,4}})\s*(?:x(?![a-z])|@|{PIECES})(?:\s*(?:of|x)(?![a-z]))?",
        rf"(\d{{1,4}})\s+(?={NOT_A_SIZE}[a-z]|\0)",
        r"(\d{1,4})\s+(?=[#ø⌀]|\d+(?:[.,]\d+)?\s*(?:mm|in(?![a-z])|\")|\d*[.,]\d)",
    )
]
FIRST_WORD = re.compile(
    rf"^[\s\0]*((?:a\s+|one\s+)?(?:{NAMED}))(?!\w){NO_FLUTES}"
    rf"(?:\s*(?:x(?![a-z])|{PIECES}|of(?!\w)))*",
    re.I,
)
DOZENS = re.compile(rf"^[\s\0]*(\d{{1,2}}|{SPOKEN})\s+dozens?(?!\w)(?:\s*(?:x(?![a-z])|of(?!\w)))*", re.I)
MIXED = re.compile(r"^[\s\0]*(\d{1,3})\s+(?=\d+/\d)")
ANYWHERE = [
    re.compile(pattern, re.I)
    for pattern in (
        rf"(?<![\w./-])(\d{{1,4}})\s*{PIECES}",
        r"(?<!\w)(?:qty|quantity|count)\.?\s*[:=]?\s*(\d{1,4})(?![\w/.])",
        r"\(\s*(\d{1,4})\s*\)",
        r"(?<!x )(?<!x)(?<![\w./-])(\d{1,4})\s*x\s*(?=\d+/\d|\d*[.,]\d|\d+-\d+/|\d+\s*(?:mm|in(?![a-z])|\"))",
    )
]
LAST = re.compile(r"(?:^|[\s\0])x\s*(\d{1,4})\s*$", re.I)
LONGEST_WHOLE_IN = 4


def read_count(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    if _dozens(parsed, scan):
        return
    disc = any(pattern.search(scan.text) for kind, pattern in words.KINDS if kind in words.DISCS)
    for pattern in (*ANYWHERE[1:3], *FIRST, ANYWHERE[0], *([] if disc else ANYWHERE[3:])):
        match = scan.find(pattern)
        if match:
            _take(parsed, scan, match)
            if unit == "mm" or disc:
                _doubt_chain(parsed, scan, match)
            return
    if not _named(parsed, scan) and not _mixed(parsed, scan):
        parsed.assumed.append("count")


def _dozens(parsed: ParsedLine, scan: Scan) -> bool:
    """`2 dozen`, `three dozen`."""
    match = scan.find(DOZENS)
    if match is None:
        return False
    parsed.count = 12 * number_of(match[1])
    scan.take(match, "count")
    return True


def _take(parsed: ParsedLine, scan: Scan, match: re.Match[str]) -> None:
    parsed.count = int(match[1])
    if match[0].lstrip(" \0").startswith("-") and not match[0].lstrip(" \0").startswith("- "):
        parsed.ambiguities.append(f"“-{match[1]}” was read as {match[1]} pieces.")
    scan.take(match, "count")


def _named(parsed: ParsedLine, scan: Scan) -> bool:
    """A dozen, two, a pair of; a capital A may be a drill's letter."""
    match = scan.find(FIRST_WORD)
    if match is None or match[1].startswith("A ") or match[1] == "A":
        return False
    name = " ".join(match[1].lower().replace("-", " ").split())
    parsed.count = words.NUMBERS.get(name) or words.NUMBERS.get(name.split(" ", 1)[-1], 1)
    scan.take(match, "count")
    return True


def _mixed(parsed: ParsedLine, scan: Scan) -> bool:
    """`12 1/4 3fl`: twelve quarter-inch tools, or one of 12-1/4 in? The first, and the doubt is shown."""
    match = scan.find(MIXED)
    if match is None:
        return False
    size = scan.rest[match.end() :].split()[0]
    parsed.ambiguities.append(
        f"“{match[1]} {size}” was read as {match[1]} pieces of {size}. For one size write {match[1]}-{size}."
    )
    _take(parsed, scan, match)
    return True


def _doubt_chain(parsed: ParsedLine, scan: Scan, match: re.Match[str]) -> None:
    """`8 x 20 x 60` could be eight pieces, or one tool of 8 mm by 20 by 60; a saw's `3 x 1/16 x 1` alike."""
    chain = re.match(r"[\s\0]*([\d./-]+(?:\s*x\s*[\d./-]+)+)(?![\w])", scan.rest, re.I)
    if chain and "x" in match[0].lower():
        parsed.ambiguities.append(
            f"“{match[1]} x {chain[1]}” was read as {match[1]} pieces of {chain[1]}. "
            f"For one tool write 1 x {match[1]} x {chain[1]}."
        )


def read_trailing_count(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`1/4 3fl carbide x12`, where no count was said before."""
    match = scan.find(LAST) if "count" in parsed.assumed else None
    if match:
        _take(parsed, scan, match)
        parsed.assumed.remove("count")
