"""Reading one line of tools, step by step: each step takes the words it understands and leaves the rest."""

import re
from collections.abc import Callable

from regrind.geometry.units import Unit

from . import lengths, words
from .counts import read_count, read_trailing_count
from .scan import Said, Scan
from .sizes import unit_of

MOST_PIECES = 500
MOST_LINES = 40
WIDEST_NM, LONGEST_FLUTE = 500_000_000, 15

TEETH = [
    re.compile(pattern, re.I)
    for pattern in (
        r"(?<![\w./])(\d{1,2})\s*-?\s*(?:flutes?|fluted|flt?s?|f|teeth|tooth|t|z|edges?)(?![\w-])",
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
POINT = re.compile(rf"(?<![\w./-]){ANGLE}\s*{words.DEGREES}?\s*(?:point|included|incl\.?)(?!\w)", re.I)
PLAIN = re.compile(rf"(?<![\w./-]){ANGLE}\s*{words.DEGREES}", re.I)


def understand_all(text: str, unit: Unit) -> list[Said]:
    """Every line that holds something, understood; the first forty."""
    return [understand(line, unit) for line in [line for line in text.splitlines() if line.strip()][:MOST_LINES]]


def understand(text: str, unit: Unit) -> Said:
    """Understand one line of like tools. Never raises.

    text: as a person would say it, at most 200 characters. unit: the customer's, for bare decimals. What was not
    understood stands in `unknown`, what could be meant otherwise in `doubts`, what nobody said in `assumed`.
    """
    scan = Scan(text)
    said = Said(scan.text)
    for step in STEPS:
        step(said, scan, unit)
    _settle(said)
    while scan.find_and_take(words.NOISE, "noise"):
        pass
    said.unknown, said.parts = scan.unknown(), scan.parts()
    return said


def _references(said: Said, scan: Scan, unit: Unit) -> None:
    """Their own number, the catalogue's, the maker: taken first, since they may hold anything."""
    for name, pattern in (
        ("customer_tool_number", words.THEIR_NUMBER),
        ("catalogue", words.CATALOGUE),
        ("maker", words.MAKER),
    ):
        found = scan.find_and_take(pattern, name)
        if found:
            setattr(said, name, found[1].strip("-./"))


def _matched(said: Said, scan: Scan, unit: Unit) -> None:
    found = scan.find_and_take(words.MATCHED, "matched")
    if found:
        said.matched = True
        said.match_tolerance_nm = lengths.exactly(found[1], unit_of(said.text) or unit) if found[1] else None


def _teeth(said: Said, scan: Scan, unit: Unit) -> None:
    for pattern in TEETH:
        found = scan.find(pattern)
        if found:
            told = found[1].lower()
            said.teeth = int(told) if told.isdigit() else words.NUMBERS.get(told, 1)
            if said.teeth:
                scan.take(found, "teeth")
                return
            said.teeth = None


def _kind(said: Said, scan: Scan, unit: Unit) -> None:
    for kind, pattern in words.KINDS:
        found = scan.find(pattern)
        if found:
            said.kind = kind
            scan.take(found, "kind")
            if kind in ("other", "form"):
                said.notes.append(found[0].strip())
            return
    if not scan.find_and_take(words.END_MILL, "kind"):
        said.assumed.append("kind")


def _made_of(said: Said, scan: Scan, unit: Unit) -> None:
    for name, choices in (("material", words.MATERIALS), ("coating", words.COATINGS)):
        for value, pattern in choices:
            if scan.find_and_take(pattern, name):
                setattr(said, name, value)
                break


def _hands(said: Said, scan: Scan, unit: Unit) -> None:
    if scan.find_and_take(words.LEFT_HELIX, "hand_of_helix"):
        said.hand_of_helix = "left"
    if scan.find_and_take(words.LEFT_CUT, "hand_of_cut"):
        said.hand_of_cut = "left"
    scan.find_and_take(words.RIGHT, "hand_of_cut")
    said.unequal_index = scan.find_and_take(words.UNEQUAL, "unequal_index") is not None


def _angles(said: Said, scan: Scan, unit: Unit) -> None:
    """A helix, or the point angle of what has a point; two helices are kept in words."""
    both = scan.find_and_take(HELICES, "note")
    if both:
        said.notes.append(both[0].strip())
    for pattern in HELIX:
        _take_angle(said, scan, pattern, "helix_cdeg")
    _take_angle(said, scan, POINT, "point_angle_cdeg")
    for _ in range(2):
        _take_angle(said, scan, PLAIN, "")


def _take_angle(said: Said, scan: Scan, pattern: re.Pattern[str], name: str) -> None:
    found = scan.find(pattern)
    if found is None:
        return
    cdeg = round(float(found[1].replace(",", ".")) * 100)
    name = name or ("point_angle_cdeg" if said.kind in words.POINTED and cdeg >= 4500 else "helix_cdeg")
    if getattr(said, name) is None and cdeg <= (7000 if name == "helix_cdeg" else 18_000):
        setattr(said, name, cdeg)
        scan.take(found, name.removesuffix("_cdeg"))


def _settle(said: Said) -> None:
    """What follows from two things said together, and what is improbable enough to be pointed at."""
    if said.corner_radius_nm and said.kind == "square":
        said.kind = "radius"
        said.assumed = [name for name in said.assumed if name != "kind"]
    if said.kind == "ball" and said.corner_radius_nm:
        _settle_ball(said, said.corner_radius_nm)
    if not 1 <= said.count <= MOST_PIECES:
        said.doubts.append(f"{said.count} pieces: a line holds 1 to {MOST_PIECES}.")
    nominal, flute = said.nominal_nm, said.flute_length_nm
    if nominal and nominal > WIDEST_NM:
        said.doubts.append("That diameter is over half a metre.")
    if nominal and flute and flute > LONGEST_FLUTE * nominal:
        said.doubts.append(f"The flute length is {flute / nominal:.0f} times the diameter.")


def _settle_ball(said: Said, radius_nm: int) -> None:
    """A ball's radius is half its diameter: said alone it gives the diameter, said beside it must agree."""
    if said.nominal_nm is None:
        said.nominal_nm = 2 * radius_nm
        said.assumed.append("nominal")
    if said.nominal_nm == 2 * radius_nm:
        said.corner_radius_nm = None
    else:
        said.doubts.append("A ball's radius is half its diameter: these two do not agree.")


STEPS: tuple[Callable[[Said, Scan, Unit], None], ...] = (
    _references,
    _matched,
    lengths.read_drill,
    read_count,
    _teeth,
    lengths.read_corner,
    _hands,
    _made_of,
    _kind,
    _angles,
    lengths.read_named,
    lengths.read_chain,
    read_trailing_count,
    lengths.read_single,
)
