"""The lengths of a said line: sizes, corners, named lengths, and chains of cutting × shank × flute × overall."""

import re

from regrind.geometry.units import Unit
from regrind.record.kinds import KINDS

from . import words
from .counts import LONGEST_WHOLE_IN
from .cutter_sizes import ask_diameter, find_diameter
from .scan import ParsedLine, Scan
from .sizes import chain_unit, size_or_text, unit_of

LENGTH = words.LENGTH
R = r"(?:c/?r|corner(?:\s*rad(?:ius|ii)?)?|rad(?:ius|ii)?|r)"
LABELS = {
    "flute_length": r"loc|lof|length of cut|(?:flute|cut(?:ting)?)\s*len(?:gth)?",
    "shank": r"sh(?:an)?k\.?|shank dia",
    "overall": r"oal|o/a|overall(?:\s*len(?:gth)?)?|long",
}
LABEL = re.compile(rf"(?<![\w/])(?:{'|'.join(LABELS.values())})(?![\w/])", re.I)
NAMED = "|".join(LABELS.values())
CORNERS = [
    re.compile(pattern, re.I)
    for pattern in (
        rf"(?<![\w/]){R}(?:\.(?=\s))?\s*[:=]?\s*({LENGTH})(?![\w/-])(?!\s*(?:{NAMED}))",
        rf"(?<![\w./-])({LENGTH})\s*-?\s*{R}(?![\w/])",
    )
]
AFTER = re.compile(rf"\s*[:=]?\s*({LENGTH})(?![\w/])", re.I)
BEFORE = re.compile(rf"(?<![\w./-])({LENGTH})\s*-?\s*$", re.I)
CHAIN = re.compile(rf"(?:(?<![\w./])|(?<=[øØ]))({LENGTH}(?:\s*x\s*{LENGTH}){{1,3}})(?![\w/])", re.I)
SINGLE = re.compile(
    rf"(?<![\w./-])({words.NUMBER}{words.UNIT}|\d+-\d+/\d+|\d+ \d+/\d+|\d+/\d+|\d*[.,]\d+)"
    r"(?![\w/])",
    re.I,
)
WHOLE = re.compile(r"(?<![\w./-])(\d{1,3})(?![\w/.])")
MARK = re.compile(rf"(?<!\w){words.DIAMETER}(?=[\s\0]|$)", re.I)
CHAINS = {
    2: ("nominal", "flute_length"),
    3: ("nominal", "flute_length", "overall"),
    4: ("nominal", "shank", "flute_length", "overall"),
}


def read_corner(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    unit_named = unit_of(parsed.text)
    for pattern in CORNERS:
        match = scan.find(pattern)
        if match and not _is_the_size(scan, match):
            whole = unit_named or ("mm" if unit == "mm" else None)  # R1 on a metric customer's paper
            nm, text = size_or_text(match[1], unit_named or unit, whole=whole)
            if nm or text:
                parsed.corner_radius_nm = nm
                parsed.texts |= {"corner_radius": text} if text else {}
                scan.take(match, "corner_radius")
                return


def _is_the_size(scan: Scan, match: re.Match[str]) -> bool:
    """`1/2 CR 4fl`: the only size there is, apart from the letters, is the diameter and not the corner."""
    others = scan.rest[: match.start()] + " \0 " + scan.rest[match.end() :]
    return match[0].startswith(match[1] + " ") and not SINGLE.search(others) and not WHOLE.search(others)


def read_named(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`3/4 loc 2-1/2 oal`, or `loc 3/4 oal 2-1/2`: whichever gives a tool longer than its flutes."""
    labels = list(LABEL.finditer(scan.rest))
    if not labels:
        return
    label_first = AFTER.match(scan.rest, labels[-1].end()) is not None
    lengths = _lengths_by(parsed, scan, unit, labels, label_first)
    if not _possible(lengths):
        other = _lengths_by(parsed, scan, unit, labels, not label_first)
        lengths = other if _possible(other) else lengths
    _settle_shank(parsed, scan, unit, labels, lengths)
    for name, (label, number, nm, text) in lengths.items():
        setattr(parsed, f"{name}_nm", nm)
        parsed.texts |= {name: text} if text else {}
        scan.take(number, name, 1)
        scan.take(label, name)


NamedLengths = dict[str, tuple[re.Match[str], re.Match[str], int | None, str]]


def _lengths_by(
    parsed: ParsedLine, scan: Scan, unit: Unit, labels: list[re.Match[str]], label_first: bool
) -> NamedLengths:
    lengths: NamedLengths = {}
    for label in labels:
        number = AFTER.match(scan.rest, label.end()) if label_first else _length_before(scan, label)
        if number is None:
            continue
        nm, text = size_or_text(number[1], unit_of(parsed.text) or unit, whole=unit_of(parsed.text))
        name = next(n for n, pattern in LABELS.items() if re.fullmatch(pattern, label[0], re.I))
        if nm or text:
            lengths[name] = (label, number, nm, text)
    return lengths


def _settle_shank(
    parsed: ParsedLine, scan: Scan, unit: Unit, labels: list[re.Match[str]], lengths: NamedLengths
) -> None:
    """`1/8" shank .062`: of two sizes around the word the larger is the shank, and the reading is shown."""
    if len(labels) != 1 or "shank" not in lengths:
        return
    before = _lengths_by(parsed, scan, unit, labels, label_first=False).get("shank")
    after = _lengths_by(parsed, scan, unit, labels, label_first=True).get("shank")
    if not before or not after or not before[2] or not after[2] or before[2] == after[2]:
        return
    shank, other = (before, after) if before[2] > after[2] else (after, before)
    lengths["shank"] = shank
    parsed.ambiguities.append(
        f"“{before[1][1].strip()} shank {after[1][1].strip()}” was read as shank {shank[1][1].strip()}, "
        f"diameter {other[1][1].strip()}."
    )


def _possible(lengths: NamedLengths) -> bool:
    overall = lengths["overall"][2] if "overall" in lengths else None
    return bool(lengths) and not any(overall and nm and nm > overall for _, _, nm, _ in lengths.values())


def _length_before(scan: Scan, label: re.Match[str]) -> re.Match[str] | None:
    return BEFORE.search(scan.rest, 0, label.start())


def read_chain(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """Cutting x shank x flute length x overall; three are cutting x flute length x overall, two leave out overall.

    A disc's chain is diameter x width x bore: its width and bore are kept in words.
    """
    match = scan.find(CHAIN)
    if match is None or parsed.nominal_nm is not None:
        return
    parts = re.split(r"\s*x\s*", match[1], flags=re.I)
    if (
        len(parts) == 2
        and "count" in parsed.assumed
        and not scan.rest[match.end() :].strip(" \0")
        and parts[1].isdigit()
        and int(parts[1]) > LONGEST_WHOLE_IN
        and (unit_of(match[1]) or unit) == "in"
    ):
        return  # `3fl 1/4 x 12`: twelve pieces, which the step for a count at the end reads
    bare, whole = chain_unit(parts, unit_of(parsed.text), unit)
    read = [size_or_text(part, bare, whole=whole) for part in parts]
    if any(nm is None and not text for nm, text in read):
        return
    _place_chain(parsed, scan, match, parts, read)


def _place_chain(
    parsed: ParsedLine, scan: Scan, match: re.Match[str], parts: list[str], read: list[tuple[int | None, str]]
) -> None:
    disc = KINDS[parsed.kind].disc
    position = match.start(1)
    for n, (part, (nm, text)) in enumerate(zip(parts, read, strict=True)):
        name = CHAINS[len(parts)][n] if n == 0 or not disc else "note"
        start = scan.text.index(part, position)
        scan.taken += [(position, start, "noise")] if start > position else []  # the x between two lengths
        position = start + len(part)
        scan.taken.append((start, position, name))
        if name == "note":
            parsed.notes.append(f"{('width', 'bore', 'and')[n - 1]} {part.strip()}")
            continue
        setattr(parsed, f"{name}_nm", nm)
        parsed.texts |= {name: text} if text else {}
    start, end = match.span(1)
    scan.rest = scan.rest[:start] + "\0" * (end - start) + scan.rest[end:]


def read_single(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """The diameter that is named, else the one size left: with its unit, a fraction, a decimal; else it is asked.

    D10, 10 dia on a metric customer's paper is in millimetres, and so is ø63 in a line that names them elsewhere;
    a disc of 4 dia beside 1/2 wide is in inches.
    """
    if parsed.nominal_nm is not None or "nominal" in parsed.texts:
        return
    marked = find_diameter(scan)
    named = unit_of(parsed.text) or unit
    sure = named == "mm" or (KINDS[parsed.kind].disc and unit_of(parsed.text) == "in")
    whole: Unit | None = named if marked and sure else None
    for match in (marked, scan.find(SINGLE), scan.find(WHOLE)):
        nm, text = size_or_text(match[1].replace("''", '"'), named, whole=whole) if match else (None, "")
        if match and (nm or text):
            parsed.nominal_nm = nm
            parsed.texts |= {"nominal": text} if text else {}
            scan.take(match, "nominal", 1)
            scan.find_and_take(MARK, "noise")
            ask_diameter(parsed, scan, match is marked)
            return
