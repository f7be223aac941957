"""What a packing slip writes around a tool: positions, containers, part numbers, remarks. Common practice, in words."""

import re

from regrind.geometry.units import Unit

from .scan import ParsedLine, Scan
from .spoken import SPOKEN, number_of

POSITION = re.compile(
    r"^\s*(?:(?:item|line|pos(?:ition)?|ln)\.?\s*(?:no\.?\s*)?#?\s*(\d{1,4})(?![\w./])\s*[:.)|-]?"
    r"|#?(\d{1,3})[):](?=\s)|(\d{1,3})\.(?=\s)|#(\d{1,3})\s+-(?=\s)|(\d{1,3})\s*\|)",
    re.I,
)
NOTE = re.compile(r"(?<!\w)(?:note|remarks?)s?\s*:\s*(\S.*)$", re.I)
UNCOUNTED = re.compile(r"^\s*\?\s*(?:pcs|x)(?![a-z])", re.I)
PART = re.compile(
    r"(?<!\w)[pP]/?[nN]\.?\s*[:#=]?\s*((?=[\w./-]*\d)\w[\w./-]{1,29})"  # P/N 48213
    r'|(?<!\w)[pP]/?[nN]\s*"([^"]{1,60})"'
    r"|(?<![\w/-])((?!CR-|LOC-|OAL-)[A-Z]{2,5}-\d{2,}(?!\d*(?:mm|in|fl|t)(?!\w))[A-Z0-9-]*)(?![\w./])"
)
BOXES = r"(?:box|bag|tray|lot|pack(?:et|age)?|pkg|carton|roll|tube|bunch|handful)(?:e?s)?"
CONTAINER = re.compile(
    rf"^[\s\0]*(?:(an?|\d{{1,3}}|{SPOKEN})\s+)?{BOXES}\s+of(?!\w)(?:\s*(\d{{1,3}})(?![\w./-]))?", re.I
)
STATES = r"(?:snapped|broken|chipped|cracked|missing|bent|burn(?:t|ed))"
PARTLY = re.compile(rf"\(\s*(?:\d{{1,3}}|{SPOKEN})\s+(?:are\s+|is\s+)?{STATES}\s*\)", re.I)
RANGE = re.compile(r"(?<![\w./-])(\d{1,2}(?:[.,]\d)?)\s*(?:mm)?\s*(?:-|to)\s*(\d{1,2}(?:[.,]\d)?)\s*mm(?![a-z])", re.I)
ASSORTED = re.compile(
    r"(?<!\w)(?:assorted|asst\.?|misc(?:ellaneous|\.)?|various|mixed|odds?(?:\s+and\s+ends?)?)(?!\w)", re.I
)
REMARKS = re.compile(
    rf"(?<![\w/]){STATES}(?:\s+(?:corners?|tips?|ends?|teeth))?(?![\w/])"
    r"|(?<![\w/])(?:worn(?:\s+out)?|dull|blunt|re-?grind|re-?sharpen(?:ing)?|sharpen|(?:strip\s+(?:and|&)\s+)?re-?coat"
    r"|stub(?:\s+length)?|(?:extra[ -])?long(?:[ -](?:series|length|reach))|ext(?:ra|ended)?\.?[ -](?:length|reach)"
    r"|taper(?:ed)?(?:[ -]shank)?|morse\s+taper|mt\s?\d|#\d\s?mt|\d\s?mt|weldon"
    r"|(?:double|single)[ -]end(?:ed)?"
    r"|cent(?:er|re)[ -]cut(?:ting)?|chucking|straight[ -](?:flute|shank)s?|spiral[ -](?:point|flute)s?"
    r"|(?:for\s+)?(?:alum(?:in(?:i?um))?|ali|graphite|steel|stainless|brass)"
    r"|through[ -]coolant|coolant[ -]through|\d{1,2}\s?xd|rush|gh?\d|h\d(?!\d)|plug|bottoming|de|se)(?![\w/])",
    re.I,
)


def read_position(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`Item 3`, `1)`, `#1 -`, `10 |`: where it stands on the customer's paper; kept in words."""
    match = scan.find_and_take(POSITION, "position")
    if match:
        number = next(group for group in match.groups() if group)
        parsed.notes.append(f"position {number}")
        while scan.find_and_take(re.compile(r"\|"), "noise"):
            pass


def read_part(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`P/N 48213`, `EM-50-4`: a number of theirs, before anything in it is read as a size."""
    match = None if parsed.customer_tool_number else scan.find_and_take(PART, "customer_tool_number")
    if match:
        parsed.customer_tool_number = next(group for group in match.groups() if group).strip("-./")


def read_note(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`… note: worn, 2 of them chipped`: whatever stands behind it is a note, and no size."""
    match = scan.find_and_take(NOTE, "note")
    if match:
        parsed.notes.append(match[1].strip(" \0"))


def read_container(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`box of 10`, `2 bags of 5`: the count is their product; a bag of nobody knows how many is asked."""
    if scan.find_and_take(UNCOUNTED, "noise"):
        scan.container = "line"
    match = scan.find(CONTAINER)
    if match is None:
        return
    boxes = number_of(match[1]) if match[1] else 1
    scan.take(match, "count" if match[2] else "noise")
    if match[2]:
        parsed.count = boxes * int(match[2])
        scan.counted = True
    else:
        scan.container = match[0].strip(" \0")


def read_remarks_before_counts(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`(3 snapped)`, `3-10mm`: numbers that are no count and no size."""
    match = scan.find_and_take(PARTLY, "note")
    if match:
        parsed.notes.append(match[0].strip("() "))
    if (mixed := scan.find_and_take(ASSORTED, "note")) is not None:
        parsed.notes.append(mixed[0].strip())
        scan.assorted = True
    span = scan.find(RANGE)
    if span is None or _figure(span[1]) >= _figure(span[2]):
        return
    if scan.assorted or scan.text[: span.start()].strip():  # `3 - 6mm` at the start: three of 6 mm
        parsed.notes.append(span[0].strip())
        scan.take(span, "note")


def _figure(text: str) -> float:
    return float(text.replace(",", "."))


def read_remarks(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """Words that say nothing of the tool's size but are understood: they go into the note without a question."""
    while match := scan.find(REMARKS):
        parsed.notes.append(match[0].strip())
        scan.take(match, "note")
