"""Worn tools as they come in a box, and what an experienced grinder would do with each, and why.

What a tool is goes in as a line at the counter would say it, what is wrong with it as the bench would type it. `decide`
is what the plan page must come to: "sound", "grind end", "grind sides", "grind both", "grind corner", "grind face",
"grind" (either way is right), "ask", "scrap", "hand" (the program works nothing out and says so), "refused". Reasons
are common practice unless a source is named.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Worn:
    name: str
    line: str
    readings: dict[str, str]
    decide: str
    why: str
    least_diameter: str = ""
    least_usable: str = ""
    clip: str = ""  # how wide a clip of the corner the customer takes

    @property
    def unit(self) -> str:
        """The unit of the tool's own size."""
        return "mm" if "mm" in self.line or "M8" in self.line else "in"


def chip(diameter: str, depth: str, reach: str, **more: str) -> dict[str, str]:
    """Readings of a tool whose deepest damage reaches so far back from its end."""
    return {"diameter": diameter, "damage": "depth", "damage_depth": depth, "reach": reach} | more


CORNERS = "Damage sits at the corners alone: the end is cut back past it and the diameter stays."
FLANK = "Wear along much of the flute is ground off the sides; cutting so much off the end would take the tool away."
FLOOR = "So long an end cut leaves a stub: it is the customer's tool, so he is asked."

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
ASK = [
    Worn(
        "customer's smallest diameter",
        "1 x 1/2 4 flute carbide end mill, flute 1.25",
        chip(".4995 in", ".008 in", ".70 in", flute_length="1.25 in"),
        "ask",
        "Clean sides leave it under the customer's own limit.",
        least_diameter=".490 in",
    ),
    Worn(
        "customer's usable length",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.5 mm", "4 mm", flute_length="26 mm"),
        "ask",
        "The end cut leaves less than the customer needs, and so deep a chip is too much off the sides.",
        least_usable="24 mm",
        least_diameter="11.5 mm",
    ),
    Worn(
        "wear to 40 of 45 mm",
        "1 x 25 mm 4 flute HSS end mill, flute 45 mm",
        chip("24.9 mm", "3 mm", "40 mm", flute_length="45 mm"),
        "ask",
        FLOOR,
    ),
    Worn(
        "snapped, a third gone",
        "1 x 10 mm 4 flute carbide end mill, flute 22 mm",
        {"diameter": "9.99 mm", "damage": "corners", "reach": "8 mm", "flute_length": "22 mm"},
        "ask",
        FLOOR,
    ),
    Worn(
        "deep chip half way",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.9 mm", "14 mm", flute_length="26 mm"),
        "ask",
        "Deep and far back: neither way leaves the tool it was.",
    ),
    Worn(
        "runout not read by tooth",
        "1 x 10 mm 4 flute carbide end mill, flute 22 mm",
        chip("9.99 mm", "0.03 mm", "15 mm", flute_length="22 mm", tir="0.3 mm"),
        "ask",
        "With so much runout each tooth must be read before stock is known.",
    ),
    Worn(
        "at the published reduction",
        "1 x 10 mm 4 flute carbide end mill, flute 22 mm",
        chip("9.05 mm", "0.04 mm", "15 mm", flute_length="22 mm"),
        "ask",
        "The diameter lost passes what makers publish as the most for this size.",
    ),
    Worn(
        "only as marked, near the limit",
        "1 x 1/2 4 flute carbide end mill, flute 1.25",
        chip(".500 in", ".002 in", ".70 in", flute_length="1.25 in", diameter_source="marked"),
        "ask",
        "Nobody measured it, and the limit is near.",
        least_diameter=".4945 in",
    ),
    Worn(
        "1 mm, deep wear",
        "1 x 1 mm 2 flute carbide end mill, flute 3 mm",
        chip("0.995 mm", "0.06 mm", "2 mm", flute_length="3 mm"),
        "ask",
        "More than a tenth of the diameter would go.",
    ),
    Worn(
        "negative rake after",
        "1 x 1/2 4 flute carbide end mill, flute 1.25",
        chip(".430 in", ".005 in", ".80 in", flute_length="1.25 in"),
        "ask",
        "It was ground often: the rake runs out as the diameter shrinks, and it is under the published share.",
    ),
]
SCRAP = [
    Worn(
        "past the core",
        "1 x 1/4 4 flute carbide end mill, flute 3/4",
        chip(".2498 in", ".060 in", ".70 in", flute_length=".75 in"),
        "scrap",
        "The damage reaches the core: nothing is left to cut a tooth from.",
    ),
    Worn(
        "6 mm through",
        "1 x 6 mm 4 flute carbide end mill, flute 13 mm",
        chip("5.99 mm", "1.6 mm", "12.5 mm", flute_length="13 mm"),
        "scrap",
        "The damage reaches the core: nothing is left to cut a tooth from.",
    ),
    Worn(
        "broken off",
        "1 x 8 mm 4 flute carbide end mill, flute 19 mm",
        {"damage": "depth", "unmeasurable_reason": "broken_off"},
        "scrap",
        "The flutes are gone.",
    ),
    Worn(
        "cracked",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        {"damage": "depth", "unmeasurable_reason": "cracked"},
        "scrap",
        "A cracked tool can burst at speed: it never goes back to a spindle.",
    ),
    Worn(
        "worn through",
        "1 x 1/2 4 flute HSS end mill, flute 1.25",
        {"damage": "depth", "unmeasurable_reason": "worn_through"},
        "scrap",
        "No edge is left to find.",
    ),
]
HAND = [
    Worn(
        "corner radius of unknown size",
        "1 x 12 mm 4 flute carbide corner radius end mill, flute 26 mm",
        chip("11.99 mm", "0.05 mm", "0.5 mm", flute_length="26 mm"),
        "hand",
        "Without its radius nobody knows what is left of the corner: read it first.",
    ),
    Worn(
        "carbide-tipped",
        "1 x 1 in 4 flute carbide tipped end mill",
        chip(".998 in", ".004 in", ".05 in"),
        "hand",
        "Brazed tips are thin and their seats are soft: judged by hand.",
    ),
    Worn(
        "indexable",
        "1 x 50 mm indexable face mill",
        {"diameter": "50 mm", "damage": "corners", "reach": "0.5 mm"},
        "refused",
        "Its inserts are changed, not ground.",
    ),
    Worn(
        "8 mm drill",
        "1 x 8 mm HSS drill",
        {"diameter": "7.98 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "A drill is sharpened at its point.",
    ),
    Worn(
        "1/2 in drill",
        "1 x 1/2 HSS drill",
        {"diameter": ".499 in", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "A drill is sharpened at its point.",
    ),
    Worn(
        "carbide drill",
        "1 x 10 mm carbide drill",
        {"diameter": "9.99 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "A drill is sharpened at its point.",
    ),
    Worn(
        "hand reamer",
        "1 x 12 mm HSS reamer",
        {"diameter": "12.01 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Only its chamfer is sharpened: its size is its use.",
    ),
    Worn(
        "machine reamer",
        "1 x 8 mm carbide reamer",
        {"diameter": "8.005 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Only its chamfer is sharpened: its size is its use.",
    ),
    Worn(
        "slitting saw",
        "1 x 80 mm HSS slitting saw",
        {"diameter": "79.8 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Never on its sides: they carry its clearance.",
    ),
    Worn(
        "side cutter",
        "1 x 100 mm HSS side and face cutter",
        {"diameter": "99.7 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Periphery and side teeth are ground apart.",
    ),
    Worn(
        "tap",
        "1 x M8 x 1.25 HSS tap",
        {"diameter": "8 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Only its chamfer, or its flutes' faces.",
    ),
    Worn(
        "inch tap",
        "1 x 1/4-20 HSS tap",
        {"diameter": ".25 in", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Only its chamfer, or its flutes' faces.",
    ),
    Worn(
        "countersink",
        "1 x 20 mm HSS countersink",
        {"diameter": "19.9 mm", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Ground on the face, all flutes alike.",
    ),
    Worn(
        "keyseat cutter",
        "1 x 1 in HSS keyseat cutter",
        {"diameter": ".995 in", "damage": "corners", "reach": "0.5 mm"},
        "hand",
        "Its width is its use.",
    ),
]
BALL = "A ball keeps its radius and moves back by what its arc needs, a little at the tip, more towards the side."
ROUND = "The same radius is ground again a little further back; the diameter stays."
FORMS = [
    Worn(
        "ball end",
        "1 x 6 mm 2 flute carbide ball nose end mill, flute 13 mm",
        chip("5.99 mm", "0.05 mm", "0.4 mm", flute_length="13 mm"),
        "grind end",
        BALL,
    ),
    Worn(
        "ball end, inch",
        "1 x 1/2 4 flute carbide ball end mill, flute 1.25",
        chip(".4995 in", ".004 in", ".05 in", flute_length="1.25 in"),
        "grind end",
        BALL,
    ),
    Worn(
        "3 mm ball, read by the angle",
        "1 x 3 mm 2 flute carbide ball nose end mill, flute 8 mm",
        chip("2.995 mm", "0.02 mm", "60°", flute_length="8 mm"),
        "grind end",
        BALL,
    ),
    Worn(
        "3/8 ball, tip",
        "1 x 3/8 2 flute carbide ball end mill, flute 1",
        chip(".3745 in", ".003 in", "30°", flute_length="1 in"),
        "grind end",
        BALL,
    ),
    Worn(
        "10 mm ball, worn up to the side",
        "1 x 10 mm 2 flute carbide ball nose end mill, flute 22 mm",
        chip("9.99 mm", "0.05 mm", "90°", flute_length="22 mm"),
        "grind",
        "At the side a cut-back is dear; a little off the sides, or the longer cut-back: both are sound work.",
    ),
    Worn(
        "12 mm ball, flank wear",
        "1 x 12 mm 4 flute carbide ball nose end mill, flute 26 mm",
        chip("11.99 mm", "0.03 mm", "18 mm", flute_length="26 mm"),
        "grind both",
        "Worn from the tip far up the flute: sides and ball are ground, and the radius shrinks with the sides.",
    ),
    Worn(
        "8 mm ball, deep and far back",
        "1 x 8 mm 2 flute carbide ball nose end mill, flute 19 mm",
        chip("7.99 mm", "0.6 mm", "8 mm", flute_length="19 mm"),
        "ask",
        FLOOR,
    ),
    Worn(
        "ball under the customer's length",
        "1 x 10 mm 2 flute carbide ball nose end mill, flute 22 mm",
        chip("9.99 mm", "0.3 mm", "90°", flute_length="22 mm"),
        "ask",
        "Moved back it is too short for the customer, ground smaller it is too thin for him.",
        least_usable="21.5 mm",
        least_diameter="9.8 mm",
    ),
    Worn(
        "sound ball",
        "1 x 10 mm 2 flute carbide ball nose end mill, flute 22 mm",
        {"diameter": "9.995 mm", "damage": "nothing", "flute_length": "22 mm"},
        "sound",
        "Nothing is worn: grinding would only shorten its life.",
    ),
    Worn(
        "ball through to the core",
        "1 x 6 mm 2 flute carbide ball nose end mill, flute 13 mm",
        chip("5.99 mm", "1.6 mm", "12.5 mm", flute_length="13 mm"),
        "scrap",
        "The damage reaches the core: nothing is left to cut a tooth from.",
    ),
    Worn(
        "cracked ball",
        "1 x 12 mm 2 flute carbide ball nose end mill, flute 26 mm",
        {"damage": "depth", "unmeasurable_reason": "cracked"},
        "scrap",
        "A cracked tool can burst at speed: it never goes back to a spindle.",
    ),
    Worn(
        "corner radius",
        "1 x 12 mm 4 flute carbide end mill R1, flute 26 mm",
        chip("11.99 mm", "0.05 mm", "0.5 mm", flute_length="26 mm"),
        "grind end",
        ROUND,
    ),
    Worn(
        "small radius, worn along its arc",
        "1 x 10 mm 4 flute carbide end mill R0.5, flute 22 mm",
        chip("9.99 mm", "0.03 mm", "70°", flute_length="22 mm"),
        "grind end",
        ROUND,
    ),
    Worn(
        "inch radius",
        "1 x 3/8 4 flute carbide end mill CR .030, flute 1",
        chip(".3745 in", ".003 in", ".02 in", flute_length="1 in"),
        "grind end",
        ROUND,
    ),
    Worn(
        "radius smaller than when new",
        "1 x 12 mm 4 flute carbide end mill R1, flute 26 mm",
        chip("11.99 mm", "0.04 mm", "60°", flute_length="26 mm", corner_size="0.8 mm"),
        "grind end",
        "What it has now counts, not what it had when new: that radius is kept.",
    ),
    Worn(
        "steel radius, flank wear",
        "1 x 16 mm 4 flute HSS end mill R2, flute 32 mm",
        chip("15.97 mm", "0.05 mm", "25 mm", flute_length="32 mm"),
        "grind both",
        "Worn from the end far up the flute: the sides, and the corner with the end, or a step stays.",
    ),
    Worn(
        "corner chipped past its arc",
        "1 x 10 mm 4 flute carbide end mill R1, flute 22 mm",
        chip("9.99 mm", "0.4 mm", "1.2 mm", flute_length="22 mm"),
        "grind end",
        "The end goes back past the chip, and the radius is put on again.",
    ),
    Worn(
        "radius, snapped",
        "1 x 10 mm 4 flute carbide end mill R1, flute 22 mm",
        {"diameter": "9.99 mm", "damage": "corners", "reach": "8 mm", "flute_length": "22 mm"},
        "ask",
        FLOOR,
    ),
    Worn(
        "sound radius",
        "1 x 8 mm 4 flute carbide end mill R0.5, flute 19 mm",
        {"diameter": "7.995 mm", "damage": "nothing", "flute_length": "19 mm"},
        "sound",
        "Nothing is worn: grinding would only shorten its life.",
    ),
    Worn(
        "chipped corners, no clip agreed",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.15 mm", "0.25 mm", flute_length="26 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "chipped corners, no length to spare, clip agreed",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.15 mm", "0.25 mm", flute_length="26 mm"),
        "grind corner",
        "The customer takes a clipped corner and needs all of the length: the chips go with the clip.",
        least_usable="25.9 mm",
        least_diameter="11.8 mm",
        clip="0.5 mm",
    ),
    Worn(
        "chipped corners, no length to spare, no clip agreed",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        chip("11.99 mm", "0.15 mm", "0.25 mm", flute_length="26 mm"),
        "ask",
        "A clip would save the length, but it is the customer's to take or not.",
        least_usable="25.9 mm",
        least_diameter="11.8 mm",
    ),
    Worn(
        "gash passed",
        "1 x 10 mm 4 flute carbide end mill, flute 22 mm",
        chip("9.99 mm", "0.08 mm", "0.6 mm", flute_length="22 mm", gash_length="0.5 mm"),
        "grind end",
        "The end is cut back past its gash and gashed again: more work, told with its price, not a reason to ask.",
    ),
    Worn(
        "gash long enough",
        "1 x 10 mm 4 flute carbide end mill, flute 22 mm",
        chip("9.99 mm", "0.08 mm", "0.6 mm", flute_length="22 mm", gash_length="2 mm"),
        "grind end",
        CORNERS,
    ),
    Worn(
        "end teeth worn, recess shallow",
        "1 x 12 mm 4 flute carbide end mill, flute 26 mm",
        {
            "diameter": "11.99 mm",
            "damage": "nothing",
            "end_depth": "0.2 mm",
            "flute_length": "26 mm",
            "recess": "0.1 mm",
            "centre_cutting": "no",
        },
        "grind end",
        "Only the end teeth are worn; the recess in the centre is ground again.",
    ),
    Worn(
        "rougher",
        "1 x 20 mm 4 flute HSS roughing end mill, flute 38 mm",
        {"diameter": "19.9 mm", "damage": "depth", "back": "0.3 mm", "flute_length": "38 mm"},
        "grind face",
        "A rougher is ground on its face, or its form is lost.",
    ),
    Worn(
        "inch rougher",
        "1 x 3/4 4 flute carbide roughing end mill, flute 1.5",
        {
            "diameter": ".748 in",
            "damage": "depth",
            "back": ".010 in",
            "flute_length": "1.5 in",
            "tooth_width": ".12 in",
        },
        "grind face",
        "A rougher is ground on its face, or its form is lost.",
    ),
    Worn(
        "rougher, half its tooth gone",
        "1 x 20 mm 4 flute HSS roughing end mill, flute 38 mm",
        {"diameter": "19.9 mm", "damage": "depth", "back": "1.2 mm", "flute_length": "38 mm", "tooth_width": "2 mm"},
        "ask",
        "Less than half of the tooth's width would be left to carry the cut.",
    ),
    Worn(
        "rougher, corners broken",
        "1 x 16 mm 4 flute carbide roughing end mill, flute 32 mm",
        {"diameter": "15.95 mm", "damage": "corners", "reach": "0.8 mm", "flute_length": "32 mm"},
        "grind end",
        CORNERS,
    ),
    Worn(
        "rougher under the customer's smallest",
        "1 x 20 mm 4 flute HSS roughing end mill, flute 38 mm",
        {"diameter": "19.5 mm", "damage": "depth", "back": "0.4 mm", "flute_length": "38 mm"},
        "ask",
        "A face takes the diameter along by its relief: past what the customer named, he is asked.",
        least_diameter="19.45 mm",
    ),
]
TOOLS = [*CORNER_WEAR, *FLANK_WEAR, *SOUND, *ASK, *SCRAP, *FORMS, *HAND]
