"""Worn reamers, and what an experienced grinder would do with each, and why.

Holes: ISO 286 (10 H7 is 10.000 to 10.015, 6 H8 to 6.018, 12 H7 to 12.018, 8 H6 to 8.009). New reamers for them by the
rule of ISO 522 / DIN 1420, read on two makers' pages: 15 % of the tolerance below the hole's upper size, 35 % of it
wide, each up to a whole micrometre: 10 H7 10.006/10.012, 6 H8 6.008/6.015, 12 H7 12.008/12.015. Other reasons are
common practice.
"""

from .worn import Worn

CHAMFER = "A reamer cuts on its chamfer: that is cut back past the worn corners, the margins are left alone."


def ream(diameter: str, margin: str = "", chamfer: str = "1.5 mm", **more: str) -> dict[str, str]:
    """Readings of a reamer: over the margins behind the wear, how far they are worn, how long its chamfer is."""
    known = {"diameter": diameter, "damage": "depth", "chamfer_length": chamfer, "worn_margin": margin}
    return known | {"flute_length": "38 mm"} | more


REAMERS = [
    Worn("10 H7, corners worn", "1 x 10H7 HSS reamer", ream("10.009 mm", "0.5 mm"), "grind chamfer", CHAMFER),
    Worn(
        "12 H7, worn in and still serving",
        "1 x 12 H7 reamer HSS",
        ream("12.004 mm", "0.8 mm"),
        "grind chamfer",
        "12.004 is 4 µm above the hole's lower size: below a new one's 12.008, and it serves.",
    ),
    Worn(
        "10 H7, worn out of its hole",
        "1 x 10 H7 reamer carbide",
        ream("9.997 mm", "0.5 mm"),
        "ask",
        "No grinding brings size back to the margins: 9.997 reams below 10.000. The customer decides.",
    ),
    Worn(
        "10 H7, ground too large elsewhere",
        "1 x 10 H7 reamer HSS",
        ream("10.014 mm", "0.5 mm"),
        "ask",
        "Above a new reamer's 10.012: its holes may come out over 10.015.",
    ),
    Worn(
        "sharp reamer, right for its hole",
        "1 x 6H8 reamer HSS",
        {"diameter": "6.010 mm", "damage": "nothing", "chamfer_length": "1 mm", "flute_length": "26 mm"},
        "sound",
        "Sharp, and 6.010 lies between 6.000 and a new reamer's 6.015.",
    ),
    Worn(
        "sharp reamer, too small for its hole",
        "1 x 6H8 reamer HSS",
        {"diameter": "5.998 mm", "damage": "nothing", "chamfer_length": "1 mm", "flute_length": "26 mm"},
        "ask",
        "Sharp and of the wrong size is not sound.",
    ),
    Worn(
        "too small for its hole, a smaller one would do",
        "1 x 10 H7 reamer HSS",
        ream("9.990 mm", "0.5 mm"),
        "ask",
        "It could be ground down to 9.8 H7: that is the customer's to say.",
        smaller_holes="9.8 H7",
    ),
    Worn(
        "a fit by its deviations",
        "1 x 10 mm reamer HSS",
        ream("10.053 mm", "0.4 mm"),
        "grind chamfer",
        "10 D8 is 10.040 to 10.062, its reamer 10.050 to 10.058 (a maker's page): 10.053 is as new.",
        hole="10 +0.040 +0.062",
    ),
    Worn(
        "chipped chamfer",
        "1 x 8 mm carbide reamer",
        ream("8.006 mm", chamfer_chip="0.3 mm"),
        "grind chamfer",
        "A chip 0.3 deep, square to a 45° chamfer, asks for 0.3 / sin 45° = 0.42 along the axis.",
    ),
    Worn(
        "reamer read over its wear",
        "1 x 10 H7 reamer HSS",
        ream("10.007 mm", "2 mm", diameter_worn="on"),
        "ask",
        "A worn margin reads small: the diameter is read again behind it.",
    ),
    Worn(
        "reamer worn along half its flutes",
        "1 x 10 H7 reamer HSS",
        ream("10.008 mm", "20 mm"),
        "ask",
        "More than half of the flutes would go: the customer may want a new one.",
    ),
    Worn(
        "cracked reamer",
        "1 x 10 H7 reamer HSS",
        {"diameter": "10.008 mm", "damage": "depth", "unmeasurable_reason": "cracked"},
        "scrap",
        "A cracked tool is never ground.",
    ),
    Worn(
        "reamer whose chamfer nobody read",
        "1 x 10 H7 reamer HSS",
        ream("10.008 mm", "0.5 mm", chamfer=""),
        "hand",
        "Without the chamfer's length nobody knows what stays of the margins: read it.",
    ),
]
