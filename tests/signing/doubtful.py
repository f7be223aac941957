"""Worn tools that are asked about, scrapped or decided by hand, and why.

Reasons are common practice unless a source is named.
"""

from .worn import FLOOR, Worn, chip

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
]
