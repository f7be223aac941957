"""What only a person can answer: two readings of the same words, or a number that nothing was made of."""

import re

from regrind.geometry.units import Unit
from regrind.record.kinds import KINDS

from .counts import ANYWHERE, LONGEST_WHOLE_IN, PIECES_SAID
from .scan import Ask, ParsedLine, Scan
from .sizes import unit_of
from .spoken import NUMBERS, number_of

MIXED = re.compile(r"(\d{1,3})(\s+|-)(\d+/\d+)\s*(\"|in(?:ch(?:es)?)?)?")
SURELY_MIXED = 2  # 2-1/2 in is a cutter's size; of 3-1/2 in and over there is hardly an end mill
TIMES = re.compile(r"(\d{1,4})(\s*)x(\s*)", re.I)
CHAIN = re.compile(r"\s*([\d./-]+(?:\s*x\s*[\d./-]+)*)", re.I)
COUNTS = re.compile(r"[1-9][0-9]{0,2}")
MOST_ANSWERS = 3


def ask(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """Write the questions of a line that is read, in `parsed.asks`."""
    _mixed(parsed, scan)
    _times(parsed, scan, unit)
    _count_left(parsed, scan)


def _mixed(parsed: ParsedLine, scan: Scan) -> None:
    """`2 1/2 4fl`: two of 1/2 in, or one of 2-1/2 in; `25-1/8` is no size of a tool."""
    match = MIXED.fullmatch(scan.words_of("nominal"))
    if match is None or scan.counted or scan.text[: scan.text.find(match[0])].strip(" -"):
        return
    whole, part = int(match[1]), match[3]
    kind = KINDS[parsed.kind]
    if match[2] == "-" and (whole <= SURELY_MIXED or kind.disc or kind.worded):
        return
    if whole > LONGEST_WHOLE_IN and not kind.disc:
        parsed.count, scan.counted, parsed.nominal_nm = whole, True, _part_nm(part)
        parsed.assumed.remove("count")
        parsed.ambiguities.append(f"“{match[0].strip()}” was read as {whole} pieces of {part} in.")
        return
    pieces = f"{whole} piece{'s' if whole > 1 else ''} of {part} in"
    answers = {
        pieces: {"count": str(whole), "nominal": f"{part} in"},
        f"1 piece of {whole}-{part} in": {"count": "1", "nominal": f"{whole}-{part} in"},
    }
    parsed.asks.append(Ask(("count", "nominal"), f"“{match[0].strip()}” could be two things.", answers))


def _part_nm(part: str) -> int:
    over, under = map(int, part.split("/"))
    return over * 25_400_000 // (under or 1)


def _times(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`4 x 1/4 slitting saw`, `12x12x26x83`: a count, or the first of the tool's own sizes."""
    match = TIMES.fullmatch(scan.words_of("count"))
    chain = CHAIN.match(scan.text, scan.text.find(match[0]) + len(match[0])) if match else None
    if match is None or chain is None or match[1] == "1":
        return
    parts = [match[1], *re.split(r"\s*x\s*", chain[1].strip(), flags=re.I)]
    disc = KINDS[parsed.kind].disc
    named = unit_of(scan.text) or unit
    if not disc and (unit == "in" or len(parts) < 3 or bool(match[2]) != bool(re.search(r"\sx", chain[1]))):
        return
    one = _one_tool(parts, disc, named)
    several = _one_tool(parts[1:], disc, named)
    fields = tuple(dict.fromkeys(("count", *several, *one)))
    sizes = " x ".join
    answers = {
        f"{match[1]} pieces of {sizes(parts[1:])}": {"count": match[1], **several},
        f"1 piece of {sizes(parts)}": {"count": "1", **one},
    }
    question = f"“{sizes(parts)}” could be {match[1]} pieces, or the sizes of one."
    parsed.asks.append(Ask(tuple(name for name in fields if name != "note"), question, answers))


def _one_tool(parts: list[str], disc: bool, unit: Unit) -> dict[str, str]:
    """The fields of one tool whose sizes these are, in `unit`."""
    lengths = [f"{part} in" if "/" in part else f"{part} {unit}" for part in parts]
    if disc:
        note = ", ".join(f"{name} {part}" for name, part in zip(("width", "bore"), lengths[1:], strict=False))
        return {"nominal": lengths[0]} | ({"note": note} if note else {})
    names = {1: ("nominal",), 2: ("nominal", "flute_length"), 3: ("nominal", "flute_length", "overall")}
    return dict(zip(names.get(len(parts), ("nominal", "shank", "flute_length", "overall")), lengths, strict=False))


def ask_second_count(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """`6 off 12mm, qty 3`: two counts, and nothing says which holds."""
    other = next((match for pattern in (*ANYWHERE, PIECES_SAID) if (match := scan.find(pattern))), None)
    if other is None or not scan.counted or number_of(other[1]) == parsed.count:
        return
    _ask_count(parsed, [parsed.count, number_of(other[1])], "Two counts are written here.")


def _count_left(parsed: ParsedLine, scan: Scan) -> None:
    """A number that is left where nobody said how many: it may be the count."""
    if "count" not in parsed.assumed or parsed.asks:
        return
    numbers = [number_of(word) for word in parsed.unknown if COUNTS.fullmatch(word) or word.lower() in NUMBERS]
    if numbers:
        _ask_count(parsed, [*numbers, 1], f"How many pieces? “{numbers[0]}” was not understood.")
    elif scan.container:
        parsed.asks.append(Ask(("count",), f"How many pieces are in the {scan.container.removesuffix(' of')}?", {}))


def _ask_count(parsed: ParsedLine, counts: list[int], question: str) -> None:
    different = list(dict.fromkeys(n for n in counts if n))[:MOST_ANSWERS]
    answers = {f"{n} piece{'' if n == 1 else 's'}": {"count": str(n)} for n in different}
    parsed.asks.append(Ask(("count",), question, answers))
