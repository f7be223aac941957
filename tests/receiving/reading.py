"""What a wording means, in short, and whether a reading of it is right, asked about, or silently another."""

from fractions import Fraction
from pathlib import Path

INCH, MM = 25_400_000, 1_000_000
FIELDS = {
    "n": "count",
    "d": "nominal",
    "fl": "teeth",
    "sh": "shank",
    "loc": "flute_length",
    "oal": "overall",
    "r": "corner_radius",
}
KINDS = {
    "end mill": {"square", "radius"},
    "ball": {"ball"},
    "drill": {"drill", "stepdrill"},
    "reamer": {"reamer"},
    "tap": {"tap"},
}
MATERIALS = {"carbide": "carbide", "hss": "HSS", "cobalt": "HSS-Co"}
COATINGS = {"none": "uncoated"}


def written(path: Path) -> list[tuple[str, str, dict[str, str]]]:
    """(unit, wording, meaning by short names) of each row of a file of wordings."""
    rows = [line.split("\t") for line in path.read_text(encoding="utf-8").splitlines()]
    return [(unit, text, dict(_pair(word) for word in _words(meaning))) for unit, text, meaning in rows]


def _words(meaning: str) -> list[str]:
    words: list[str] = []
    for word in meaning.split():
        if "=" in word:
            words.append(word)
        else:
            words[-1] += f" {word}"  # k=end mill
    return words


def _pair(word: str) -> tuple[str, str]:
    name, _, value = word.partition("=")
    return name, value


def nm(text: str) -> int:
    return int(Fraction(text.removesuffix("in").removesuffix("mm")) * (INCH if text.endswith("in") else MM))


def verdict(parsed, meaning: dict[str, str]) -> str:
    """ "right", "asked" where a person must answer before it can be saved or a doubt stands in the row, else what is
    wrong.
    """
    asked = {name for question in parsed.asks for name in question.fields} | parsed.texts.keys()
    wrong = [name for name, value in meaning.items() if not _is(parsed, name, value)]
    if not wrong:
        return "right"
    if all(FIELDS.get(name) in asked or _is_open(parsed, name) for name in wrong):
        return "asked"
    return ", ".join(f"{name} is not {meaning[name]}" for name in wrong)


def _is_open(parsed, name: str) -> bool:
    """Whether the form itself cannot be saved without an answer, or the words are shown as not understood."""
    if name == "d":
        return bool(parsed.ambiguities) or (parsed.nominal_nm is None and parsed.kind != "other")
    if name == "n":
        return bool(parsed.ambiguities)
    return name in ("c", "part", "pos", "ang") and bool(parsed.unknown or parsed.notes)


def _is(parsed, name: str, value: str) -> bool:
    notes = " ".join(parsed.notes)
    if value == "?":
        field = FIELDS[name]
        asked = {f for question in parsed.asks for f in question.fields} | parsed.texts.keys()
        return field in asked or (name == "d" and parsed.nominal_nm is None) or field in parsed.assumed
    if name in ("n", "fl"):
        return getattr(parsed, FIELDS[name]) == int(value) and not (name == "n" and _unsaid(parsed, value))
    if name in FIELDS:
        return getattr(parsed, f"{FIELDS[name]}_nm") == nm(value)
    if name == "k":
        return parsed.kind in KINDS[value]
    if name == "m":
        return parsed.material == MATERIALS[value]
    if name == "c":
        return parsed.coating.lower() == COATINGS.get(value, value)
    if name == "hx":
        return parsed.helix_cdeg == int(value) * 100
    if name == "ang":
        return parsed.point_angle_cdeg == int(value) * 100 or value in notes
    if name == "part":
        return value in (parsed.customer_tool_number, parsed.catalogue)
    assert name == "pos", name
    return f"position {value}" in notes


def _unsaid(parsed, value: str) -> bool:
    """Whether a count of one stands only because nobody said how many."""
    return value != "1" and "count" in parsed.assumed
