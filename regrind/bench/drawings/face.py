"""A tooth ground on its face, in the transverse section, drawn true: the old face, the new one, and the stock between.

The old edge stands at the top, the body to its left, as in `tooth`; the wheel's plane keeps its distance from the axis.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.shop.web import svg

from .section import SCREEN_PX_PER_MM

WIDTH, HEIGHT, PAD, FOOT = 440, 300, 30, 128
BACKS_SHOWN, STEPS = 6.0, 24  # how many times as far as the edge goes back is shown where no tooth width is known


@dataclass(frozen=True)
class Tooth:
    """What shapes the drawing: mm and rad. turned: about the axis, from the old edge to the new."""

    radius_mm: float
    rake_rad: float
    relief_rad: float
    spiral: bool
    after_mm: float
    after_rake_rad: float
    turned_rad: float
    width_mm: float

    def edge(self) -> svg.Point:
        """The new edge: (to the right, up from the axis)."""
        return -self.after_mm * math.sin(self.turned_rad), self.after_mm * math.cos(self.turned_rad)

    def flank(self, to_mm: float) -> list[svg.Point]:
        """The flank from the old edge back, so far along the cutting direction."""
        steps = [to_mm * step / STEPS for step in range(STEPS + 1)]
        if not self.spiral:
            return [(-back, self.radius_mm - back * math.tan(self.relief_rad)) for back in steps]
        return [self._on_spiral(back) for back in steps]

    def _on_spiral(self, back: float) -> svg.Point:
        radius, turn = self.radius_mm - back * math.tan(self.relief_rad), back / self.radius_mm
        return -radius * math.sin(turn), radius * math.cos(turn)

    def face(self, start: svg.Point, turned: float, rake: float, deep_mm: float) -> svg.Point:
        """Down a face from its edge: inward along the radius, and back by its rake."""
        x = math.cos(rake) * math.sin(turned) - math.sin(rake) * math.cos(turned)
        y = -math.cos(rake) * math.cos(turned) - math.sin(rake) * math.sin(turned)
        return start[0] + deep_mm * x, start[1] + deep_mm * y


def shape(case: Mapping[str, Any], option: Mapping[str, Any]) -> Tooth:
    tool, after = case["tool"], option["diameter_mm"] / 2
    rake, relief = math.radians(tool.get("rake_deg") or 0.0), math.radians(tool.get("primary_relief_deg") or 0.0)
    after_rake = math.radians(option["face_rake_deg"])
    turned = math.radians(option["face_turn_deg"]) + after_rake - rake
    radius = (svg.mm_of(case["measured"]["diameter"]) or 0.0) / 2
    spiral = tool.get("relief_form", "flat" if tool["kind"] == "end mill" else "spiral") == "spiral"
    width = svg.mm_of(tool.get("tooth_width")) or BACKS_SHOWN * max(radius * turned, radius / 100)
    return Tooth(radius, rake, relief, spiral, after, after_rake, turned, width)


def draw_face(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> SafeString | str:
    """One option's tooth; nothing where the face is left alone. case, option: as stored with the plan."""
    if option.get("way") != "face":
        return ""
    tooth = shape(case, option)
    scale = min((WIDTH - 2 * PAD) / (1.25 * tooth.width_mm), (HEIGHT - 2 * PAD) / (0.9 * tooth.width_mm))
    deep, old_edge, new_edge = 0.8 * tooth.width_mm, (0.0, tooth.radius_mm), tooth.edge()
    old_foot = tooth.face(old_edge, 0.0, tooth.rake_rad, deep)
    new_foot = tooth.face(new_edge, tooth.turned_rad, tooth.after_rake_rad, deep)
    flank = tooth.flank(tooth.width_mm)
    to_new = tooth.flank(tooth.radius_mm * tooth.turned_rad)

    def place(points: list[svg.Point]) -> list[svg.Point]:
        return [(WIDTH - PAD + x * scale, PAD + (tooth.radius_mm - y) * scale) for x, y in points]

    bottom = (flank[-1][0], min(old_foot[1], new_foot[1]))
    parts = [
        svg.hatch("off-face"),
        svg.path(place([old_foot, *flank, bottom]), "body"),
        svg.path(place([old_foot, *to_new, new_edge, new_foot]), "hatch", fill="off-face"),
        svg.path(place([old_foot, *flank]), "was", closed=False),
        svg.path(
            place([new_foot, new_edge, *[point for point in flank if point[0] < new_edge[0]]]), "will", closed=False
        ),
        *_words(case, option, unit, scale),
    ]
    title = f"A tooth ground on its face: {svg.in_unit(option['face_stock_mm'], unit)} off the face"
    return svg.wrap(WIDTH, HEIGHT + FOOT, title, parts)


def _words(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit, scale: float) -> list[SafeString]:
    before = svg.in_unit(svg.mm_of(case["measured"]["diameter"]) or 0.0, unit)
    rows = [("was", f"{before} as received"), ("will", f"{svg.in_unit(option['diameter_mm'], unit)} after")]
    parts: list[SafeString] = []
    for n, (look, words) in enumerate(rows):
        y = HEIGHT + 18 + 24 * n
        parts += [svg.line((PAD, y - 5), (PAD + 36, y - 5), look), svg.text((PAD + 48, y), words, size=16)]
    lines = (
        f"{svg.in_unit(option['face_stock_mm'], unit)} off the face, relief {option['face_relief_deg']:.1f}° after",
        f"drawn {scale / SCREEN_PX_PER_MM:.0f} : 1; the sides are left alone",
    )
    parts.append(svg.text((PAD + 48, HEIGHT + 66), lines[0], size=16))
    return [*parts, svg.text((PAD + 48, HEIGHT + 88), lines[1], look="note")]
