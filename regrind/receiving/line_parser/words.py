"""The words of the counter: kinds, materials, coatings, numbers. Common practice of the trade, in English."""

import re

from . import spoken

NUMBERS = spoken.NUMBERS | {"a": 1, "an": 1, "pair": 2, "couple": 2, "dozen": 12, "doz": 12, "half a dozen": 6}
NUMBER = r"(?:\d+-\d+/\d+|\d+ \d+/\d+|\d+/\d+|\d*[.,]\d+|\d+)"
UNIT = r"(?:\s*(?:mm|inch(?:es)?|in)(?![a-z])|\s*\")"
LENGTH = rf"{NUMBER}{UNIT}?"
DIAMETER = r"(?:dia(?:m(?:eter)?)?|d|ø|⌀)\.?"
DEGREES = r"(?:°|deg(?:rees?|\.)?(?![a-z]))"


def word(pattern: str) -> re.Pattern[str]:
    """A pattern that stands alone, not inside another word or number."""
    return re.compile(rf"(?<![\w/])(?:{pattern})(?![\w/])", re.I)


# What a tool is where nobody said more, with a radius, with a ball; and what it is where no kind fits.
USUAL, WITH_RADIUS, WITH_BALL, OTHER = "square", "radius", "ball", "other"
# The first that fits is the kind; a name that holds another stands before it ("slot drill" is an end mill).
KINDS = [
    (kind, word(pattern))
    for kind, pattern in (
        (
            "rougher",
            r"schruppfräser|rough(?:er|ing)?s?(?:[ -]?(?:end[ -]?)?mills?)?|rghr?|hogg?(?:er|ing)s?"
            r"|corn[ -]?cobs?|rippers?",
        ),
        ("square", r"slot[ -]?drills?"),
        ("stepdrill", r"(?:step|spot(?:ting)?|cent(?:er|re)|nc)[ -]?drills?|spotters?"),
        ("drill", r"(?:s ?& ?d[ -])?drills?(?:[ -]bits?)?|jobbers?(?:[ -]drills?)?|(?:spiral)?bohrer"),
        ("reamer", r"reamers?|rmrs?|reibahlen?"),
        ("saw", r"(?:slitting[ -]?)?saws?"),
        ("keyseat", r"key[ -]?(?:seat|way)s?(?:[ -]?cutters?)?|key[ -]cutters?|woodruffs?|t[ -]?slots?(?:ters?)?"),
        (
            "sidecutter",
            r"(?:stagger(?:ed)?[ -]?(?:tooth|teeth)[ ,-]*)?side[ -]?(?:and|&)[ -]?face(?:[ -]?(?:milling[ -]?)?"
            r"(?:cutter|mill)s?)?|s ?& ?f|side[ -]?(?:milling[ -]?)?(?:cutter|mill)s?"
            r"|stagger(?:ed)?[ -]?(?:tooth|teeth)(?:[ -]?cutters?)?",
        ),
        (
            "chamfer",
            r"chamfer(?:[ -]?(?:end[ -]?)?mills?|[ -]?cutters?|ing)?|chams?|counter[ -]?sinks?|c['/]?sinks?|csks?"
            r"|deburr(?:er|ing)?s?",
        ),
        (
            "form",
            r"form(?:[ -]?(?:cutter|mill|tool)s?)?|concaves?|convex|corner[ -]?round(?:er|ing)?s?|gear[ -]?cutters?"
            r"|dovetails?",
        ),
        ("ball", r"bn|kugelfräser|ball(?:[ -]?(?:nosed?|end(?:ed)?))?s?(?:[ -]?(?:end[ -]?)?mills?)?|bnems?"),
        ("radius", r"bull(?:[ -]?nosed?)?s?|corner[ -]?rad(?:ius|ii)?|cr|torus|toroid(?:al)?"),
        ("square", r"sq(?:uare)?(?:[ -]?ends?)?|flat(?:[ -]?(?:bottom|end))?(?:ed)?"),
        ("tap", r"gewindebohrer|taps?"),
        (
            "other",
            r"thread[ -]?mills?|fly[ -]?cutters?|engrav(?:er|ing)s?|burrs?|shell[ -]?mills?"
            r"|face[ -]?mills?|broach(?:es)?|hobs?|inserts?|routers?|boring[ -]?bars?",
        ),
    )
]
TAP_FLUTES = [
    ("spiral point", word(r"spiral[ -]?point(?:ed)?|gun(?:[ -]?(?:nosed?|points?))?(?=[ -]|$)")),
    ("spiral flutes", word(r"(?:spiral|helical)[ -]?fl(?:ute[ds]?)?")),
    ("straight flutes", word(r"(?:straight|str)[ -]?fl(?:ute[ds]?)?")),
]

MATERIALS = [
    (name, word(pattern))
    for name, pattern in (
        ("indexable", r"indexable|inserted[ -]?(?:tooth|teeth)|insert[ -]?(?:mill|drill|cutter)s?"),
        ("tipped", r"(?:carbide|tct|c/t)[ -]?tip(?:ped)?|tipped|brazed|tct"),
        (
            "HSS-Co",
            r"hss[ -]?co(?:balt)?[ -]?\d{0,2}%?|hss?[ -]?e(?:[ -]?co\d*)?|cobalt(?:[ -]?hss)?"
            r"|(?:hss?[ -])?m ?(?:42|35)|co ?[58]",
        ),
        ("HSS", r"h\.?s\.?s\.?|hs|high[ -]?speed(?:[ -]?steel)?|m ?2|m ?7"),
        ("carbide", r"(?:solid[ -]?)?carb(?:ide)?|s/?c|vhm|hm|tungsten[ -]?carbide"),
    )
]
COATED = r"(?:[ -]?coat(?:ed|ing)?)?"
COATINGS = [
    (name, word(rf"(?:{pattern}){COATED}"))
    for name, pattern in (
        ("AlTiCrN", "alticrn|alumini?um[ -]titanium[ -]chromium[ -]nitride"),
        ("AlTiSiN", "altisin"),
        ("AlTiN", "al[ -]?ti[ -]?n|alumini?um[ -]titanium[ -]nitride"),
        ("TiAlN", "ti[ -]?al[ -]?n|titanium[ -]alumini?um[ -]nitride"),
        ("AlCrN", "al[ -]?cr[ -]?n|alumini?um[ -]chrom(?:e|ium)[ -]nitride"),
        ("TiCN", "ti[ -]?c[ -]?n|titanium[ -]carbo[ -]?nitride"),
        ("TiSiN", "tisin"),
        ("TiN", "ti[ -]?n|titanium[ -]nitride"),
        ("ZrN", "zr[ -]?n|zirconium[ -]nitride"),
        ("CrN", "cr[ -]?n|chrom(?:e|ium)[ -]nitride"),
        ("TiB2", "tib2|titanium[ -]di-?boride"),
        ("DLC", "dlc|diamond[ -]like(?:[ -]carbon)?"),
        ("nACo", "naco"),
        ("nACRo", "nacro"),
        ("diamond", "diamond|cvd"),
    )
] + [("uncoated", word(r"un-?coated|bright|no coat(?:ing)?"))]

UNEQUAL = word(
    r"var(?:\.|iable)?(?:[ -]?(?:helix|index|pitch|flutes?))?"
    r"|unequal(?:[ -]?(?:index|pitch|spac(?:ed|ing)))?|diff(?:erential)?[ -]?pitch"
)
LEFT_HELIX = word(r"(?:lh|left)[ -]?(?:hand(?:ed)?)?[ -]?(?:helix|spiral)|lhs|down[ -]?cut")
LEFT_CUT = word(r"lh(?:c|[ -]?cut)?|left[ -]?hand(?:ed)?(?:[ -]?cut(?:ting)?)?")
RIGHT = word(r"rh(?:[cs]|[ -]?cut)?|right[ -]?hand(?:ed)?(?:[ -]?(?:cut(?:ting)?|helix|spiral))?|up[ -]?cut")
MATCHED = re.compile(
    r"(?<!\w)(?:keep[ -]?)?matched(?:[ -]?(?:pair|set))?(?!\w)"
    rf"(?:\s*(?:within|to|±)\s*({NUMBER}\s*(?:thou|tenths?|um|µm)|{LENGTH})(?![\w/]))?",
    re.I,
)

THEIR_NUMBER = re.compile(
    r"(?<!\w)(?:(?:their|your|crib|tool|stock)\s*(?:no\.?|nr\.?|number|#)|crib)\s*[:=]?\s*"
    r"((?=[\w./-]*\d)\w[\w./-]{0,29})",
    re.I,
)
CATALOGUE = re.compile(
    r"(?<!\w)(?:cat(?:alog(?:ue)?)?\.?\s*(?:no\.?|nr\.?|number|#)?|"
    r"(?:part|art(?:icle)?|ref)\.?\s*(?:no\.?|nr\.?|number|#))\s*[:=]?\s*"
    r"((?=[\w./-]*\d)\w[\w./-]{1,29})",
    re.I,
)
SIZE_UNKNOWN = word(r"(?:size|dia(?:meter)?)[ -]?(?:unknown|\?+)|unknown[ -](?:size|dia(?:meter)?)|no[ -]size")
MAKER = re.compile(r"(?<!\w)(?:maker|make|made by|mfr)\s*[:=]?\s*([^\W\d_][\w&'-]{0,39})", re.I)

# Words that say nothing of their own; all others that are not understood are named.
NOISE = word(
    r"end[ -]?mills?|em(?:'?s)?|cutters?|mills?|tools?|bits?|of|each|with|w/|and|the|an?|on|for|them|these"
    r"|x|dia(?:m(?:eter)?)?\.?|ø|⌀|size|solid|helix|pcs?|pieces?|off|ea|fräser|schaftfräser"
)
END_MILL = word(r"end[ -]?mills?|em(?:'?s)?|(?:schaft)?fräser")
