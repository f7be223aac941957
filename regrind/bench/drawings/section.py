"""The transverse section: the tool as it came, thin; as it will be, heavy; what comes off in dye."""
import math
from typing import Any

from django.utils.safestring import SafeString

from . import svg

SIZE, MARGIN, FOOT = 340, 44, 46
SCREEN_PX_PER_MM = 96 / 25.4
LAND_TO_DEPTH = 0.2     # a wear land seen on a relief of some 12 degrees: for the drawing alone
TIMES = 8       # stock drawn this much thicker on demand


def draw_section(case: dict[str, Any], option: dict[str, Any], unit: str, enlarged: bool) -> SafeString:
    """Old and new circle, teeth, core and removed stock of one option.

    case, option: as stored with the plan. enlarged: the stock off the radius drawn TIMES as thick, which it says.
    """
    teeth, after = case["tool"]["teeth"], option["diameter_mm"] / 2
    before = _radius_before(case, option)
    core = after * option["core_ratio"]
    scale = (SIZE / 2 - MARGIN) / before
    centre = (SIZE / 2, SIZE / 2)
    shown = before - (before - after) * (TIMES if enlarged else 1)
    shown = max(shown, core * 1.05)
    parts = [svg.circle(centre, core * scale, "body")]
    turns = [k * 2 * math.pi / teeth for k in range(teeth)]
    parts += [svg.path(_tooth(centre, core, shown, scale, turn, teeth), "body") for turn in turns]
    if option["sides"]:
        parts.append(svg.ring(centre, before * scale, shown * scale, "off"))
    parts += [svg.path(_tooth(centre, core, before, scale, turn, teeth), "was", closed=False) for turn in turns]
    parts += [_damage(centre, before, before - deep * (TIMES if enlarged else 1), scale, turns[tooth - 1])
              for tooth, deep in _deepest(case, option["cut_back_mm"]).items()]
    parts += [svg.circle(centre, before * scale, "was"), svg.circle(centre, shown * scale, "will"),
              svg.circle(centre, core * scale, "centre")]
    parts += _centre_lines(centre)
    parts += _words(before, after, option, unit, scale, enlarged)
    title = f"Cross-section: from {svg.in_unit(2 * before, unit)} to {svg.in_unit(2 * after, unit)} diameter"
    return svg.wrap(SIZE, SIZE + FOOT, title, parts)


def _radius_before(case: dict[str, Any], option: dict[str, Any]) -> float:
    """The highest tooth's radius: what the option leaves, and what it takes off that tooth."""
    removal = option.get("removal_radial_mm") or option.get("removal_radial_range_mm") or [0.0]
    return option["diameter_mm"] / 2 + max([0.0, *removal])


def _tooth(centre: svg.Point, core: float, radius: float, scale: float, turn: float, teeth: int) -> list[svg.Point]:
    """One tooth: down the face to the core, and from the edge along land and back to the next flute."""
    pitch = 2 * math.pi / teeth
    face = [(core + (radius - core) * t, turn - 0.16 * pitch * math.sin(math.pi * t) * 0.6) for t in
            (0.0, 0.25, 0.5, 0.75, 1.0)]
    back = [(radius * 0.985, turn - 0.10 * pitch), (radius * 0.93, turn - 0.24 * pitch),
            (core + (radius - core) * 0.5, turn - 0.44 * pitch), (core, turn - 0.62 * pitch)]
    return [svg.around(centre, r * scale, angle) for r, angle in (*face, *back)]


def _deepest(case: dict[str, Any], cut_back_mm: float) -> dict[int, float]:
    """tooth -> the deepest mark that is still on it once the end is cut back, mm on the radius."""
    found: dict[int, float] = {}
    for mark in case["damage"]:
        if "tooth" in mark and (svg.mm_of(mark["to"]) or 0.0) > cut_back_mm:
            depth = svg.mm_of(mark.get("depth")) or (svg.mm_of(mark.get("wear_land")) or 0.0) * LAND_TO_DEPTH
            found[mark["tooth"]] = max(depth, found.get(mark["tooth"], 0.0))
    return found


def _damage(centre: svg.Point, outer: float, inner: float, scale: float, turn: float) -> SafeString:
    """What is broken or worn off a tooth's edge, as a notch behind the face."""
    notch = [(outer, turn), (inner, turn), (outer, turn - 0.22)]
    return svg.path([svg.around(centre, r * scale, angle) for r, angle in notch], "damage")


def _centre_lines(centre: svg.Point) -> list[SafeString]:
    x, y = centre
    return [svg.line((x, 8), (x, SIZE - 8), "centre"), svg.line((8, y), (SIZE - 8, y), "centre")]


def _words(before: float, after: float, option: dict[str, Any], unit: str, scale: float,
           enlarged: bool) -> list[SafeString]:
    told = f"drawn {scale / SCREEN_PX_PER_MM:.0f} : 1"
    if enlarged:
        told += f", stock {TIMES}× as thick"
    off = f"{svg.in_unit(before - after, unit)} off the radius" if option["sides"] else "sides left as they are"
    return [svg.text((SIZE / 2, SIZE + 14), off, size=16, anchor="middle"),
            svg.text((SIZE / 2, SIZE + 36), told, size=14, anchor="middle", look="note")]
