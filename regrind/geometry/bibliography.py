"""What the figures of the program rest on: one numbered list, named on pages by number and short words.

A stored plan keeps the source of a figure as it was written when the plan was made; `short_reference` finds its entry.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reference:
    """An entry of the bibliography; `number` counts from 1. `marks`: words by which a stored source belongs to it."""

    number: int
    short: str
    entry: str
    marks: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"[{self.number}] {self.short}"


DERIVED = Reference(
    1,
    "derived geometry",
    "Derived from the geometry of tooth, helix and wheel. Each formula is derived in the geometry notes that come with "
    "the program, and its tests hold it against models that were written from other formulas.",
    ("derived",),
)
PRACTICE = Reference(
    2,
    "common practice",
    "Common practice of tool grinding shops. There is no published source to name, or none was found.",
    ("common practice", "trade practice", "our choice", "half the secondary relief that was given"),
)
TYPICAL = Reference(
    3,
    "typical figure, unpublished",
    "A figure that general tool design books and catalogues agree on, written from memory and not yet compared with a "
    "printed page. Measure the tool wherever a decision hangs on it.",
    ("memory",),
)
REGRIND_DATA = Reference(
    4,
    "maker’s regrind data, 2011",
    "Ingersoll Cutting Tools, general catalogue 2011: data for regrinding solid carbide end mills with its legend, "
    "printed page 459.",
    ("Ingersoll",),
)
RELIEF_TABLE = Reference(
    5,
    "handbook table of relief drops",
    "Machinery’s Handbook, tables of indicator drops for checking relief on peripheral and end teeth, with the relief "
    "and the widest land by diameter. The values are from memory.",
    ("Machinery's Handbook, table of indicator drops",),
)
REDUCTION = Reference(
    6,
    "published largest reduction",
    "Kennametal-Greenfield, technical tip on regrinding end mills: the largest reduction of the original diameter that "
    "keeps up to 80 % of the cutting efficiency. A second maker’s page prints the same figures.",
    ("Kennametal-Greenfield",),
)
UNCERTAINTY = Reference(
    7,
    "uncertainty in measurement",
    "JCGM 100:2008, Guide to the expression of uncertainty in measurement: resolution of a reading, 4.3.7; propagation "
    "of independent inputs, 5.1.2. Expanded uncertainties are for k = 2.",
    ("JCGM 100",),
)
DECISION = Reference(
    8,
    "decision rule",
    "After the idea of ISO 14253-1: a value is inside or outside a limit only where its margin is at least its "
    "expanded uncertainty. The limit is the customer’s or the shop’s own unless another source is named.",
    ("ISO 14253-1",),
)
WHEEL_MAXIMUM = Reference(
    9,
    "marked maximum speed of a wheel",
    "29 CFR 1910.243(c)(5); California Code of Regulations, title 8, section 3580; WAC 296-806-40512: a wheel is never "
    "run above its marked maximum speed. EN 13236: superabrasive wheels are marked in rpm and in m/s.",
    ("29 CFR 1910.243",),
)
WHEEL_SELECTION = Reference(
    10,
    "supplier’s wheel selection",
    "Misumi, technical page on the selection of diamond and CBN wheels: recommended surface speeds and deepest "
    "infeeds, a guideline.",
    ("Misumi",),
)
WHEEL_HEIGHT = Reference(
    11,
    "handbook table of wheel heights",
    "Machinery’s Handbook, table of the distance to set the centre of a straight wheel above the tool’s. The values "
    "are from memory: 92 of 96 agree with the formula.",
)
DRILLS = Reference(
    12,
    "published drill and reamer data",
    "DIN 1414 and makers’ drill specifications: back taper, web and web taper; a maker’s advice on hole depth: the "
    "flute length less 1.5 diameters; helix of type N drills.",
    ("29_kinds_published.csv",),
)
SHOP_LIMIT = Reference(
    13,
    "the customer’s or the shop’s limit",
    "A limit that the customer named, or one of the shop’s own settings.",
    ("the customer's or the shop's limit",),
)

TOLERANCES = Reference(
    14,
    "limits and fits",
    "ISO 286-1 and ISO 286-2, limits of holes and shafts; DIN 1420 and ISO 522, sizes of reamers for a hole. The "
    "values are from memory and agree with a maker’s table and a public library.",
)
GRIT_SIZES = Reference(15, "grit sizes", "FEPA and ISO 6106, designations of diamond and CBN grit and their sieves.")
SIZES = Reference(
    16,
    "drill and thread sizes",
    "ANSI number and letter drill sizes; ISO 261, coarse pitches of metric threads; DIN 2197, forms of "
    "a tap’s chamfer.",
)
MEASURED = Reference(17, "measured", "Read on the tool itself and recorded at its inspection.", ("measured",))
UNNAMED = Reference(
    18,
    "named by an older edition",
    "An older edition of the program named a source that is no longer in this list.",
)

BIBLIOGRAPHY = (
    DERIVED,
    PRACTICE,
    TYPICAL,
    REGRIND_DATA,
    RELIEF_TABLE,
    REDUCTION,
    UNCERTAINTY,
    DECISION,
    WHEEL_MAXIMUM,
    WHEEL_SELECTION,
    WHEEL_HEIGHT,
    DRILLS,
    SHOP_LIMIT,
    TOLERANCES,
    GRIT_SIZES,
    SIZES,
    MEASURED,
    UNNAMED,
)
_GENERAL = (DERIVED, PRACTICE, TYPICAL, MEASURED)
_BY_WEIGHT = (SHOP_LIMIT, *(entry for entry in BIBLIOGRAPHY if entry not in _GENERAL), *_GENERAL)


def short_reference(source: str) -> Reference:
    """The entry that a source's text belongs to, as plans, steps and tables hold it; "[4] …" where it is written out.

    Named publications come before derivations, common practice and typical figures.
    source: any text; what no entry knows belongs to `UNNAMED`.
    Source: the entries themselves.

    >>> str(short_reference("derived (geometry notes, teeth)"))
    '[1] derived geometry'
    """
    for entry in _BY_WEIGHT:
        if any(mark in source for mark in entry.marks):
            return entry
    return UNNAMED
