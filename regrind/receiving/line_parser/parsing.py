"""Reading one line of tools, step by step: each step takes the words it understands and leaves the rest."""

import re
from collections.abc import Callable

from regrind.geometry.units import Unit
from regrind.record.kinds import KINDS

from . import cutter_sizes, lengths, named_sizes, slip, words
from .asking import ask, ask_second_count
from .counts import read_count, read_trailing_count
from .scan import ParsedLine, Scan
from .sizes import unit_of
from .threads import read_thread

MOST_PIECES = 500
MOST_LINES = 400
WIDEST_NM, LONGEST_FLUTE = 500_000_000, 15

TEETH = [
    re.compile(pattern, re.I)
    for pattern in (
        r"(?<![\w./])(\d{1,2}|[12]\d\d(?=\s*-?\s*(?:teeth|tooth|t\b|z\b)))\s*-?\s*(?:flutes?|fluted|flt?s?|f|teeth|tooth|t|z|edges?)(?![\w-])",
        r"(?<![\w/])(?:z|nof|flutes?|fl|teeth)\s*[=:]?\s*(\d{1,2})(?![\w./])",
        r"(?<!\w)(single|two|three|four|five|six|seven|eight|ten|twelve)[ -]?(?:flutes?|fluted|teeth)(?!\w)",
    )
]
HELICES = re.compile(rf"(?<![\w./])\d{{2}}\s*[/-]\s*\d{{2}}\s*(?:{words.DEGREES}(?:\s*helix)?|helix)", re.I)
ANGLE = r"(\d{1,3}(?:[.,]\d{1,2})?)"
HELIX = [
    re.compile(pattern, re.I)
    for pattern in (
        rf"(?<![\w./-]){ANGLE}\s*{words.DEGREES}?\s*(?:helix|hx|spiral)(?!\w)",
        rf"(?<!\w)(?:helix|hx|spiral)\s*[:=]?\s*{ANGLE}\s*{words.DEGREES}?(?![\w/])",
    )
]
POINT = re.compile(rf"(?<![\w./-]){ANGLE}\s*{words.DEGREES}?\s*(?:pt|point|included|incl\.?)(?!\w)", re.I)
POINTS = re.compile(
    r"(?<![\w./-])(60|82|90|100|118|120|130|135|140|142|145)(?![\w./-]|\s*(?:x\s*\d*[./]|mm|in|\"))", re.I
)
PLAIN = re.compile(rf"(?<![\w./-]){ANGLE}\s*{words.DEGREES}", re.I)


def parse_lines(text: str, unit: Unit) -> list[ParsedLine]:
    """Every line that holds something, understood. Whoever calls it refuses more than MOST_LINES."""
    return [parse_line(line, unit) for line in split_lines(text)]


def split_lines(text: str) -> list[str]:
    """The lines that hold something."""
    return [line for line in text.splitlines() if line.strip()]


def parse_line(text: str, unit: Unit) -> ParsedLine:
    """Understand one line of like tools. Never raises.

    text: as a person would say it, at most 200 characters. unit: the customer's, for bare decimals. What was not
    understood stands in `unknown`, what could be meant otherwise in `ambiguities`, what nobody said in `assumed`.
    """
    scan = Scan(text)
    parsed = ParsedLine(scan.text)
    for step in STEPS:
        step(parsed, scan, unit)
    _settle(parsed, scan)
    while scan.find_and_take(words.NOISE, "noise"):
        pass
    parsed.unknown, parsed.parts = scan.unknown(), scan.parts()
    ask(parsed, scan, unit)
    return parsed


def _references(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """Their own number, the catalogue's, the maker: taken first, since they may hold anything."""
    for name, pattern in (
        ("customer_tool_number", words.THEIR_NUMBER),
        ("catalogue", words.CATALOGUE),
        ("maker", words.MAKER),
    ):
        match = scan.find_and_take(pattern, name)
        if match:
            setattr(parsed, name, match[1].strip("-./"))


def _matched(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    match = scan.find_and_take(words.MATCHED, "matched")
    if match:
        parsed.matched = True
        parsed.match_tolerance_nm = named_sizes.exactly(match[1], unit_of(parsed.text) or unit) if match[1] else None


def _size_unknown(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    parsed.size_unknown = scan.find_and_take(words.SIZE_UNKNOWN, "size_unknown") is not None


def _teeth(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    for pattern in TEETH:
        match = scan.find(pattern)
        if match:
            word = match[1].lower()
            parsed.teeth = int(word) if word.isdigit() else words.NUMBERS.get(word, 1)
            if parsed.teeth:
                scan.take(match, "teeth")
                return
            parsed.teeth = None


def _kind(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    for kind, pattern in words.KINDS:
        match = scan.find(pattern)
        if match:
            parsed.kind = kind
            scan.take(match, "kind")
            if KINDS[kind].worded:
                parsed.notes.append(match[0].strip())
            return
    if not scan.find_and_take(words.END_MILL, "kind") and parsed.kind == words.USUAL:
        parsed.assumed.append("kind")


def _tap_flutes(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """How the flutes of a tap run, said of taps alone."""
    for flutes, pattern in words.TAP_FLUTES if parsed.thread else ():
        if scan.find_and_take(pattern, "tap_flutes"):
            parsed.tap_flutes = flutes
            return


def _made_of(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    for name, choices in (("material", words.MATERIALS), ("coating", words.COATINGS)):
        for value, pattern in choices:
            if scan.find_and_take(pattern, name):
                setattr(parsed, name, value)
                break


def _hands(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    helix_named = scan.find_and_take(words.LEFT_HELIX, "hand_of_helix") is not None
    parsed.hand_of_helix = "left" if helix_named else "right"
    if scan.find_and_take(words.LEFT_CUT, "hand_of_cut"):
        parsed.hand_of_cut = "left"
        if not helix_named:
            parsed.ambiguities.append(
                "Left hand was read as the cut, and the helix as right-hand. Look at the tool: the stylus hangs on it."
            )
    scan.find_and_take(words.RIGHT, "hand_of_cut")
    parsed.unequal_index = scan.find_and_take(words.UNEQUAL, "unequal_index") is not None


def _angles(parsed: ParsedLine, scan: Scan, unit: Unit) -> None:
    """A helix, or the point angle of what has a point; two helices are kept in words."""
    both = scan.find_and_take(HELICES, "note")
    if both:
        parsed.notes.append(both[0].strip())
    for pattern in HELIX:
        _take_angle(parsed, scan, pattern, "helix_cdeg")
    _take_angle(parsed, scan, POINT, "point_angle_cdeg")
    for _ in range(2):
        _take_angle(parsed, scan, PLAIN, "")
    if KINDS[parsed.kind].angle and parsed.point_angle_cdeg is None:
        _take_angle(parsed, scan, POINTS, "point_angle_cdeg")


def _take_angle(parsed: ParsedLine, scan: Scan, pattern: re.Pattern[str], name: str) -> None:
    match = scan.find(pattern)
    if match is None:
        return
    cdeg = round(float(match[1].replace(",", ".")) * 100)
    tapered = any(note.lower().startswith("taper") for note in parsed.notes)
    if not name and (KINDS[parsed.kind].worded or tapered):  # a dovetail's 60° is of its form, no helix
        parsed.notes.append(match[0].strip())
        scan.take(match, "note")
        return
    name = name or ("point_angle_cdeg" if KINDS[parsed.kind].angle and cdeg >= 4500 else "helix_cdeg")
    if getattr(parsed, name) is None and cdeg <= (7000 if name == "helix_cdeg" else 18_000):
        setattr(parsed, name, cdeg)
        scan.take(match, name.removesuffix("_cdeg"))


def _settle(parsed: ParsedLine, scan: Scan) -> None:
    """What follows from two things said together, and what is improbable enough to be pointed at."""
    if scan.assorted and parsed.nominal_nm is None and not parsed.texts:
        parsed.size_unknown = True
    if parsed.corner_radius_nm and parsed.kind == words.USUAL:
        parsed.kind = words.WITH_RADIUS
        parsed.assumed = [name for name in parsed.assumed if name != "kind"]
    if parsed.kind == words.WITH_BALL and parsed.corner_radius_nm:
        _settle_ball(parsed, parsed.corner_radius_nm)
    if not 1 <= parsed.count <= MOST_PIECES:
        parsed.ambiguities.append(f"{parsed.count} pieces: a line holds 1 to {MOST_PIECES}.")
    nominal, flute = parsed.nominal_nm, parsed.flute_length_nm
    if nominal and nominal > WIDEST_NM:
        parsed.ambiguities.append("That diameter is over half a metre.")
    if nominal and flute and flute > LONGEST_FLUTE * nominal:
        parsed.ambiguities.append(f"The flute length is {flute / nominal:.0f} times the diameter.")


def _settle_ball(parsed: ParsedLine, radius_nm: int) -> None:
    """A ball's radius is half its diameter: said alone it gives the diameter, said beside it must agree."""
    if parsed.nominal_nm is None:
        parsed.nominal_nm = 2 * radius_nm
        parsed.assumed.append("nominal")
    if parsed.nominal_nm == 2 * radius_nm:
        parsed.corner_radius_nm = None
    else:
        parsed.ambiguities.append("A ball's radius is half its diameter: these two do not agree.")


STEPS: tuple[Callable[[ParsedLine, Scan, Unit], None], ...] = (
    slip.read_note,
    slip.read_position,
    _references,
    slip.read_part,
    _matched,
    _size_unknown,
    slip.read_remarks_before_counts,
    slip.read_container,
    cutter_sizes.read_width_and_bore,
    read_thread,
    named_sizes.read_fit,
    named_sizes.read_hole,
    named_sizes.read_woodruff,
    named_sizes.read_drill,
    read_count,
    _teeth,
    lengths.read_corner,
    _hands,
    _made_of,
    _tap_flutes,
    _kind,
    slip.read_remarks,
    _angles,
    lengths.read_named,
    lengths.read_chain,
    read_trailing_count,
    lengths.read_single,
    ask_second_count,
)
