"""A countersink's tooth seen along the axis: the face before and after it is turned into the wheel, drawn true."""

import math
from collections.abc import Callable, Mapping
from typing import Any

from regrind.geometry.units import Unit
from regrind.paper.values import Sketch
from regrind.shop.web.svg import in_unit, mm_of

Point = tuple[float, float]
GUESS_SHARE, MOST_TURN = 0.42, 0.7  # of a tooth whose thickness was not read, of the pitch; rad
CORE, WEAR, STEPS = 0.35, 0.8, 24  # of the radius: where the drawing ends, how deep wear is drawn
DAMAGE = ("wear_land", "face_depth")


def sketch_flute_face(case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit) -> Sketch:
    """One tooth at the rim: its radius falls behind the face by the relief; the new face is turned into the tooth."""
    radius, turn = (mm_of(case["measured"]["diameter"]) or 0.0) / 2, math.radians(option["index_deg"])
    thickness = mm_of(case["tool"].get("tooth_thickness"))
    slope = (radius - option["diameter_mm"] / 2) / option["face_stock_mm"]  # the relief's, as the plan takes it
    wide = thickness / radius if thickness else min(GUESS_SHARE * 2 * math.pi / case["tool"]["teeth"], MOST_TURN)
    wide = max(wide, 1.5 * turn)

    def on_land(angle: float) -> Point:
        r = radius * (1 - slope * angle)
        return -r * math.sin(angle), r * math.cos(angle)

    def inner(angle: float) -> Point:
        return -CORE * radius * math.sin(angle), CORE * radius * math.cos(angle)

    land = [on_land(wide * step / STEPS) for step in range(STEPS + 1)]
    before = (inner(0.0), *land, inner(wide))
    removed = [on_land(turn * step / STEPS) for step in range(STEPS + 1)]
    stays = [on_land(turn + (wide - turn) * step / STEPS) for step in range(STEPS + 1)]
    words = [
        f"{in_unit(option['face_stock_mm'], unit)} off the face along the rim",
        f"index {option['index_deg']:.2f}°",
        "the relief stays; dark: wear",
        *([] if thickness else ["thickness of the tooth not read, drawn as a guess"]),
    ]
    return Sketch(
        "A tooth seen along the axis",
        body=before,
        before=before,
        after=(inner(turn), *stays, inner(wide)),
        off=((inner(0.0), *removed, inner(turn)),),
        worn=_mark_wear(case, on_land),
        centre=(((0.0, 0.9 * CORE * radius), (0.0, 1.06 * radius)),),
        was=f"⌀ {in_unit(2 * radius, unit)}",
        will=f"⌀ {in_unit(option['diameter_mm'], unit)}",
        note="; ".join(words),
    )


def _mark_wear(case: Mapping[str, Any], on_land: Callable[[float], Point]) -> tuple[tuple[Point, ...], ...]:
    """The widest wear behind the face, as long along the rim as it was read; how deep it goes is only drawn."""
    radius = math.dist(on_land(0.0), (0.0, 0.0))
    marks = [mm_of(mark[name]) or 0.0 for mark in case.get("damage", ()) for name in DAMAGE if name in mark]
    turn = max(marks, default=0.0) / radius
    rim = [on_land(turn * step / STEPS) for step in range(STEPS + 1)]
    return ((*rim, *((x * WEAR, y * WEAR) for x, y in reversed(rim))),) if turn else ()
