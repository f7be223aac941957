"""How many: `12 x`, `12 pcs`, `a dozen`, `qty 12`, `12 rougher 3/4`, `… x12`, `…, twelve of them`."""

import re

from regrind.geometry.units import Unit
from regrind.record.kinds import KINDS

from . import words
from .scan import ParsedLine, Scan
from .spoken import SPOKEN, number_of

PIECES = r"(?:pcs?|pieces?|off|ea(?:ch)?|nos?|units?|ct|stk|stück|st)(?![a-z])\.?"
COUNT = rf"(\d{{1,4}}|(?<![a-z])(?:{SPOKEN})(?![a-z]))"
NAMED = "|".join(sorted((name.replace(" ", "[ -]") for name in words.NUMBERS), key=len, reverse=True))
NO_FLUTES = r"(?!\s*-?\s*(?:fl|teeth|tooth))"
NOT_A_SIZE = (
    r"(?!(?:mm|inch(?:es)?|in|cm|thou|mil|tenths?|um|fl\w*|teeth|tooth|[tz]|edges?|deg\w*|cr|rad\w*|helix|hx"
    r"|spiral|point|dia\w*|[rfx](?!\s+drill))(?![a-z-]))"
)
SIZE_NEXT = r"(?=[#ø⌀]|\d+(?:[.,]\d+)?\s*(?:mm|in(?![a-z])|\"|°)|\d*[.,]\d"
FIRST = [
    re.compile(rf"^[\s\0]*{pattern}", re.I)
    for pattern in (
        rf"-?\s*(\d{{1,4}})\s*(?:x(?![a-z])|@|{PIECES})(?:\s*(?:of|x)(?![a-z]))?",
        rf"(\d{{1,4}})(?:\s+-\s*|\s*-\s+){SIZE_NEXT}|\d+/\d|\d+\s*-?\s*fl)",
        rf"(\d{{1,4}})\s+(?={NOT_A_SIZE}[a-z]|\0|\d{{1,2}}\s*-?\s*(?:fl\w*|teeth|tooth|[tz])(?![a-z]))",
        rf"(\d{{1,4}})\s+{SIZE_NEXT})",
        r"(\d{1,2},\d{3})(?=\s+\d+/\d)",
    )
]
FIRST_WORD = re.compile(
    rf"^[\s\0]*((?:a\s+|one\s+)?(?:{NAMED}))(?!\w)(?![\s-]*(?:mm|inch|in|thou)(?!\w)){NO_FLUTES}"
    rf"(?:\s*(?:x(?![a-z])|{PIECES}|of(?!\w)))*",
    re.I,
)
DOZENS = re.compile(
    rf"^[\s\0]*(\d{{1,2}}|a|{SPOKEN})\s+(?:dozens?|doz|dz)\.?(?!\w)(?:\s*(?:x(?![a-z])|of(?!\w)))*", re.I
)
MIXED = re.compile(r"^[\s\0]*(\d{1,3})\s+(?=\d+/\d)")
ANYWHERE = [
    re.compile(pattern, re.I)
    for pattern in (
        rf"(?<!\w)(?:qty|quantity|count|sets?\s+of)\.?\s*[-:=]?\s*{COUNT}(?![\w/.])",
        rf"\(\s*x?\s*{COUNT}\s*(?:x|{PIECES})?\s*\)",
        rf"(?<![\w./-]){COUNT}\s+of\s+(?:them|these|'?em)(?!\w)",
    )
]
PIECES_SAID = re.compile(rf"(?<![\w./-]){COUNT}\s*{PIECES}", re.I)
GLUED = re.compile(r"(?<=[\s\0])x(\d{1,4})(?=[\s\0)]|$)", re.I)
TIMES = re.compile(
    r"(?<!x )(?<!x)(?<![\w./-])(\d{1,4})\s*x\s*(?=\d+/\d|\d*[.,]\d|\d+-\d+/|\d+\s*(?:mm|in(?![a-z])|\"))", re.I
)
LAST = re.compile(rf"(?:^|[\s\0])x\s*{COUNT}\s*$", re.I)
AT_END = re.compile(rf"(?:[,;:]\s+|\s[–-]\s*){COUNT}(?:\s+(?:of|total|in\s+all))?\s*\.?\s*$", re.I)
OTHER_SIZE = re.compile(r"\d")
LONGEST_WHOLE_IN = 4


def read_count(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    if scan.counted or _dozens(parsed, scan):
        return
    disc = any(pattern.search(scan.text) for kind, pattern in words.KINDS if KINDS[kind].disc)
    for pattern in (*ANYWHERE, *FIRST, PIECES_SAID, GLUED, *([] if disc else [TIMES])):
        match = scan.find(pattern)
        if match:
            _take(parsed, scan, match)
            return
    if not _named(parsed, scan) and not _mixed(parsed, scan):
        parsed.assumed.append("count")


def _dozens(parsed: ParsedLine, scan: Scan) -> bool:
    """`2 dozen`, `three dozen`."""
    match = scan.find(DOZENS)
    if match is None:
        return False
    parsed.count, scan.counted = 12 * number_of(match[1]), True
    scan.take(match, "count")
    return True


def _take(parsed: ParsedLine, scan: Scan, match: re.Match[str], group: int = 0) -> None:
    parsed.count, scan.counted = number_of(match[1]), True
    if match[0].lstrip(" \0").startswith("-") and not match[0].lstrip(" \0").startswith("- "):
        parsed.ambiguities.append(f"“-{match[1]}” was read as {match[1]} pieces.")
    scan.take(match, "count", group)


def _named(parsed: ParsedLine, scan: Scan) -> bool:
    """A dozen, two, a pair of; a capital A may be a drill's letter, an article is no count."""
    match = scan.find(FIRST_WORD)
    if match is None or match[1].startswith("A ") or match[1] == "A":
        return False
    name = " ".join(match[1].lower().replace("-", " ").split())
    parsed.count = words.NUMBERS.get(name) or words.NUMBERS.get(name.split(" ", 1)[-1], 1)
    scan.counted = name not in ("a", "an")
    scan.take(match, "count")
    return True


def _mixed(parsed: ParsedLine, scan: Scan) -> bool:
    """`12 1/4 3fl`: twelve of 1/4 in, and the doubt is shown. What may well be one size is asked, see asking."""
    match = scan.find(MIXED)
    if match is None:
        return False
    size = scan.rest[match.end() :].split()[0]
    shank = re.match(r"\S+\s+sh(?:an)?k", scan.rest[match.end() :], re.I)
    if int(match[1]) <= LONGEST_WHOLE_IN and not shank:
        return False
    parsed.ambiguities.append(
        f"“{match[1]} {size}” was read as {match[1]} pieces of {size}. For one size write {match[1]}-{size}."
    )
    _take(parsed, scan, match)
    return True


def read_trailing_count(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`1/4 3fl carbide x12`, `1/4 3fl, twelve`, where no count was said before and the size is another number."""
    if "count" not in parsed.assumed:
        return
    match, group = scan.find(LAST), 0
    if match is None:
        match, group = scan.find(AT_END), 1
        if match and not (parsed.nominal_nm or scan.assorted or OTHER_SIZE.search(scan.rest[: match.start()])):
            match = None
    if match:
        _take(parsed, scan, match, group)
        parsed.assumed.remove("count")
