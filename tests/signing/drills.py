"""Worn twist drills, and what an experienced grinder would do with each, and why.

Reasons are common practice unless a source is named.
"""

from .worn import Worn

MARGIN = "All of the worn margin is ground away (read: a maker's course on drill wear), the diameter stays."
LIP = "Chips of the lips are ground out at the point."


def drill(diameter: str, margin: str = "", **more: str) -> dict[str, str]:
    """Readings of a drill: the diameter behind its wear, and how far back its margin is worn."""
    return {"diameter": diameter, "damage": "depth", "worn_margin": margin} | more


DRILLS = [
    Worn(
        "8 mm drill",
        "1 x 8 mm HSS drill, flute length 75 mm",
        drill("7.98 mm", "0.9 mm"),
        "grind point",
        MARGIN,
    ),
    Worn(
        "1/2 in drill, corner gone",
        "1 x 1/2 HSS drill, flute length 4.5 in",
        drill(".499 in", ".030 in", corner_chip=".060 in"),
        "grind point",
        "The chipped corner reaches further back than the worn margin: both go.",
    ),
    Worn(
        "carbide drill, chipped lip",
        "1 x 10 mm carbide drill 140 deg, flute length 60 mm",
        drill("9.99 mm", lip_chip="0.3 mm"),
        "grind point",
        LIP,
    ),
    Worn(
        "jobber whose flute nobody gave",
        "1 x 6 mm HSS drill",
        drill("5.98 mm", "0.6 mm", flute_length="57 mm"),
        "grind point",
        "The flute is read where the box does not say it.",
    ),
    Worn(
        "#7 drill, chisel worn",
        "1 x #7 drill HSS, flute length 2.4",
        drill(".2005 in", ".010 in", chisel_wear=".015 in"),
        "grind point",
        "A worn chisel edge asks for as much along the axis.",
    ),
    Worn(
        "sharp drill",
        "1 x 12 mm HSS drill, flute length 100 mm",
        {"diameter": "11.98 mm", "damage": "nothing"},
        "sound",
        "Nothing is worn: it goes back as it came.",
    ),
    Worn(
        "drill measured over its wear",
        "1 x 10 mm HSS drill, flute length 87 mm",
        drill("9.90 mm", "2 mm", diameter_worn="on"),
        "ask",
        "A worn margin reads small: the diameter is read again behind it before anybody grinds.",
    ),
    Worn(
        "drill worn down half its flute",
        "1 x 10 mm HSS drill, flute length 87 mm",
        drill("9.98 mm", "45 mm"),
        "ask",
        "More than half of the flute is cut off: the customer may want a new drill.",
    ),
    Worn(
        "drill that gets too short",
        "1 x 8 mm HSS drill, flute length 75 mm",
        drill("7.98 mm", "20 mm"),
        "ask",
        "Shorter than what the customer still can use: asked, not waved through.",
        least_usable="60 mm",
    ),
    Worn(
        "drill without a flute left",
        "1 x 6 mm HSS drill, flute length 14 mm",
        drill("5.98 mm", "14 mm"),
        "scrap",
        "Nothing of the flute would be left.",
    ),
    Worn(
        "split drill",
        "1 x 10 mm HSS drill, flute length 87 mm",
        {"diameter": "9.98 mm", "damage": "depth", "unmeasurable_reason": "cracked"},
        "scrap",
        "A cracked or split drill is never sharpened (read: a trade text for fitters).",
    ),
    Worn(
        "long carbide drill, corner chipped",
        "1 x 5 mm carbide drill 140 deg, flute length 80 mm",
        drill("4.995 mm", "0.2 mm", corner_chip="0.7 mm"),
        "grind point",
        "Carbide chips at the corner: back past the chip, and the point angle again.",
    ),
    Worn(
        "step drill",
        "1 x 10 mm HSS step drill",
        {"diameter": "9.98 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Each step is a cutter of its own: by hand.",
    ),
]
