"""Numbers and fractions as they are spoken: `three eighths` is 3/8 in, `two half inch` is two of 1/2 in."""

import re

UNITS = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen"),
    *("fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
NUMBERS = (
    {word: n for n, word in enumerate(UNITS, start=1)}
    | {word: n for n, word in zip(range(20, 100, 10), TENS, strict=True)}
    | {
        f"{ten} {unit}": tens + n
        for tens, ten in zip(range(20, 100, 10), TENS, strict=True)
        for n, unit in enumerate(UNITS[:9], start=1)
    }
)
SMALL = {word: n for word, n in NUMBERS.items() if n < 64}
PARTS = {"eighth": 8, "sixteenth": 16, "thirty-second": 32, "sixty-fourth": 64, "half": 2, "quarter": 4}
_COUNT = "|".join(sorted((word.replace(" ", "[ -]") for word in SMALL), key=len, reverse=True))
SPOKEN = "|".join(sorted((word.replace(" ", "[ -]") for word in NUMBERS), key=len, reverse=True))
_INCH = r"(?:\s*(?:of\s+)?(?:an?\s+)?(?:inch(?:es)?|in)(?![a-z]))"
_PART = r"eighth|sixteenth|thirty[ -]second|sixty[ -]fourth"
FRACTION = re.compile(
    rf"(?<![\w/-])(?:(?!(?:three|3)\s+quarter)(?P<count>\d{{1,3}}|{_COUNT})(?P<joint>\s+and\s+|\s+x\s+|\s+))?"
    rf"(?:(?:(?P<over>\d{{1,2}}|{_COUNT}|an?)\s+(?P<part>{_PART})s?{_INCH}?)"
    rf"|(?:(?P<three>three|3)\s+quarters?{_INCH}?)"
    rf"|(?:(?:an?\s+|one\s+)?(?P<plain>half|quarter){_INCH}))(?![\w/])",
    re.I,
)


def number_of(word: str) -> int:
    """What a spoken or written number is: 3 for `three`, `3`, `a` being 1."""
    plain = " ".join(word.lower().replace("-", " ").split())
    return int(plain) if plain.isdigit() else 1 if plain in ("a", "an") else NUMBERS[plain]


def unfold_spoken(text: str) -> str:
    """`two half inch em` as `two x 1/2 in em`, `one and a half inch` as `1-1/2 in`."""
    return FRACTION.sub(_written, text)


def _written(match: re.Match[str]) -> str:
    if match["three"]:
        over, under = 3, 4
    elif match["plain"]:
        over, under = 1, PARTS[match["plain"].lower()]
    else:
        over, under = number_of(match["over"]), PARTS[match["part"].lower().replace(" ", "-")]
    if over >= under:
        return match[0]
    if match["count"] is None:
        return f"{over}/{under} in"
    if "and" in match["joint"].lower():
        return f"{number_of(match['count'])}-{over}/{under} in"
    return f"{match['count']} x {over}/{under} in"
