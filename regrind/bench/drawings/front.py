"""The front of a tool in its plane through the axis, drawn true: the outline as received, and the one after.

A kind with a plan of its own says both as points: (radius, back from the corner as it was), in mm, from the axis out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.shop.web import svg

WIDTH, HEIGHT, PAD, FOOT = 360, 260, 24, 78


@dataclass(frozen=True)
class Outlines:
    """What is drawn: the outlines before and after, how far back damage reaches along the margin, words for each."""

    before: Sequence[svg.Point]
    after: Sequence[svg.Point]
    worn_mm: float
    was: str
    will: str


def draw_front(outlines: Outlines | None, option: Mapping[str, Any], unit: Unit) -> SafeString | str:
    """Both outlines at one scale, mirrored about the axis; '' where the kind draws none or nothing is ground."""
    if outlines is None or not option["grind"]:
        return ""
    shown = [*outlines.before, *outlines.after]
    radius, top, foot = max(r for r, _ in shown), min(z for _, z in shown), max(z for _, z in shown)
    foot += max(0.6 * radius, 1.5 * outlines.worn_mm)
    scale = min((WIDTH - 2 * PAD) / (2 * radius), (HEIGHT - 2 * PAD) / (foot - top))

    def place(points: Sequence[svg.Point]) -> list[svg.Point]:
        whole = [(r, min(z, foot)) for r, z in [*points, (points[-1][0], foot)]]
        both = [*((-r, z) for r, z in reversed(whole)), *whole]
        return [(WIDTH / 2 + r * scale, PAD + (z - top) * scale) for r, z in both]

    before, after = place(outlines.before), place(outlines.after)
    parts = [svg.hatch("off-front"), svg.path(before, "body")]
    parts.append(svg.path([*before, *reversed(after)], "hatch", fill="off-front"))
    parts += _mark_wear(outlines, scale, top)
    parts += [svg.path(before, "was", closed=False), svg.path(after, "will", closed=False)]
    parts.append(svg.line((WIDTH / 2, 6), (WIDTH / 2, HEIGHT), "centre"))
    parts += _words(outlines, option, unit)
    return svg.wrap(WIDTH, HEIGHT + FOOT, f"The front: {outlines.was} before, {outlines.will} after", parts)


def _mark_wear(outlines: Outlines, scale: float, top: float) -> list[SafeString]:
    """The worn margin, dark along both edges from the corner as it was."""
    r, corner = outlines.before[-1]
    start, length = PAD + (corner - top) * scale, outlines.worn_mm * scale
    places = (WIDTH / 2 + side * r * scale - (4 if side > 0 else 0) for side in (-1, 1))
    return [svg.rect((x, start), (4, length), "gone") for x in places] if length else []


def _words(outlines: Outlines, option: Mapping[str, Any], unit: Unit) -> list[SafeString]:
    parts: list[SafeString] = []
    for n, (look, words) in enumerate((("was", f"{outlines.was} as received"), ("will", f"{outlines.will} after"))):
        y = HEIGHT + 18 + 24 * n
        parts += [svg.line((PAD, y - 5), (PAD + 36, y - 5), look), svg.text((PAD + 48, y), words, size=16)]
    note = f"{svg.in_unit(option['cut_back_mm'], unit)} back from the corner; dark: worn margin"
    return [*parts, svg.text((PAD, HEIGHT + 66), note, look="note")]
