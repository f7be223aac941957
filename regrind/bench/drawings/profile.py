"""The profile at the end of the tool, drawn true: as it came, as it will be, what comes off, and the damage.

A half profile: the axis to the left, the side to the right, the end below. Of a ball the whole arc is shown, of a
corner as much as the corner, the damage and the cut-back need.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.shop.web import svg

from .marks import find_arc, find_depth, find_span, list_marks
from .section import SCREEN_PX_PER_MM, radius_before

WIDTH, HEIGHT, LEFT, PAD, FOOT = 440, 360, 34, 26, 104
ARC_STEPS = 48
ROOM = 1.35  # how much more than the corner, the damage and the cut-back is shown


@dataclass(frozen=True)
class Corner:
    """A tool's end as it is drawn: radius of the sides, form and size of the corner, where its end stands; mm."""

    radius_mm: float
    form: str
    size_mm: float
    end_mm: float = 0.0

    @property
    def arc_mm(self) -> float:
        return self.radius_mm if self.form == "ball" else self.size_mm


@dataclass(frozen=True)
class Sheet:
    """Where a place on the tool, off the axis and back from the end in mm, stands on the drawing."""

    scale: float
    axis_px: float
    end_px: float

    def place(self, points: Sequence[svg.Point]) -> list[svg.Point]:
        return [(self.axis_px + x * self.scale, self.end_px - z * self.scale) for x, z in points]


def draw_profile(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> SafeString | str:
    """One option's profile; nothing where its corner is square before and after, or the face is ground.

    case, option: as stored with the plan.
    """
    old, new = find_old(case, option), find_new(option)
    if option.get("way") == "face" or (old.form, new.form) == ("square", "square"):
        return ""
    shown = _shown_mm(case, old, new)
    sheet = make_sheet(old, shown)
    top = shown * 1.02
    before, after = outline(old, top), outline(new, top)
    parts = [svg.hatch("off-profile"), svg.path(sheet.place([(0.0, top), *before]), "body")]
    parts += [svg.path(sheet.place(shape), "gone") for shape in _gone(case, old, top)]
    if after != before:
        parts.append(svg.path(sheet.place([*before, *reversed(after)]), "hatch", fill="off-profile"))
    parts += [svg.path(sheet.place(before), "was", closed=False), svg.path(sheet.place(after), "will", closed=False)]
    parts += _axis(old, sheet) + _words(old, new, unit, sheet)
    title = f"Profile of the end: {_say(old, unit)} before, {_say(new, unit)} after"
    return svg.wrap(WIDTH, HEIGHT + FOOT, title, parts)


def find_old(case: Mapping[str, Any], option: Mapping[str, Any]) -> Corner:
    corner = case["tool"].get("corner", {"form": "square"})
    size = svg.mm_of(corner.get("radius") or corner.get("width")) or 0.0
    return Corner(radius_before(option), corner["form"], size)


def find_new(option: Mapping[str, Any]) -> Corner:
    form = option.get("corner_form") or "square"
    return Corner(option["diameter_mm"] / 2, form, option.get("corner_size_mm") or 0.0, option["cut_back_mm"])


def outline(corner: Corner, top_mm: float) -> list[svg.Point]:
    """From the axis along the end, over the corner and up the side: (off the axis, back from the end), mm."""
    r, end, arc = corner.radius_mm, corner.end_mm, corner.arc_mm
    if corner.form == "chamfer":
        return [(0.0, end), (r - arc, end), (r, end + arc), (r, top_mm)]
    if corner.form == "square":
        return [(0.0, end), (r, end), (r, top_mm)]
    turns = [step * math.pi / 2 / ARC_STEPS for step in range(ARC_STEPS + 1)]
    round_ = [(r - arc + arc * math.sin(turn), end + arc - arc * math.cos(turn)) for turn in turns]
    return [*([] if corner.form == "ball" else [(0.0, end)]), *round_, (r, max(top_mm, end + arc))]


def _shown_mm(case: Mapping[str, Any], old: Corner, new: Corner) -> float:
    """How much of the tool is shown, both ways: a ball whole, else what the corner and the work need."""
    if old.form == "ball":
        return old.radius_mm * 1.15
    near = [find_span(mark, case)[1] for mark in list_marks(case) if find_span(mark, case)[1] < 4 * old.arc_mm]
    need = max([old.arc_mm, new.arc_mm, min(new.end_mm + new.arc_mm, 4 * max(old.arc_mm, new.arc_mm)), *near])
    return min(ROOM * need, old.radius_mm)


def make_sheet(old: Corner, shown_mm: float) -> Sheet:
    """The same scale both ways; the side always at the same place on the right."""
    scale = min((WIDTH - LEFT - PAD) / shown_mm, (HEIGHT - 2 * PAD) / shown_mm)
    return Sheet(scale, WIDTH - PAD - old.radius_mm * scale, HEIGHT - PAD)


def _gone(case: Mapping[str, Any], old: Corner, top_mm: float) -> list[list[svg.Point]]:
    """Each mark near the end, as deep as it was read: on the arc along its radius, on the side across the axis."""
    shapes = []
    for mark in list_marks(case):
        depth = find_depth(mark)
        if "from_deg" in mark:
            shapes.append(_on_arc(old, find_arc(case), depth, mark["from_deg"], mark["to_deg"]))
        else:
            start, to = (min(place, top_mm) for place in find_span(mark, case))
            r = old.radius_mm
            shapes.append([(r, start), (r, to), (r - depth, to), (r - depth, start)])
    return shapes


def _on_arc(old: Corner, arc: float, depth: float, start_deg: float, to_deg: float) -> list[svg.Point]:
    turns = [math.radians(start_deg + (to_deg - start_deg) * step / ARC_STEPS) for step in range(ARC_STEPS + 1)]

    def along(radius: float) -> list[svg.Point]:
        return [(old.radius_mm - arc + radius * math.sin(t), arc - radius * math.cos(t)) for t in turns]

    return [*along(arc), *reversed(along(arc - depth))]


def _axis(old: Corner, sheet: Sheet) -> list[SafeString]:
    """The axis, where it is on the sheet, and the middle of the old arc."""
    parts = []
    if sheet.axis_px >= 0:
        parts.append(svg.line((sheet.axis_px, 6), (sheet.axis_px, HEIGHT), "centre"))
    if old.form in ("ball", "radius"):
        [(x, y)] = sheet.place([(old.radius_mm - old.arc_mm, old.arc_mm)])
        parts += [svg.line((x - 7, y), (x + 7, y), "dim"), svg.line((x, y - 7), (x, y + 7), "dim")]
    return parts


def _say(corner: Corner, unit: Unit) -> str:
    size = svg.in_unit(corner.arc_mm, unit)
    words = {"ball": f"ball R {size}", "radius": f"R {size}", "chamfer": f"clip {size}"}
    return words.get(corner.form, "square corner")


def _words(old: Corner, new: Corner, unit: Unit, sheet: Sheet) -> list[SafeString]:
    """What each line is, written beside a piece of that line; and the scale."""
    parts: list[SafeString] = []
    for n, (look, words) in enumerate(
        (("was", f"{_say(old, unit)} as received"), ("will", f"{_say(new, unit)} after"))
    ):
        y = HEIGHT + 18 + 24 * n
        parts += [svg.line((PAD, y - 5), (PAD + 36, y - 5), look), svg.text((PAD + 48, y), words, size=16)]
    off = f"{svg.in_unit(new.end_mm, unit)} off the {'tip' if old.form == 'ball' else 'end'}" if new.end_mm else ""
    parts.append(svg.text((PAD + 48, HEIGHT + 66), off or "the end is left where it is", size=16))
    note = f"drawn {sheet.scale / SCREEN_PX_PER_MM:.0f} : 1; dark: damage"
    return [*parts, svg.text((PAD + 48, HEIGHT + 88), note, look="note")]
