"""Worn end mills that are plainly ground or sound, and what an experienced grinder would do with each, and why.

Reasons are common practice unless a source is named.
"""

from .worn import CORNERS, FLANK, Worn, chip

CORNER_WEAR = [
    Worn(
        "6 mm corners",
        "1 x 6 mm 4 flute carbide end mill, flute 16 mm",
        chip("5.995 mm", "0.05 mm", "0.4 mm", flute_length="16 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "12 mm corners",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.1 mm", "0.6 mm", flute_length="26 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "half inch corners",
        "1 x 1/2 4 flute carbide end mill, flute 1.25",
        chip(".4995 in", ".004 in", ".030 in", flute_length="1.25 in"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "quarter inch chip",
        "1 x 1/4 3 flute carbide end mill, flute 3/4",
        chip(".2498 in", ".004 in", ".060 in", flute_length=".75 in"),
        "grind",
        "A small chip near the end: a little off the sides or the end, both are sound work.",
    ),
    Worn(
        "20 mm broken corners",
        "1 x 20 mm 4 flute carbide end mill, flute 38 mm",
        {"diameter": "19.98 mm", "damage": "corners", "reach": "0.8 mm", "flute_length": "38 mm"},
        "grind end",
        CORNERS,
    ),
    Worn(
        "slot drill, end worn",
        "1 x 10 mm 2 flute carbide end mill, flute 22 mm",
        {"diameter": "9.99 mm", "damage": "nothing", "end_depth": "0.1 mm", "flute_length": "22 mm"},
        "grind end",
        "Only the end teeth are worn.",
    ),
    Worn(
        "3 mm corners",
        "1 x 3 mm 2 flute carbide end mill, flute 8 mm",
        chip("2.995 mm", "0.02 mm", "0.15 mm", flute_length="8 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "2 mm corners",
        "1 x 2 mm 2 flute carbide end mill, flute 6 mm",
        chip("1.995 mm", "0.02 mm", "0.12 mm", flute_length="6 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "25 mm steel corners",
        "1 x 25 mm 4 flute HSS end mill, flute 45 mm",
        chip("24.95 mm", "0.3 mm", "1.5 mm", flute_length="45 mm"),
        "grind",
        "Sides or end: both are sound work on so stout a tool.",
    ),
    Worn(
        "16 mm steel end wear",
        "1 x 16 mm 4 flute HSS end mill, flute 32 mm",
        {"diameter": "15.97 mm", "damage": "nothing", "end_depth": "0.4 mm", "flute_length": "32 mm"},
        "grind end",
        "Only the end teeth are worn.",
    ),
    Worn(
        "left-hand corners",
        "1 x 8 mm 4 flute carbide end mill left hand, flute 19 mm",
        chip("7.99 mm", "0.06 mm", "0.5 mm", flute_length="19 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "unequal index corners",
        "1 x 10 mm 4 flute carbide end mill unequal index, flute 22 mm",
        chip("9.985 mm", "0.08 mm", "0.6 mm", flute_length="22 mm", method="swept"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "5 mm three-flute corners",
        "1 x 5 mm 3 flute carbide end mill, flute 13 mm",
        chip("4.99 mm", "0.04 mm", "0.3 mm", flute_length="13 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "six flutes, corners",
        "1 x 12 mm 6 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.06 mm", "0.4 mm", flute_length="26 mm"),
        "grind end",
        CORNERS,
    ),
]
FLANK_WEAR = [
    Worn(
        "12 mm flank wear",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.03 mm", "18 mm", flute_length="26 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "half inch flank wear",
        "1 x 1/2 4 flute carbide end mill, flute 1.25",
        chip(".4995 in", ".002 in", ".80 in", flute_length="1.25 in"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "16 mm steel flank wear",
        "1 x 16 mm 4 flute HSS end mill, flute 32 mm",
        chip("15.97 mm", "0.15 mm", "25 mm", flute_length="32 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "three-flute for aluminium",
        "1 x 10 mm 3 flute carbide end mill, flute 22 mm",
        chip("9.99 mm", "0.04 mm", "15 mm", flute_length="22 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "20 mm six-flute steel",
        "1 x 20 mm 6 flute HSS end mill, flute 38 mm",
        chip("19.97 mm", "0.1 mm", "30 mm", flute_length="38 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "one inch steel",
        "1 x 1 in 4 flute HSS end mill, flute 1.5",
        chip(".998 in", ".005 in", "1.0 in", flute_length="1.5 in"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "6 mm flank wear",
        "1 x 6 mm 4 flute carbide end mill, flute 13 mm",
        chip("5.995 mm", "0.02 mm", "8 mm", flute_length="13 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "3 mm flank wear",
        "1 x 3 mm 4 flute carbide end mill, flute 8 mm",
        chip("2.995 mm", "0.01 mm", "5 mm", flute_length="8 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "coated 12 mm",
        "1 x 12 mm 4 flute carbide end mill AlTiN, flute 26 mm",
        chip("11.99 mm", "0.03 mm", "20 mm", flute_length="26 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "25 mm carbide",
        "1 x 25 mm 4 flute carbide end mill, flute 45 mm",
        chip("24.98 mm", "0.08 mm", "35 mm", flute_length="45 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "8 mm two-flute",
        "1 x 8 mm 2 flute carbide end mill, flute 19 mm",
        chip("7.99 mm", "0.03 mm", "12 mm", flute_length="19 mm"),
        "grind sides",
        FLANK,
    ),
    Worn(
        "sides and end",
        "1 x 16 mm 4 flute carbide end mill, flute 32 mm",
        chip("15.98 mm", "0.04 mm", "20 mm", flute_length="32 mm", end_depth="0.15 mm"),
        "grind both",
        "Both flank and end are worn.",
    ),
]
SOUND = [
    Worn(
        "sound 10 mm",
        "1 x 10 mm 4 flute carbide end mill, flute 22 mm",
        {"diameter": "9.995 mm", "damage": "nothing", "flute_length": "22 mm"},
        "sound",
        "Nothing is worn: grinding would only shorten its life.",
    ),
    Worn(
        "sound half inch",
        "1 x 1/2 2 flute HSS end mill, flute 1",
        {"diameter": ".4998 in", "damage": "nothing", "flute_length": "1 in"},
        "sound",
        "Nothing is worn: grinding would only shorten its life.",
    ),
]
