"""Worn countersinks, chamfer mills and taps, and what an experienced grinder would do with each, and why.

That a cam-relieved countersink is ground on its face alone, indexed and never fed parallel: common practice. Taps:
chamfers by DIN 2197 (makers' pages); that their chamfer is ground by hand: common practice.
"""

from .worn import Worn

FACE = "Only the face is ground, by an index: relief and angle stay, the tool gets a little smaller."


def sink(diameter: str, land: str = "", **more: str) -> dict[str, str]:
    """Readings of a countersink: the largest diameter that cuts, and the widest wear at its rim."""
    return {"diameter": diameter, "damage": "depth", "rim_land": land} | more


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
