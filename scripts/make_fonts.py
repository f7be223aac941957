#!/usr/bin/env python3
"""Make the shop's fonts from the vendored source: woff2 for the pages, TTF for the papers.

ReportLab applies no OpenType features, so the slashed zero is baked in; a page must look like its
paper, so both get it. The digits of the source are tabular already, and the build fails should an
edition change that. The source's licence reserves its name for unchanged files: these are "Shop Sans".
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable

from fontTools import subset  # type: ignore[import-untyped]  # has no types
from fontTools.pens.ttGlyphPen import TTGlyphPen  # type: ignore[import-untyped]  # has no types
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # has no types

FAMILY = "Shop Sans"
RESERVED = "Plex"
STYLES = ("Regular", "Medium", "Bold")
PAPER_STYLES = ("Regular", "Bold")

# Stroke of the signs drawn here, in font units, matched by eye to each style's letters.
STROKE = {"Regular": 74, "Medium": 92, "Bold": 130}
CAP_HEIGHT = 698

LETTERS = [
    *range(0x20, 0x7F),
    *range(0xA0, 0x180),
    *range(0x218, 0x21C),
    *range(0x2C6, 0x2DE),
    *range(0x370, 0x400),
    *range(0x400, 0x530),
    *range(0x1E80, 0x1E86),
    0x1E9E,
]
PUNCTUATION = [
    *range(0x2000, 0x2010),
    *range(0x2010, 0x2023),
    0x2026,
    *range(0x202F, 0x2034),
    0x2039,
    0x203A,
    0x2044,
    0x2070,
    *range(0x2074, 0x208A),
    0x20AC,
    0x20B4,
    0x20BA,
    0x2116,
    0x2122,
]
MEASURES = [
    *range(0x2150, 0x215F),
    *range(0x2190, 0x219A),
    0x2202,
    0x2206,
    0x220F,
    0x2211,
    0x2212,
    0x2215,
    0x221A,
    0x221E,
    0x2248,
    0x2260,
    0x2264,
    0x2265,
    0x2713,
    0x25CA,
]
CHARACTERS = [*LETTERS, *PUNCTUATION, *MEASURES]

# What a page or paper of this trade cannot do without; a build that lacks one of these is refused.
NEEDED = "0123456789.,+-−±≤≥≈≠×÷√°′″µμØø⌀½¼¾⅛⅜⅝⅞←↑→↓✓□■●○◐⊖čŁłßÅÖñΔΩЖя€…–—‑\u00a0\u2009\u202f"


def make_fonts(sources: dict[str, bytes]) -> dict[str, bytes]:
    """The made files by their path in the project, from the source woff2 of each style."""
    made = {}
    for style in STYLES:
        made[f"static/fonts/ShopSans-{style}.woff2"] = build(sources[style], style, "woff2", ["kern", "mark"])
    for style in PAPER_STYLES:
        made[f"regrind/paper/fonts/ShopSans-{style}.ttf"] = build(sources[style], style, None, [])
        made[f"regrind/paper/fonts/ShopSansPlain-{style}.ttf"] = build(sources[style], style, None, [], slashed=False)
    return made


def build(source: bytes, style: str, flavor: str | None, features: list[str], *, slashed: bool = True) -> bytes:
    """One file. slashed: with the slashed zero; without it for small letters, where the slash makes an eight of it."""
    font = TTFont(io.BytesIO(source), recalcTimestamp=False)
    if slashed:
        bake_slashed_zero(font)
    add_signs(font, STROKE[style])
    rename(font, style, FAMILY if slashed else f"{FAMILY} Plain")
    cut_down(font, features)
    refuse_unfit(font)
    font.flavor = flavor
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def bake_slashed_zero(font: TTFont) -> None:
    """Map U+0030 to the glyph that the font's own `zero` feature would put there."""
    table = font["GSUB"].table
    lookup = next(
        table.LookupList.Lookup[record.Feature.LookupListIndex[0]]
        for record in table.FeatureList.FeatureRecord
        if record.FeatureTag == "zero"
    )
    first = lookup.SubTable[0]
    swap = getattr(first, "mapping", None) or first.ExtSubTable.mapping
    for characters in font["cmap"].tables:
        plain = characters.cmap.get(0x30)
        if plain in swap:  # tables may share one mapping, already changed
            characters.cmap[0x30] = swap[plain]


def add_signs(font: TTFont, stroke: int) -> None:
    """Draw the signs that the source lacks: the diameter sign, a box to tick and the three states."""
    for code, (advance, draw) in SIGNS.items():
        name = f"uni{code:04X}"
        pen = TTGlyphPen(None)
        draw(pen, stroke)
        font.setGlyphOrder([*font.getGlyphOrder(), name])
        glyph = font["glyf"][name] = pen.glyph()
        glyph.recalcBounds(font["glyf"])
        font["hmtx"][name] = (advance, glyph.xMin)
        for characters in font["cmap"].tables:
            if characters.isUnicode():
                characters.cmap[code] = name


def disc(pen: TTGlyphPen, cx: float, cy: float, radius: float, *, hole: bool = False) -> None:
    """A circle of eight quadratic arcs; a hole runs the other way round."""
    turn = 1 if hole else -1
    far = radius / math.cos(math.pi / 8)
    pen.moveTo((round(cx + radius), round(cy)))
    for eighth in range(8):
        mid, end = (turn * math.pi / 4 * (eighth + part) for part in (0.5, 1))
        pen.qCurveTo(
            (round(cx + far * math.cos(mid)), round(cy + far * math.sin(mid))),
            (round(cx + radius * math.cos(end)), round(cy + radius * math.sin(end))),
        )
    pen.closePath()


def ring(pen: TTGlyphPen, stroke: int, radius: float = 300) -> None:
    disc(pen, 350, CAP_HEIGHT / 2, radius)
    disc(pen, 350, CAP_HEIGHT / 2, radius - stroke, hole=True)


def polygon(pen: TTGlyphPen, *points: tuple[float, float]) -> None:
    pen.moveTo(points[0])
    for point in points[1:]:
        pen.lineTo(point)
    pen.closePath()


def square(pen: TTGlyphPen, inset: int, *, hole: bool = False) -> None:
    low, high = 50 + inset, 650 - inset
    corners = [(low, low), (low, high), (high, high), (high, low)]
    polygon(pen, *(reversed(corners) if hole else corners))


def draw_diameter(pen: TTGlyphPen, stroke: int) -> None:
    ring(pen, stroke, 250)
    near, far, middle = round(310 - stroke * 0.7), 310, round(CAP_HEIGHT / 2)
    corners = [(-far, -near), (near, far), (far, near), (-near, -far)]
    polygon(pen, *((350 + x, middle + y) for x, y in corners))


def draw_box(pen: TTGlyphPen, stroke: int) -> None:
    square(pen, 0)
    square(pen, round(stroke * 0.8), hole=True)


def draw_full_box(pen: TTGlyphPen, stroke: int) -> None:
    square(pen, 0)


def draw_full_disc(pen: TTGlyphPen, stroke: int) -> None:
    disc(pen, 350, CAP_HEIGHT / 2, 300)


def draw_half_disc(pen: TTGlyphPen, stroke: int) -> None:
    ring(pen, stroke)
    inner, middle = 300 - stroke / 2, CAP_HEIGHT / 2
    far = inner / math.cos(math.pi / 8)
    pen.moveTo((350, round(middle - inner)))
    for eighth in range(4):
        mid, end = (-math.pi / 2 - math.pi / 4 * (eighth + part) for part in (0.5, 1))
        pen.qCurveTo(
            (round(350 + far * math.cos(mid)), round(middle + far * math.sin(mid))),
            (round(350 + inner * math.cos(end)), round(middle + inner * math.sin(end))),
        )
    pen.closePath()


def draw_barred_ring(pen: TTGlyphPen, stroke: int) -> None:
    ring(pen, stroke)
    low, high = round((CAP_HEIGHT - stroke) / 2), round((CAP_HEIGHT + stroke) / 2)
    polygon(pen, (80, low), (80, high), (620, high), (620, low))


SIGNS = {
    0x2300: (700, draw_diameter),
    0x25A1: (700, draw_box),
    0x25A0: (700, draw_full_box),
    0x25CB: (700, ring),
    0x25CF: (700, draw_full_disc),
    0x25D0: (700, draw_half_disc),
    0x2296: (700, draw_barred_ring),
}


def rename(font: TTFont, style: str, family: str) -> None:
    """Give the changed file its own name; the copyright and licence lines stay as they are."""
    name = font["name"]
    for record in list(name.names):
        if record.nameID not in (0, 8, 9, 11, 13, 14):
            name.removeNames(nameID=record.nameID)
    full = f"{family} {style}"
    linked = style in ("Regular", "Bold")
    texts = {
        1: family if linked else full,
        2: style if linked else "Regular",
        3: f"{full} 1",
        4: full,
        5: "Version 1.000",
        6: f"{family.replace(' ', '')}-{style}",
        16: family,
        17: style,
    }
    for identity, text in texts.items():
        name.setName(text, identity, 3, 1, 0x409)
        name.setName(text, identity, 1, 0, 0)


def cut_down(font: TTFont, features: list[str]) -> None:
    options = subset.Options(
        layout_features=features,
        hinting=False,
        notdef_outline=True,
        name_IDs=["*"],
        name_legacy=True,
        glyph_names=False,
        legacy_cmap=False,
    )
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[*CHARACTERS, *SIGNS])
    cutter.subset(font)


def refuse_unfit(font: TTFont) -> None:
    """Raise ValueError where a needed character, an even digit width or the free name is missing."""
    glyphs = font.getBestCmap()
    missing = [character for character in NEEDED if ord(character) not in glyphs]
    if missing:
        raise ValueError(f"the font lacks {missing}")
    if len({font["hmtx"][glyphs[ord(digit)]][0] for digit in "0123456789"}) != 1:
        raise ValueError("the digits are not of one width")
    if any(RESERVED in str(record) for record in font["name"].names if record.nameID in (1, 3, 4, 6, 16)):
        raise ValueError(f"a changed font may not be called {RESERVED}")


def read_sources(read: Callable[[str], bytes]) -> dict[str, bytes]:
    """The source woff2 of each style; `read` gives a member of the unpacked package."""
    return {style: read(f"fonts/complete/woff2/IBMPlexSans-{style}.woff2") for style in STYLES}
