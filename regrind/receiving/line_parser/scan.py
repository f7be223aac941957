"""A line while it is being read: what it says so far, and which of its words have told something."""

import re
import unicodedata
from dataclasses import dataclass, field

from .spoken import unfold_spoken

LONGEST = 200
GONE = "\0"  # stands where a word was taken, so that nothing is read across the gap
NEITHER = " \t,;:.()[]-–+&=" + GONE
PLAIN = str.maketrans(
    {
        "×": "x",
        "✕": "x",
        "*": "x",
        "–": "-",
        "—": "-",
        "‑": "-",
        "−": "-",
        "”": '"',
        "“": '"',
        "″": '"',
        "’": "'",
        "º": "°",
        "˚": "°",
    }
)


@dataclass(frozen=True)
class Ask:
    """A question that a reader must answer: the fields left empty, and each answer with the values it writes."""

    fields: tuple[str, ...]
    question: str
    answers: dict[str, dict[str, str]]


@dataclass
class ParsedLine:
    """One line of tools as it was understood. Lengths in nm, angles in hundredths of a degree, None where not said.

    texts: what stands in a length's place where it could be several lengths (8: 8 mm or 8 in?). assumed: the fields
    that nobody said. asks: what only a person can answer. ambiguities: what could have been meant otherwise.
    unknown: what was not understood, word by word. parts: the whole line in order, each part with the field it told, ""
    where it told none.
    """

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
    hand_of_helix: str = "right"
    maker: str = ""
    catalogue: str = ""
    customer_tool_number: str = ""
    size_unknown: bool = False
    matched: bool = False
    match_tolerance_nm: int | None = None
    hole: str = ""
    thread: str = ""
    tap_flutes: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    assumed: list[str] = field(default_factory=list)
    asks: list[Ask] = field(default_factory=list)
    ambiguities: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    parts: list[tuple[str, str]] = field(default_factory=list)


class Scan:
    """The text of one line, from which words are taken one by one until only the not understood is left."""

    def __init__(self, text: str) -> None:
        self.text = plain_text(text[: 4 * LONGEST])[:LONGEST].rstrip()
        self.rest = self.text
        self.taken: list[tuple[int, int, str]] = []
        self.counted = self.assorted = False  # whether a count was read, whether the tools are of several sizes
        self.container = ""  # what they came in, where it was not said how many are in it

    def find(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        return pattern.search(self.rest)

    def take(self, match: re.Match[str], name: str, group: int = 0) -> None:
        """Mark what was found as having told the field `name`."""
        start, end = match.span(group)
        while start < end and self.rest[start] in f" {GONE}":  # what was taken before is not taken again
            start += 1
        self.taken.append((start, end, name))
        self.rest = self.rest[:start] + GONE * (end - start) + self.rest[end:]

    def find_and_take(self, pattern: re.Pattern[str], name: str) -> re.Match[str] | None:
        match = self.find(pattern)
        if match:
            self.take(match, name)
        return match

    def words_of(self, name: str) -> str:
        """The words that told a field, "" where none did."""
        return next((self.text[start:end] for start, end, of_field in self.taken if of_field == name), "")

    def unknown(self) -> list[str]:
        """The words that are left, without the punctuation around them."""
        return [word for word in map(bare, re.split(rf"[{GONE}\s]+", self.rest)) if word]

    def parts(self) -> list[tuple[str, str]]:
        """The whole line in order: (words, the field they told); "" where they told none."""
        parts, position = [], 0
        for start, end, name in sorted(self.taken):
            if self.text[position:start].strip(NEITHER):
                parts.append((self.text[position:start].strip(), ""))
            parts.append((self.text[start:end].strip(), name))
            position = end
        if self.text[position:].strip(NEITHER):
            parts.append((self.text[position:].strip(), ""))
        return [(text, name) for text, name in parts if text]


def plain_text(text: str) -> str:
    """The text as it is read: printable, with plain signs and fractions."""
    clean = "".join(sign if sign.isprintable() else " " for sign in unicodedata.normalize("NFC", text))
    return unfold_spoken(_unfold_fractions(clean.strip().translate(PLAIN)))


def bare(word: str) -> str:
    """A word without the punctuation around it; the point of .500 stays."""
    return word.rstrip(NEITHER).lstrip(NEITHER.replace(".", ""))


def _unfold_fractions(text: str) -> str:
    """¼ as 1/4, 1½ as 1-1/2."""

    def plain(match: re.Match[str]) -> str:
        fraction = unicodedata.normalize("NFKC", match[2]).replace("\u2044", "/")
        return f"{match[1]}-{fraction}" if match[1] else fraction

    return re.sub(r"(\d*)([¼½¾⅛⅜⅝⅞])", plain, text)
