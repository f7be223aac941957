"""Worn side cutters, saws and keyseat cutters, and what an experienced grinder would do with each, and why.

That a saw is never ground on its sides, that periphery and side teeth are ground apart, that a ground side makes
the slot narrower: common practice. That a Woodruff cutter's diameter is the key's: read on a maker's page. Figures are
worked by hand with 0.05 mm left to finish.
"""

from .worn import Worn

PERIPHERY = "Damage round the periphery alone: all teeth down to the deepest mark, the width stays."
SAW = "Never on its sides: they carry its clearance."


def disc(diameter: str, width: str, **more: str) -> dict[str, str]:
    """Readings of a cutter with 20 teeth: over the highest tooth, and its width."""
    return {"diameter": diameter, "damage": "depth", "width": width, "teeth": "20"} | more


CUTTERS = [
    Worn(
        "side cutter, dull all round",
        "1 x 100 mm HSS side and face cutter 20 teeth",
        disc("99.7 mm", "10 mm", rim_depth="0.15 mm", tir="0.03 mm"),
        "grind periphery",
        PERIPHERY,
    ),
    Worn(
        "side cutter, chipped side",
        "1 x 100 mm HSS side and face cutter 20 teeth",
        disc("99.7 mm", "10 mm", left_depth="0.2 mm", left_reach="5 mm"),
        "ask",
        "Ground on its side it cuts a narrower slot, and nobody agreed how narrow.",
    ),
    Worn(
        "side cutter, chipped side, width agreed",
        "1 x 100 mm HSS side and face cutter 20 teeth",
        disc("99.7 mm", "10 mm", left_depth="0.2 mm", left_reach="5 mm"),
        "grind",
        "10 less 0.2 and the finish stays above the 9.5 that were agreed.",
        narrowest="9.5 mm",
    ),
    Worn(
        "side cutter that would get too narrow",
        "1 x 80 mm HSS side cutter 20 teeth",
        disc("79.6 mm", "8 mm", left_depth="0.3 mm", left_reach="30 mm", rim_depth="0.1 mm"),
        "ask",
        "8 less 0.3 is below the 7.9 that were agreed, and 30 mm off the rim is no regrind.",
        narrowest="7.9 mm",
    ),
    Worn(
        "corner of the teeth gone",
        "1 x 100 mm HSS side and face cutter 20 teeth",
        disc("99.7 mm", "10 mm", rim_depth="0.4 mm", left_depth="0.3 mm", left_reach="0.35 mm"),
        "grind periphery",
        "The side mark ends 0.35 in from the rim: grinding the periphery past it takes both.",
    ),
    Worn(
        "sound side cutter",
        "1 x 100 mm HSS side and face cutter 20 teeth",
        {"diameter": "99.9 mm", "damage": "nothing", "width": "10 mm"},
        "sound",
        "Nothing is worn: it goes back as it came.",
    ),
    Worn(
        "slitting saw, dull teeth",
        "1 x 80 mm HSS slitting saw 64 teeth",
        {"diameter": "79.8 mm", "damage": "depth", "width": "1.6 mm", "rim_depth": "0.2 mm"},
        "grind periphery",
        "Only round the periphery. " + SAW,
    ),
    Worn(
        "slitting saw, scored side near the rim",
        "1 x 80 mm HSS slitting saw 64 teeth",
        {"diameter": "79.8 mm", "damage": "depth", "width": "1.6 mm", "left_depth": "0.05 mm", "left_reach": "0.6 mm"},
        "grind periphery",
        "Down past the mark, never on the side. " + SAW,
    ),
    Worn(
        "slitting saw, scored deep into its body",
        "1 x 80 mm HSS slitting saw 64 teeth",
        {"diameter": "79.8 mm", "damage": "depth", "width": "1.6 mm", "left_depth": "0.1 mm", "left_reach": "39.9 mm"},
        "scrap",
        "Nothing is left when the periphery goes past the mark, and the side is not ground.",
    ),
    Worn(
        "slitting saw, teeth almost gone",
        "1 x 100 mm HSS slitting saw 48 teeth",
        {"diameter": "95 mm", "damage": "depth", "width": "2 mm", "rim_depth": "2 mm", "gullet": "1.5 mm"},
        "scrap",
        "2 mm off the radius of teeth with gullets of 1.5 leaves no chip room at all.",
    ),
    Worn(
        "saw whose width nobody read",
        "1 x 80 mm HSS slitting saw 64 teeth",
        {"diameter": "79.8 mm", "damage": "depth", "rim_depth": "0.2 mm"},
        "hand",
        "The width is its use: read it first.",
    ),
    Worn(
        "keyseat cutter",
        "1 x 1 in HSS keyseat cutter 8 teeth",
        {"diameter": ".995 in", "damage": "depth", "width": ".250 in", "rim_depth": ".004 in"},
        "grind periphery",
        "A little off the periphery; its width, which is its use, stays.",
    ),
    Worn(
        "Woodruff cutter past its size",
        "1 x 1 in HSS woodruff cutter 8 teeth",
        {"diameter": ".995 in", "damage": "depth", "width": ".250 in", "rim_depth": ".010 in"},
        "ask",
        "A Woodruff cutter's diameter is the key's: below .985 it cuts the seat too shallow.",
        least_diameter=".985 in",
    ),
    Worn(
        "cracked saw",
        "1 x 80 mm HSS slitting saw 64 teeth",
        {"diameter": "79.8 mm", "damage": "depth", "unmeasurable_reason": "cracked"},
        "scrap",
        "A cracked tool is never ground.",
    ),
]
