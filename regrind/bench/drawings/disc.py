"""A cutter with teeth round a disc: one tooth seen along the axis, and the rim seen from the edge; drawn true.

What nobody read of a tooth's shape is drawn as a guess, and the note says so.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from regrind.geometry.units import Unit
from regrind.paper.values import Sketch
from regrind.shop.web.svg import in_unit, mm_of

Point = tuple[float, float]
GUESS_RELIEF_DEG, GUESS_SECOND_DEG = 6.0, 10.0  # of a tooth that nobody read: only drawn
GUESS_LAND, GUESS_GULLET, BACK = 0.12, 0.45, 0.45  # the same, of the pitch
STEPS = 12


@dataclass(frozen=True)
class Tooth:
    """A tooth with its edge at the top of the disc: lengths in mm, angles in rad; guessed: what was not read."""

    radius: float
    pitch_rad: float
    rake: float
    primary: float
    secondary: float
    land: float
    gullet: float
    guessed: tuple[str, ...]

    def find_on_face(self, radius: float) -> Point:
        """Where the straight face comes down to a radius; right below the edge where it never does."""
        rest = radius**2 - (self.radius * math.sin(self.rake)) ** 2
        if rest <= 0:
            return 0.0, radius
        deep = self.radius * math.cos(self.rake) - math.sqrt(rest)
        return -deep * math.sin(self.rake), self.radius - deep * math.cos(self.rake)

    @property
    def heel(self) -> Point:
        return -self.land * math.cos(self.primary), self.radius - self.land * math.sin(self.primary)

    def find_back(self, length: float) -> Point:
        """A place on the secondary, so far behind the heel."""
        x, y = self.heel
        return x - length * math.cos(self.secondary), y - length * math.sin(self.secondary)


def read_tooth(case: Mapping[str, Any]) -> Tooth:
    """The tooth of a case, as far as it was read."""
    tool, radius = case["tool"], (mm_of(case["measured"]["diameter"]) or 0.0) / 2
    pitch_rad = 2 * math.pi / tool["teeth"]
    pitch = radius * min(pitch_rad, 1.0)
    read = {name: mm_of(tool.get(name)) for name in ("primary_land", "gullet_depth")}
    guessed = [words for name, words in NAMES.items() if name not in tool]
    primary = tool.get("primary_relief_deg", GUESS_RELIEF_DEG)
    return Tooth(
        radius,
        pitch_rad,
        math.radians(tool.get("rake_deg", 0.0)),
        math.radians(primary),
        math.radians(tool.get("secondary_relief_deg", primary + GUESS_SECOND_DEG)),
        read["primary_land"] or GUESS_LAND * pitch,
        read["gullet_depth"] or GUESS_GULLET * pitch,
        tuple(guessed),
    )


NAMES = {
    "rake_deg": "rake",
    "primary_relief_deg": "relief",
    "secondary_relief_deg": "second relief",
    "primary_land": "land",
    "gullet_depth": "gullet",
}


def sketch_tooth(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> Sketch:
    """One tooth seen along the axis: face, land and gullet before and after, with the new edge."""
    tooth, after_mm = read_tooth(case), option["diameter_mm"] / 2
    foot, edge, new_edge = (tooth.find_on_face(r) for r in (tooth.radius - tooth.gullet, tooth.radius, after_mm))
    heel, new_heel = tooth.heel, _find_new_heel(tooth, option, new_edge, after_mm)
    back = tooth.find_back(max(BACK * tooth.radius * min(tooth.pitch_rad, 1.0), 1.2 * math.dist(heel, new_heel)))
    gullets = [_arc(tooth, turn * tooth.pitch_rad, to * tooth.pitch_rad) for turn, to in ((-0.35, 0.0), (0.72, 0.95))]
    before = (*gullets[0], foot, edge, heel, back, *gullets[1])
    low = min(y for _, y in before) - 0.3 * tooth.gullet
    return Sketch(
        "A tooth seen along the axis",
        body=((before[0][0], low), *before, (before[-1][0], low)),
        before=before,
        after=(foot, new_edge, new_heel, back),
        off=((edge, new_edge, new_heel, heel),),
        worn=_mark_damage(case, tooth, after_mm),
        was=f"⌀ {in_unit(2 * tooth.radius, unit)}",
        will=f"⌀ {in_unit(2 * after_mm, unit)}",
        note=_say_tooth(tooth, option, unit),
    )


def _find_new_heel(tooth: Tooth, option: Mapping[str, Any], edge: Point, radius: float) -> Point:
    """The new land ends on the old secondary: as wide as the plan says, else where the lines cross."""
    x, y = edge
    slope = (-y * math.cos(tooth.primary) - x * math.sin(tooth.primary)) / radius
    rise = (x * math.cos(tooth.primary) - y * math.sin(tooth.primary)) / radius
    if option["primary_land_mm"] is not None:
        return x + option["primary_land_mm"] * slope, y + option["primary_land_mm"] * rise
    (hx, hy), (bx, by) = tooth.heel, (-math.cos(tooth.secondary), -math.sin(tooth.secondary))
    cross = slope * by - rise * bx
    along = ((hx - x) * by - (hy - y) * bx) / cross if abs(cross) > 1e-9 else 0.0
    along = along if along > 0 else tooth.land
    return x + along * slope, y + along * rise


def _arc(tooth: Tooth, start: float, end: float) -> list[Point]:
    """The bottom of a gullet; the angle from the edge backwards, in rad."""
    radius = tooth.radius - tooth.gullet
    turns = [start + (end - start) * step / STEPS for step in range(STEPS + 1)]
    return [(-radius * math.sin(turn), radius * math.cos(turn)) for turn in turns]


def _mark_damage(case: Mapping[str, Any], tooth: Tooth, after_mm: float) -> tuple[tuple[Point, ...], ...]:
    """The worst tooth's damage with how low it stands: all that comes off but the finish."""
    deep = tooth.radius - after_mm - (mm_of(case["allow"]["finish_radial"]) or 0.0)
    if deep <= 0:
        return ()
    x, y = tooth.find_on_face(tooth.radius - deep)
    share = min(1.0, deep / tooth.land)
    hx, hy = tooth.heel
    return (((0.0, tooth.radius), (x, y), (hx * share, tooth.radius + (hy - tooth.radius) * share)),)


def _say_tooth(tooth: Tooth, option: Mapping[str, Any], unit: Unit) -> str:
    words = [f"{in_unit(option['removal_radial_mm'], unit)} off the radius"]
    for name, key in (("land", "primary_land_mm"), ("gullet", "gullet_depth_mm")):
        words += [f"{name} {in_unit(option[key], unit)} after"] if option[key] is not None else []
    words += ["dark: the worst tooth"]
    words += [f"not read, drawn as a guess: {', '.join(tooth.guessed)}"] if tooth.guessed else []
    return "; ".join(words)


def sketch_rim(case: Mapping[str, Any], option: Mapping[str, Any], stock_mm: Mapping[str, float], unit: Unit) -> Sketch:
    """The rim seen from the edge, its width across: what comes off the sides and the periphery. stock_mm: by side."""
    half, radius = (mm_of(case["measured"]["width"]) or 0.0) / 2, (mm_of(case["measured"]["diameter"]) or 0.0) / 2
    after, marks = option["diameter_mm"] / 2, [mark for mark in case["damage"] if mark["surface"] != "periphery"]
    low = radius - max(1.4 * max((mm_of(mark["reach"]) or 0.0 for mark in marks), default=0.0), radius - after, half)
    x_low, x_high = -half + stock_mm.get("left", 0.0), half - stock_mm.get("right", 0.0)
    before = ((-half, low), (-half, radius), (half, radius), (half, low))
    new = ((x_low, low), (x_low, after), (x_high, after), (x_high, low))
    strips = (
        ((-half, low), (-half, radius), (x_low, radius), (x_low, low)),
        ((x_high, low), (x_high, radius), (half, radius), (half, low)),
        ((x_low, after), (x_low, radius), (x_high, radius), (x_high, after)),
    )
    return Sketch(
        "The rim seen from the edge",
        body=before,
        before=before,
        after=new,
        off=tuple(strip for strip in strips if _is_area(strip)),
        worn=tuple(_mark_side(mark, half, radius) for mark in marks),
        centre=(((0.0, low), (0.0, radius + 0.1 * half)),),
        was=f"{in_unit(2 * half, unit)} wide",
        will=f"{in_unit(option['width_mm'], unit)} wide",
        note="; ".join(
            [f"{in_unit(mm, unit)} off the {side} side" for side, mm in stock_mm.items()] + ["dark: damage"]
        ),
    )


def _is_area(strip: Sequence[Point]) -> bool:
    return all(len({round(point[axis], 9) for point in strip}) > 1 for axis in (0, 1))


def _mark_side(mark: Mapping[str, Any], half: float, radius: float) -> tuple[Point, ...]:
    deep, reach = mm_of(mark["depth"]) or 0.0, mm_of(mark["reach"]) or 0.0
    side = -1 if mark["surface"] == "left" else 1
    outer, inner = side * half, side * (half - deep)
    return (outer, radius), (inner, radius), (inner, radius - reach), (outer, radius - reach)
