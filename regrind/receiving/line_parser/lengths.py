"""The lengths of a said line: sizes, corners, named lengths, and chains of cutting × shank × flute × overall."""

import re

from regrind.geometry.units import NotALength, Unit, parse

from . import words
from .counts import LONGEST_WHOLE_IN
from .scan import Said, Scan
from .sizes import chain_unit, size_or_text, unit_of

LENGTH = words.LENGTH
DRILLS = [
    re.compile(pattern, re.I)
    for pattern in (
        r"(?<!\w)#\s?(\d{1,2})(?![\w/.])",
        r"(?<!\w)(?:no\.?|number|wire|nr\.?)\s*(\d{1,2})(?=\s+(?:hss\s+)?drill)",
        r"(?<!\w)letter\s+([a-z])(?!\w)",
        r"(?<![\w/])([a-z])(?=[ -]drills?(?!\w))",
    )
]
R = r"(?:c/?r|corner(?:\s*rad(?:ius|ii)?)?|rad(?:ius|ii)?|r)"
CORNERS = [
    re.compile(pattern, re.I)
    for pattern in (
        rf"(?<![\w/]){R}(?:\.(?=\s))?\s*[:=]?\s*({LENGTH})(?![\w/])",
        rf"(?<![\w./-])({LENGTH})\s*-?\s*{R}(?![\w/])",
    )
]
LABELS = {
    "flute_length": r"loc|lof|length of cut|(?:flute|cut(?:ting)?)\s*len(?:gth)?",
    "shank": r"sh(?:an)?k\.?|shank dia",
    "overall": r"oal|o/a|overall(?:\s*len(?:gth)?)?|long",
}
LABEL = re.compile(rf"(?<![\w/])(?:{'|'.join(LABELS.values())})(?![\w/])", re.I)
AFTER = re.compile(rf"\s*[:=]?\s*({LENGTH})(?![\w/])", re.I)
BEFORE = re.compile(rf"(?<![\w./-])({LENGTH})\s*-?\s*$", re.I)
CHAIN = re.compile(rf"(?<![\w./])({LENGTH}(?:\s*x\s*{LENGTH}){{1,3}})(?![\w/])", re.I)
BEFORE_SIZE = re.compile(r"(?<!\w)(?:dia(?:m(?:eter)?)?|d|ø|⌀)\.?\s*[=:]?\s*(?=[\d.]\S*)", re.I)
SINGLE = re.compile(
    rf"(?<![\w./-])({words.NUMBER}{words.UNIT}|\d+-\d+/\d+|\d+ \d+/\d+|\d+/\d+|\d*[.,]\d+)"
    r"(?![\w/])",
    re.I,
)
WHOLE = re.compile(r"(?<![\w./-])(\d{1,3})(?![\w/.])")
CHAINS = {
    2: ("nominal", "flute_length"),
    3: ("nominal", "flute_length", "overall"),
    4: ("nominal", "shank", "flute_length", "overall"),
}


def exactly(text: str, unit: Unit) -> int | None:
    """Nanometres, or None where it is no length of its own."""
    try:
        return parse(text.replace("''", '"'), unit=unit).nm or None
    except NotALength:
        return None


def read_drill(said: Said, scan: Scan, unit: Unit) -> None:
    """Number and letter drill sizes; a single letter counts only before the word drill."""
    for pattern in DRILLS:
        found = scan.find(pattern)
        nm = exactly(f"#{found[1]}" if found[1].isdigit() else f"letter {found[1]}", unit) if found else None
        if found and nm:
            said.nominal_nm = nm
            scan.take(found, "nominal")
            return


def read_corner(said: Said, scan: Scan, unit: Unit) -> None:
    own = unit_of(said.text)
    for pattern in CORNERS:
        found = scan.find(pattern)
        if found and not _is_the_size(scan, found):
            nm, text = size_or_text(found[1], own or unit, whole=own)
            if nm or text:
                said.corner_radius_nm = nm
                said.texts |= {"corner_radius": text} if text else {}
                scan.take(found, "corner_radius")
                return


def _is_the_size(scan: Scan, found: re.Match[str]) -> bool:
    """`1/2 CR 4fl`: the only size there is, apart from the letters, is the diameter and not the corner."""
    others = scan.rest[: found.start()] + " \0 " + scan.rest[found.end() :]
    return found[0].startswith(found[1] + " ") and not SINGLE.search(others) and not WHOLE.search(others)


def read_named(said: Said, scan: Scan, unit: Unit) -> None:
    """`3/4 loc 2-1/2 oal`, or `loc 3/4 oal 2-1/2`: whichever gives a tool longer than its flutes."""
    labels = list(LABEL.finditer(scan.rest))
    if not labels:
        return
    label_first = AFTER.match(scan.rest, labels[-1].end()) is not None
    told = _told_by(said, scan, unit, labels, label_first)
    if not _possible(told):
        other = _told_by(said, scan, unit, labels, not label_first)
        told = other if _possible(other) else told
    for name, (label, number, nm, text) in told.items():
        setattr(said, f"{name}_nm", nm)
        said.texts |= {name: text} if text else {}
        scan.take(number, name, 1)
        scan.take(label, name)


Told = dict[str, tuple[re.Match[str], re.Match[str], int | None, str]]


def _told_by(said: Said, scan: Scan, unit: Unit, labels: list[re.Match[str]], label_first: bool) -> Told:
    told: Told = {}
    for label in labels:
        number = AFTER.match(scan.rest, label.end()) if label_first else _length_before(scan, label)
        if number is None:
            continue
        nm, text = size_or_text(number[1], unit_of(said.text) or unit, whole=unit_of(said.text))
        name = next(n for n, pattern in LABELS.items() if re.fullmatch(pattern, label[0], re.I))
        if nm or text:
            told[name] = (label, number, nm, text)
    return told


def _possible(told: Told) -> bool:
    overall = told["overall"][2] if "overall" in told else None
    return bool(told) and not any(overall and nm and nm > overall for _, _, nm, _ in told.values())


def _length_before(scan: Scan, label: re.Match[str]) -> re.Match[str] | None:
    return BEFORE.search(scan.rest, 0, label.start())


def read_chain(said: Said, scan: Scan, unit: Unit) -> None:
    """Cutting x shank x flute length x overall; three are cutting x flute length x overall, two leave out overall.

    A disc's chain is diameter x width x bore: its width and bore are kept in words.
    """
    found = scan.find(CHAIN)
    if found is None or said.nominal_nm is not None:
        return
    parts = re.split(r"\s*x\s*", found[1], flags=re.I)
    if (
        len(parts) == 2
        and "count" in said.assumed
        and not scan.rest[found.end() :].strip(" \0")
        and parts[1].isdigit()
        and int(parts[1]) > LONGEST_WHOLE_IN
        and (unit_of(found[1]) or unit) == "in"
    ):
        return  # `3fl 1/4 x 12`: twelve pieces, which the step for a count at the end reads
    bare, whole = chain_unit(parts, unit_of(said.text), unit)
    read = [size_or_text(part, bare, whole=whole) for part in parts]
    if any(nm is None and not text for nm, text in read):
        return
    _place_chain(said, scan, found, parts, read)


def _place_chain(
    said: Said, scan: Scan, found: re.Match[str], parts: list[str], read: list[tuple[int | None, str]]
) -> None:
    disc = said.kind in words.DISCS
    at = found.start(1)
    for n, (part, (nm, text)) in enumerate(zip(parts, read, strict=True)):
        name = CHAINS[len(parts)][n] if n == 0 or not disc else "note"
        start = scan.text.index(part, at)
        scan.told += [(at, start, "noise")] if start > at else []  # the x between two lengths
        at = start + len(part)
        scan.told.append((start, at, name))
        if name == "note":
            said.notes.append(f"{('width', 'bore', 'and')[n - 1]} {part.strip()}")
            continue
        setattr(said, f"{name}_nm", nm)
        said.texts |= {name: text} if text else {}
    start, end = found.span(1)
    scan.rest = scan.rest[:start] + "\0" * (end - start) + scan.rest[end:]


def read_single(said: Said, scan: Scan, unit: Unit) -> None:
    """The one size that is left: with its unit, a fraction or a decimal; else a whole number, whose unit is asked."""
    if said.nominal_nm is not None or "nominal" in said.texts:
        return
    scan.find_and_take(BEFORE_SIZE, "noise")
    for pattern in (SINGLE, WHOLE):
        found = scan.find(pattern)
        nm, text = size_or_text(found[1].replace("''", '"'), unit_of(said.text) or unit) if found else (None, "")
        if found and (nm or text):
            said.nominal_nm = nm
            said.texts |= {"nominal": text} if text else {}
            scan.take(found, "nominal")
            return
