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
_INCH = r"(?:[\s-]*(?:of\s+)?(?:an?\s+)?(?:inch(?:es)?|in)(?![a-z]))"
_PART = r"eighth|sixteenth|thirty[ -]second|sixty[ -]fourth"
FRACTION = re.compile(
    rf"(?<![\w/-])(?:(?!(?:three|3)[\s-]+quarter)(?P<count>\d{{1,3}}|{_COUNT})(?P<joint>\s+and\s+|\s+x\s+|\s+))?"
    rf"(?:(?:(?P<over>\d{{1,2}}|{_COUNT}|an?)[\s-]+(?P<part>{_PART})s?{_INCH}?)"
    rf"|(?:(?P<three>three|3)[\s-]+quarters?{_INCH}?)"
    rf"|(?:(?:an?\s+|one\s+)?(?P<plain>half|quarter){_INCH}))(?![\w/])",
    re.I,
)


INCH_AND = re.compile(
    rf"(?<![\w/])(?:(?P<count>\d{{1,3}}|{_COUNT})\s+)?(?:an?\s+|one\s+)?inch\s+and\s+(?:an?\s+|one\s+)?"
    rf"(?:(?P<over>three|five|seven)\s+)?(?P<part>half|quarter|eighth|sixteenth)s?(?![\w/])",
    re.I,
)
WHOLE = re.compile(rf"(?<![\w/])({_COUNT})[\s-]+(inch(?:es)?|millimet(?:re|er)s?|mm|thou)(?!\w)(?!\s+and\s)", re.I)
HYPHENED = re.compile(r"(?<=\d)-(?=(?:inch(?:es)?|in|mm)(?![a-z]))", re.I)
MILLIMETRES = re.compile(r"(?<=\d)\s*millimet(?:re|er)s?(?!\w)", re.I)
THOU = re.compile(r"(?<![\w./])(\d{2,3})\s*thou(?:sandths?)?(?!\w)", re.I)


def number_of(word: str) -> int:
    """What a spoken or written number is: 3 for `three`, `3`, `a` being 1."""
    plain = " ".join(word.lower().replace("-", " ").replace(",", "").split())
    return int(plain) if plain.isdigit() else 1 if plain in ("a", "an") else NUMBERS[plain]


def unfold_spoken(text: str) -> str:
    """`two half inch em` as `two x 1/2 in em`, `one and a half inch` as `1-1/2 in`."""
    text = FRACTION.sub(_written, INCH_AND.sub(_inch_and, HYPHENED.sub(" ", text)))
    text = WHOLE.sub(lambda match: f"{number_of(match[1])} {match[2]}", text)
    text = MILLIMETRES.sub(" mm", text)
    return THOU.sub(lambda match: f".{int(match[1]):03d} in", text)


def _inch_and(match: re.Match[str]) -> str:
    """`inch and a quarter` as 1-1/4 in; behind a number it could be that many inches, and stays as it is."""
    if match["count"] and match["count"].lower() not in ("one", "1"):
        return match[0]
    over, under = number_of(match["over"] or "one"), PARTS[match["part"].lower()]
    return f"1-{over}/{under} in" if over < under else match[0]


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
