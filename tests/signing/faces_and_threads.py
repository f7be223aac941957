"""Worn countersinks, chamfer mills and taps, and what an experienced grinder would do with each, and why.

That a cam-relieved countersink is ground on its face alone, indexed and never fed parallel: common practice. Taps:
chamfers by DIN 2197 (makers' pages); that their chamfer is ground by hand: common practice.
"""

from .worn import Worn

FACE = "Only the face is ground, by an index: relief and angle stay, the tool gets a little smaller."


def sink(diameter: str, land: str = "", **more: str) -> dict[str, str]:
    """Readings of a countersink: the largest diameter that cuts, and the widest wear at its rim."""
    return {"diameter": diameter, "damage": "depth", "rim_land": land} | more


THREAD = "Its chamfer is ground by hand, thread and size stay: the customer is asked whether that is worth it."


def thread(wear: str, chamfer: str, length: str, **more: str) -> dict[str, str]:
    """Readings of a tap: wear at its front, and how long chamfer and thread are."""
    return {"damage": "depth", "front_wear": wear, "chamfer_length": chamfer, "thread_length": length} | more


THREADS = [
    Worn("M8 tap", "1 x M8 x 1.25 HSS tap", thread("0.8 mm", "5 mm", "22 mm"), "ask", THREAD),
    Worn("coarse tap by its size alone", "1 x M6 HSS tap", thread("0.5 mm", "2 mm", "19 mm"), "ask", THREAD),
    Worn("inch tap", "1 x 1/4-20 UNC HSS tap", thread(".030 in", ".200 in", "1 in"), "ask", THREAD),
    Worn("numbered tap", "1 x #10-32 HSS tap", thread(".020 in", ".100 in", ".8 in"), "ask", THREAD),
    Worn(
        "sharp tap",
        "1 x M10 x 1.5 HSS tap",
        {"damage": "nothing", "chamfer_length": "6 mm", "thread_length": "24 mm"},
        "sound",
        "Nothing is worn: it goes back as it came.",
    ),
    Worn(
        "tap worn past its thread",
        "1 x M8 x 1.25 HSS tap",
        thread("18 mm", "5 mm", "22 mm"),
        "scrap",
        "18 off 17 of full thread leaves none.",
    ),
    Worn("tap of unknown thread", "1 x 8 mm HSS tap", thread("0.8 mm", "5 mm", "22 mm"), "hand", "Read it first."),
    Worn(
        "cracked tap",
        "1 x M8 x 1.25 HSS tap",
        {"damage": "depth", "unmeasurable_reason": "cracked"},
        "scrap",
        "A cracked tool is never ground.",
    ),
]
FACES = [
    Worn("20 mm countersink", "1 x 20 mm HSS countersink 90° 3 flute", sink("19.9 mm", "0.3 mm"), "grind face", FACE),
    Worn(
        "chamfer mill, chipped face",
        "1 x 1/2 4 flute carbide chamfer mill 90 deg",
        sink(".498 in", face_chip=".010 in"),
        "grind face",
        FACE,
    ),
    Worn(
        "countersink of 82°",
        "1 x 3/4 HSS countersink 82° 6 flute",
        sink(".748 in", ".008 in"),
        "grind face",
        FACE,
    ),
    Worn(
        "sharp countersink",
        "1 x 16 mm HSS countersink 90° 3 flute",
        {"diameter": "16 mm", "damage": "nothing"},
        "sound",
        "Nothing is worn: it goes back as it came.",
    ),
    Worn(
        "countersink without an angle",
        "1 x 20 mm HSS countersink 3 flute",
        sink("19.9 mm", "0.3 mm"),
        "hand",
        "Its angle is its use: read it first.",
    ),
    Worn(
        "countersink worn through its teeth",
        "1 x 10 mm HSS countersink 90° 3 flute",
        sink("9.9 mm", "1.2 mm", tooth_thickness="1.1 mm"),
        "scrap",
        "1.2 off a tooth that is 1.1 thick leaves none.",
    ),
    Worn(
        "countersink that may get too small",
        "1 x 12 mm HSS countersink 90° 3 flute",
        sink("12 mm", "0.3 mm"),
        "ask",
        "0.35 off the face takes 0.12 off the diameter at 10° relief, 0.20 at 16°: 11.85 may be passed.",
        least_diameter="11.85 mm",
    ),
    Worn(
        "cracked chamfer mill",
        "1 x 8 mm carbide chamfer mill 90° 2 flute",
        {"diameter": "8 mm", "damage": "depth", "unmeasurable_reason": "cracked"},
        "scrap",
        "A cracked tool is never ground.",
    ),
]
