"""The transverse section: the tool as it came, thin; as it will be, heavy; what comes off, hatched in dye."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.shop.web import svg

from .marks import find_depth, find_span, list_marks
from .tooth import Tooth, grind, outline, shape_tooth, worn

SIZE, MARGIN, FOOT = 440, 26, 100
SCREEN_PX_PER_MM = 96 / 25.4
TIMES = 8  # stock drawn this much thicker on demand


def draw_section(
    case: Mapping[str, Any], answer: Mapping[str, Any], option: Mapping[str, Any], unit: Unit, enlarged: bool
) -> SafeString:
    """Old and new outline and circle, core, damage that is still there, and removed stock of one option.

    case, answer, option: as stored with the plan. enlarged: stock and damage drawn TIMES as deep, which it says.
    """
    after, before = option["diameter_mm"] / 2, radius_before(option)
    tooth = shape_tooth(case, answer, before)
    times = _fit_times(before, after, tooth.core_mm) if enlarged and option["sides"] else 1.0
    scale = (SIZE / 2 - MARGIN) / before
    radii = [before - (before - radius) * times for radius in tooth_radii(case, before)]
    shown = before - (before - after) * times if option["sides"] else None
    parts: list[SafeString] = [svg.hatch("off-section")]
    parts += _teeth(tooth, radii, shown, deepest_marks(case, option["cut_back_mm"], times), scale)
    parts += [svg.circle(_place([(0, 0)], scale)[0], tooth.core_mm * scale, "centre")]
    parts += _circles(before, shown or before, scale)
    parts += _centre_lines() + _words(before, after, option, unit, scale, times)
    title = f"Cross-section: from {svg.in_unit(2 * before, unit)} to {svg.in_unit(2 * after, unit)} diameter"
    return svg.wrap(SIZE, SIZE + FOOT, title, parts)


def _teeth(
    tooth: Tooth, radii: Sequence[float], to_mm: float | None, deepest: Mapping[int, float], scale: float
) -> list[SafeString]:
    """The teeth as they stand and as they will be, the stock between, and what is gone already."""
    olds: list[svg.Point] = []
    news: list[svg.Point] = []
    stocks, gone = [], []
    for n, radius in enumerate(radii, 1):
        turn, top = (n - 1) * tooth.pitch_rad, None
        if to_mm is not None:
            top, stock = grind(tooth, turn, radius, to_mm)
            stocks.append(svg.path(_place(stock, scale), "hatch", fill="off-section"))
        if n in deepest:
            gone.append(svg.path(_place(worn(tooth, turn, radius, deepest[n]), scale), "gone"))
        olds += outline(tooth, turn, radius)
        news += outline(tooth, turn, radius, top)
    before, after = _place(olds, scale), _place(news, scale)
    return [svg.path(before, "body"), *gone, *stocks, svg.path(before, "was"), svg.path(after, "will")]


def radius_before(option: Mapping[str, Any]) -> float:
    """The highest tooth's radius: what the option leaves, and what it takes off that tooth."""
    removal = option.get("removal_radial_mm") or option.get("removal_radial_range_mm") or [0.0]
    radius_mm: float = option["diameter_mm"] / 2 + max([0.0, *removal])
    return radius_mm


def tooth_radii(case: Mapping[str, Any], before: float) -> list[float]:
    """Each tooth's radius as it stands: by its reading, all alike where there is none."""
    readings: Sequence[str] = case["measured"].get("tooth_readings") or ["0 mm"] * case["tool"]["teeth"]
    return [before + (svg.mm_of(reading) or 0.0) for reading in readings]


def deepest_marks(case: Mapping[str, Any], cut_back_mm: float, times: float = 1.0) -> dict[int, float]:
    """tooth -> `times` the deepest mark that is still on it once the end is cut back, mm on the radius."""
    deepest: dict[int, float] = {}
    for mark in list_marks(case):
        if find_span(mark, case)[1] > cut_back_mm and "from_deg" not in mark:
            depth = find_depth(mark)
            deepest[mark["tooth"]] = max(depth * times, deepest.get(mark["tooth"], 0.0))
    return deepest


def _fit_times(before: float, after: float, core: float) -> float:
    """How many times as thick the stock can be drawn and still stay outside the core."""
    most = (before - core) * 0.6 / max(before - after, 1e-9)
    return max(1.0, min(float(TIMES), math.floor(most)))


def _place(points: Sequence[svg.Point], scale: float) -> list[svg.Point]:
    return [(SIZE / 2 + x * scale, SIZE / 2 - y * scale) for x, y in points]


def _circles(before: float, after: float, scale: float) -> list[SafeString]:
    centre = (SIZE / 2, SIZE / 2)
    return [svg.circle(centre, before * scale, "swept"), svg.circle(centre, after * scale, "swept-after")]


def _centre_lines() -> list[SafeString]:
    x = SIZE / 2
    return [svg.line((x, 6), (x, SIZE - 6), "centre"), svg.line((6, x), (SIZE - 6, x), "centre")]


def _words(
    before: float, after: float, option: Mapping[str, Any], unit: Unit, scale: float, times: float
) -> list[SafeString]:
    """What each line is, written beside a piece of that line."""
    rows = [("was", f"{svg.in_unit(2 * before, unit)} as received"), ("will", f"{svg.in_unit(2 * after, unit)} after")]
    off = f"{svg.in_unit(before - after, unit)} off the radius" if option["sides"] else "sides left as they are"
    parts: list[SafeString] = []
    for n, (look, words) in enumerate(rows):
        y = SIZE + 14 + 24 * n
        parts += [svg.line((MARGIN, y - 5), (MARGIN + 36, y - 5), look), svg.text((MARGIN + 48, y), words, size=16)]
    y = SIZE + 14 + 24 * 2
    if option["sides"]:
        parts.append(
            svg.path(
                [(MARGIN, y - 13), (MARGIN + 36, y - 13), (MARGIN + 36, y + 1), (MARGIN, y + 1)],
                "hatch",
                fill="off-section",
            )
        )
    parts.append(svg.text((MARGIN + 48, y), off, size=16))
    note = f"drawn {scale / SCREEN_PX_PER_MM:.0f} : 1" + (f", stock {times:.0f}× as thick" if times > 1 else "")
    return [*parts, svg.text((MARGIN + 48, y + 22), note, size=14, look="note")]
