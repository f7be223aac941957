"""Sizes that have names: number and letter drills, Woodruff cutters, reamers by their fit."""

import re

from regrind.geometry.units import NM_PER_IN, NM_PER_MM, NotALength, Unit, parse

from . import words
from .scan import ParsedLine, Scan

DRILLS = [
    re.compile(pattern, re.I)
    for pattern in (
        r"(?<!\w)#\s?(\d{1,2})(?![\w/.])",
        r"(?<!\w)(?:no\.?|number|wire|nr\.?)\s*(\d{1,2})(?=\s+(?:hss\s+)?(?:drill|jobber))",
        r"(?<!\w)letter\s+([a-z])(?!\w)",
        r"\"([a-z])\"(?=[ -](?:drills?|jobbers?)(?!\w))",
        r"(?<![\w/&])(?<!& )([a-z])(?=[ -]drills?(?!\w))",
    )
]
WOODRUFF = re.compile(r"(?<!\w)(?:woodruff|key[ -]?(?:seat|way))[a-z ]*?\s*(?:no\.?\s*)?#?\s*(\d{3,4})(?![\w./])", re.I)
MOST_EIGHTHS = 28  # 3-1/2 in
FIT = re.compile(r"(?<![\w./-])(\d{1,3}(?:[.,]\d{1,3})?)\s*((?:js|[fghjkmnps])\d{1,2})(?![\w/.])", re.I)
HOLE = re.compile(r"[Hh]\d{1,2}|(?:JS|[FGJKMNP])\d{1,2}")  # capitals are holes, the rest shafts or reamers (ISO 286)
APART = re.compile(rf"(?<![\w./-])(?<!shank )({HOLE.pattern})(?!\s*sh(?:an)?k)(?![\w/.])")
REAMER = words.word(r"reamers?|rmrs?")


def exactly(text: str, unit: Unit) -> int | None:
    """Nanometres, or None where it is no length of its own."""
    try:
        return parse(text.replace("''", '"'), unit=unit).nm or None
    except NotALength:
        return None


def read_drill(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """Number and letter drill sizes; a single letter counts only before the word drill."""
    if parsed.nominal_nm is not None:
        return
    for pattern in DRILLS:
        match = scan.find(pattern)
        nm = exactly(f"#{match[1]}" if match[1].isdigit() else f"letter {match[1]}", unit) if match else None
        if match and nm:
            parsed.nominal_nm = nm
            scan.take(match, "nominal")
            return


def read_woodruff(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`woodruff 404`: the last two figures are eighths of an inch of diameter, those before 32nds of width.

    Source: ASME B17.2, the numbers of Woodruff keys and their cutters (as the handbooks print them; from memory).
    """
    match = scan.find(WOODRUFF)
    eighths = int(match[1]) % 100 if match else 0
    if match is None or not 2 <= eighths <= MOST_EIGHTHS:
        return
    width = int(match[1]) // 100
    scan.take(match, "nominal", 1)
    parsed.nominal_nm = eighths * NM_PER_IN // 8
    parsed.notes += [f"Woodruff {match[1]}", f"width {width}/32 in"]


def read_fit(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`10H7 reamer`: a fit class stands behind millimetres (ISO 286); behind `.2500` it says nothing of the unit."""
    match = scan.find(FIT) if scan.find(REAMER) else None
    if match:
        parsed.nominal_nm = round(float(match[1].replace(",", ".")) * NM_PER_MM)
        if HOLE.fullmatch(match[2]):
            parsed.hole = match[2].upper()
        else:
            parsed.notes.append(match[2])
        scan.take(match, "nominal")


def read_hole(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`reamer 10mm H7`, `H7 reamer 8 mm`: the class stands apart from the size, and is the hole's all the same."""
    match = scan.find(APART) if not parsed.hole and scan.find(REAMER) else None
    if match:
        parsed.hole = match[1].upper()
        scan.take(match, "hole")
