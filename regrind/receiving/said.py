"""What a person says of a line of tools, understood field by field: `12 x 1/4 3fl carbide 30° AlTiN`.

Nothing is dropped: whatever is not understood is named in `unknown`, and everything is shown before it is kept.
"""
import re
from dataclasses import dataclass, field

from regrind.geometry.units import NeedsUnit, NotALength, Unit, parse

MOST_PIECES = 500
NUMBER = r"(?:\d+-\d+/\d+|\d+ \d+/\d+|\d+/\d+|\d*[.,]\d+|\d+)"
LENGTH = rf"{NUMBER}\s*(?:mm\b|in\b|inch\b|\"|'')?"
COUNT = re.compile(r"^\s*(\d{1,4})\s*(?:x|×|pcs?\b\.?|pieces?\b|off\b|ea\b)\s*"
                   r"|^\s*(\d{1,3})\s+(?=[a-z](?!m\b|n\b|nch))", re.I)
CHAIN = re.compile(rf"(?<![\w./])({LENGTH}(?:\s*[x×]\s*{LENGTH}){{1,3}})(?![\w/])", re.I)
CORNER = re.compile(rf"(?<!\w)(?:cr|rad|radius|corner|r)\s*({LENGTH})(?!\w)|(?<![\w./])({NUMBER})\s*(?:cr|r)\b", re.I)
TEETH = re.compile(r"(?<![\w./])(\d{1,2})\s*-?\s*(?:flutes?|flt?s?|f|teeth|tooth|t|z)\b|\bz\s*(\d{1,2})\b", re.I)
TEETH_WORDS = re.compile(r"\b(two|three|four|five|six)[ -]?(?:flutes?|teeth)\b", re.I)
ANGLE = re.compile(r"(?<![\w.])(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:°|deg(?:rees?)?\b)(?:\s*(?:helix|hx|point))?", re.I)
DRILL = re.compile(r"#\s?\d{1,2}\b|\bletter [a-z]\b|\b(?!d\b)[a-z](?= drill\b)", re.I)
SINGLE = re.compile(rf"(?<![\w./-])({NUMBER}\s*(?:mm|in|inch|\"|'')|\d+-\d+/\d+|\d+/\d+|\d*[.,]\d+)(?![\w/])", re.I)
WORDS = {"two": 2, "three": 3, "four": 4, "five": 5, "six": 6}

KINDS = [       # the first that fits; longer names before the words they hold
    ("rougher", r"rough(?:er|ing)?s?|rgh|hogg?er|corncob"),
    ("stepdrill", r"step[ -]?drills?|spot(?:ting)?[ -]?drills?"),
    ("drill", r"drills?(?! mill)|jobbers?"), ("reamer", r"reamers?|rmr"), ("saw", r"(?:slitting[ -]?)?saws?"),
    ("keyseat", r"key ?(?:seat|way)s?|woodruffs?|t-?slots?"),
    ("sidecutter", r"side(?:[ -]and[ -]face|&face)?[ -]?(?:cutter|mill)s?|side[ -]and[ -]face|side ?& ?face"),
    ("chamfer", r"chamfer(?:[ -]?mills?)?|countersinks?|csks?|deburr(?:er)?"),
    ("form", r"form(?:[ -]?cutters?)?|concave|convex|corner[ -]?round(?:er|ing)?|gear cutters?"),
    ("ball", r"bn|ball(?:[ -]?(?:nose|end))?"), ("radius", r"bull(?:[ -]?nose)?|corner[ -]?radius"),
    ("square", r"sq|square"),
]
NOISE = re.compile(
    r"\b(?:end[ -]?mills?|endmills?|em|cutters?|mills?|of|each|dia(?:meter)?|solid|with|and|the|a)\b|[ø⌀,;]", re.I)
MATERIALS = [("HSS-Co", r"hss[ -]?co\d*|hsse?-?co|hsse|cobalt|m42|co8"), ("HSS", r"hss|m2|high[ -]speed(?:[ -]steel)?"),
             ("tipped", r"(?:carbide[ -])?tipped|brazed"), ("carbide", r"carbide|vhm|hm|sc")]
COATINGS = [(name, name) for name in ("AlTiN", "TiAlN", "AlCrN", "TiCN", "TiN", "ZrN", "CrN", "DLC", "TiB2", "AlTiCrN",
                                      "TiSiN")] + [("diamond", r"diamond(?:[ -]coated)?|cvd"),
                                                   ("uncoated", "uncoated|bright|plain")]
UNEQUAL = re.compile(r"\bvar(?:iable)?(?:[ -]?(?:helix|index|pitch))?\b|\bunequal\b", re.I)
LEFT = re.compile(r"\blh\b|\bleft[ -]?hand(?:ed)?\b", re.I)


@dataclass
class Said:
    """One line of tools as it was understood. Lengths in nm, angles in hundredths of a degree, None where not said."""

    text: str
    count: int = 1
    kind: str = "square"
    nominal_nm: int | None = None
    shank_nm: int | None = None
    flute_length_nm: int | None = None
    overall_nm: int | None = None
    teeth: int | None = None
    material: str = ""
    coating: str = ""
    helix_cdeg: int | None = None
    point_angle_cdeg: int | None = None
    corner_radius_nm: int | None = None
    unequal_index: bool = False
    hand_of_cut: str = "right"
    unknown: list[str] = field(default_factory=list)


def understand(text: str, unit: Unit) -> Said:
    """Understand one line; `unit` is what a bare decimal or fraction is in. Never raises: see `unknown`."""
    said, rest = Said(text.strip()[:200]), text.strip()[:200].replace("×", "x")
    for step in (_count, _chain, _corner, _teeth, _kind, _material, _coating, _angle, _flags, _drill, _single):
        rest = step(said, rest, unit)
    said.unknown = [word for word in NOISE.sub(" ", rest).replace(" x ", " ").split() if word not in ("-", ".", "x")]
    return said


def _take(pattern: re.Pattern, rest: str) -> tuple[re.Match | None, str]:
    """The first match, and the text without it."""
    found = pattern.search(rest)
    return found, rest if found is None else f"{rest[:found.start()]} {rest[found.end():]}"


def _length(text: str, unit: Unit) -> int | None:
    """Nanometres, or None where it cannot be read or would have to be guessed."""
    try:
        return parse(text.strip().replace("''", '"'), unit=unit).nm or None
    except (NeedsUnit, NotALength):
        return None


def _count(said: Said, rest: str, unit: Unit) -> str:
    found, after = _take(COUNT, rest)
    if found is None:
        return rest
    said.count = int(found[1] or found[2])
    return after.strip()


def _chain(said: Said, rest: str, unit: Unit) -> str:
    """Cutting x shank x flute length x overall; three are cutting x flute length x overall, two leave out overall."""
    found, after = _take(CHAIN, rest)
    if found is None:
        return rest
    parts = re.split(r"\s*[x×]\s*", found[1], flags=re.I)
    metric = any("mm" in part.lower() for part in parts)
    lengths = [_length(_in_unit(part, "mm" if metric else unit, len(parts) > 2 or metric), unit) for part in parts]
    if None in lengths:
        return rest
    names = {2: ("nominal_nm", "flute_length_nm"), 3: ("nominal_nm", "flute_length_nm", "overall_nm"),
             4: ("nominal_nm", "shank_nm", "flute_length_nm", "overall_nm")}[len(parts)]
    for name, nm in zip(names, lengths, strict=True):
        setattr(said, name, nm)
    return after


def _in_unit(part: str, unit: str, whole_too: bool) -> str:
    """A part of a chain in the chain's unit; a bare whole number only where the chain leaves no doubt."""
    bare = re.fullmatch(NUMBER, part.strip())
    return f"{part} {unit}" if bare and (whole_too or not part.strip().isdigit()) else part


def _corner(said: Said, rest: str, unit: Unit) -> str:
    found, after = _take(CORNER, rest)
    if found is None:
        return rest
    text = (found[1] or found[2]).strip()
    metric = (said.nominal_nm is not None and said.nominal_nm % 100_000 == 0) or re.search(r"\dmm\b|\bmm\b", rest, re.I)
    nm = _length(_in_unit(text, "mm" if metric else unit, True), unit)
    if nm is None:
        return rest
    said.corner_radius_nm, said.kind = nm, "radius"
    return after


def _teeth(said: Said, rest: str, unit: Unit) -> str:
    found, after = _take(TEETH_WORDS, rest)
    if found:
        said.teeth = WORDS[found[1].lower()]
        return after
    found, after = _take(TEETH, rest)
    if found is None or not 1 <= int(found[1] or found[2]) <= 99:
        return rest
    said.teeth = int(found[1] or found[2])
    return after


def _kind(said: Said, rest: str, unit: Unit) -> str:
    for kind, words in KINDS:
        pattern = re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.I)
        if pattern.search(rest):
            said.kind = kind
            if kind == "drill":     # "F drill": the letter is a size, and the word beside it says so
                rest = _drill(said, rest, unit)
            return _take(pattern, rest)[1]
    return rest


def _material(said: Said, rest: str, unit: Unit) -> str:
    return _one_of(said, "material", MATERIALS, rest)


def _coating(said: Said, rest: str, unit: Unit) -> str:
    return _one_of(said, "coating", COATINGS, rest)


def _one_of(said: Said, name: str, choices: list[tuple[str, str]], rest: str) -> str:
    for value, words in choices:
        found, after = _take(re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.I), rest)
        if found:
            setattr(said, name, value)
            return after
    return rest


def _angle(said: Said, rest: str, unit: Unit) -> str:
    """A helix, or the point angle of what has a point."""
    found, after = _take(ANGLE, rest)
    if found is None:
        return rest
    cdeg = round(float(found[1].replace(",", ".")) * 100)
    if said.kind in ("drill", "stepdrill", "chamfer") and 4500 <= cdeg <= 18000:
        said.point_angle_cdeg = cdeg
    elif cdeg <= 7000:
        said.helix_cdeg = cdeg
    else:
        return rest
    return after


def _flags(said: Said, rest: str, unit: Unit) -> str:
    found, rest = _take(UNEQUAL, rest)
    said.unequal_index = found is not None
    left, rest = _take(LEFT, rest)
    said.hand_of_cut = "left" if left else "right"
    return rest


def _drill(said: Said, rest: str, unit: Unit) -> str:
    found, after = _take(DRILL, rest)
    nm = _length(found[0].replace("# ", "#") if len(found[0]) > 1 else f"letter {found[0]}", unit) if found else None
    if nm is None or said.nominal_nm is not None:
        return rest
    said.nominal_nm = nm
    return after


def _single(said: Said, rest: str, unit: Unit) -> str:
    if said.nominal_nm is not None:
        return rest
    found, after = _take(SINGLE, rest)
    nm = _length(found[1], unit) if found else None
    if nm is None:
        return rest
    said.nominal_nm = nm
    return after
