"""The transverse section: the tool as it came, thin; as it will be, heavy; what comes off, hatched in dye."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.shop.web import svg

from .marks import find_depth, find_span, list_marks
from .tooth import Tooth, draw_in, flank, grind, outline, place, run_face, shape_tooth, worn

SIZE, MARGIN, FOOT = 440, 30, 8
SCREEN_PX_PER_MM = 96 / 25.4
LABEL_RAD = math.radians(38)  # from the vertical: where the lines of the labels meet their circles
TIMES = 8  # stock drawn this much thicker on demand


def draw_section(
    case: Mapping[str, Any], answer: Mapping[str, Any], option: Mapping[str, Any], unit: Unit, enlarged: bool
) -> SafeString:
    """Old and new outline and circle, core, damage that is still there, and removed stock of one option.

    case, answer, option: as stored with the plan. enlarged: stock and damage drawn TIMES as deep, which it says, and
    no core.
    """
    after, before = option["diameter_mm"] / 2, radius_before(option)
    tooth = shape_tooth(case, answer, before)
    times = _fit_times(before, after, tooth.core_mm) if enlarged and option["sides"] else 1.0
    scale = (SIZE / 2 - MARGIN) / before
    shown = before - (before - after) * times
    cut = Cut(before, times, after, shown) if option["sides"] else Cut(before, times)
    parts: list[SafeString] = [svg.hatch("off-section")]
    parts += _teeth(tooth, tooth_radii(case, before), cut, deepest_marks(case, option["cut_back_mm"], times), scale)
    if times == 1:  # beside stock that is drawn thicker the core would seem nearer than it is
        parts += _draw_core(tooth.core_mm, unit, scale)
    parts += _circles(before, shown, scale) + _centre_lines()
    parts += _name_circles((before, after), (before, shown), unit, scale)
    parts += _smallest(option, (before, tooth.core_mm), times, unit, scale) + _stock(
        option, (before, shown), unit, scale
    )
    parts.append(_scale_note(scale, times))
    title = f"Cross-section: from {svg.in_unit(2 * before, unit)} to {svg.in_unit(2 * after, unit)} diameter"
    return svg.wrap(SIZE, SIZE + FOOT, title, parts)


@dataclass(frozen=True)
class Cut:
    """From which radius the sides are ground, how many times as deep it is drawn, to which radius, and where that is
    drawn, mm; none where the sides are left."""

    before_mm: float
    times: float
    to_mm: float | None = None
    shown_mm: float | None = None


def _teeth(
    tooth: Tooth, radii: Sequence[float], cut: Cut, deepest: Mapping[int, float], scale: float
) -> list[SafeString]:
    """The teeth as they stand and as they will be, the stock between, and what is gone already."""
    olds: list[svg.Point] = []
    news: list[svg.Point] = []
    stocks, gone = [], []
    for n, radius in enumerate(radii, 1):
        turn, top = (n - 1) * tooth.pitch_rad, None
        drawn = cut.before_mm - (cut.before_mm - radius) * cut.times
        if cut.to_mm is not None and cut.shown_mm is not None:
            face = run_face(tooth, turn, drawn, cut.shown_mm)
            top = draw_in(grind(tooth, turn, radius, cut.to_mm)[0], face[-1])
            stock = [*face, top[1], flank(tooth, place(drawn, turn))[1]]
            stocks.append(svg.path(_place(stock, scale), "hatch", fill="off-section"))
        if n in deepest:
            gone.append(svg.path(_place(worn(tooth, turn, drawn, deepest[n]), scale), "gone"))
        olds += outline(tooth, turn, drawn)
        news += outline(tooth, turn, drawn, top)
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


def _name_circles(radii: tuple[float, float], drawn: tuple[float, float], unit: Unit, scale: float) -> list[SafeString]:
    """The two diameters in the upper corners, each with a line to its own circle.

    radii, drawn: the radius as received and after, as it is and as it is drawn, mm.
    """
    (before, after), middle = radii, SIZE / 2
    old = svg.around((middle, middle), drawn[0] * scale, -LABEL_RAD)
    new = svg.around((middle, middle), drawn[1] * scale, LABEL_RAD)
    return [
        svg.line((old[0] - 16, 24), old, "dim"),
        svg.line((new[0] + 16, 24), new, "dim"),
        svg.text((0, 18), f"{svg.in_unit(2 * before, unit)} as received", size=17, look="halo"),
        svg.text((SIZE, 18), f"{svg.in_unit(2 * after, unit)} after", size=17, anchor="end", look="halo"),
    ]


def _draw_core(core: float, unit: Unit, scale: float) -> list[SafeString]:
    middle = SIZE / 2
    words = f"core {svg.in_unit(2 * core, unit)}"
    return [
        svg.circle((middle, middle), core * scale, "centre"),
        svg.text((middle, middle + core * scale - 26), words, anchor="middle", look="note"),
    ]


def _smallest(
    option: Mapping[str, Any], between: tuple[float, float], times: float, unit: Unit, scale: float
) -> list[SafeString]:
    """The smallest diameter that the customer takes, drawn as far inside the old circle as the stock is, times as deep.

    between: the radius as received and that of the core, mm: a circle outside these is left out.
    """
    before, core = between
    least = next((line["at_least"] for line in option["limits"] if line["limit"] == "diameter"), None)
    if not least:
        return []
    radius = before - (before - least / 2) * times
    if not core < radius < before:
        return []
    place = svg.around((SIZE / 2, SIZE / 2), radius * scale, math.pi - LABEL_RAD)
    return [
        svg.circle((SIZE / 2, SIZE / 2), radius * scale, "limit"),
        svg.line((place[0] + 16, SIZE - 16), place, "dim"),
        svg.text((SIZE, SIZE - 2), f"{svg.in_unit(least, unit)} smallest", size=17, anchor="end", look="halo"),
    ]


def _stock(option: Mapping[str, Any], drawn: tuple[float, float], unit: Unit, scale: float) -> list[SafeString]:
    """What comes off, with a line to the middle of the ring that it is taken from."""
    if not option["sides"]:
        return [svg.text((0, SIZE - 2), "sides left as they are", size=17, look="halo")]
    off = svg.in_unit(radius_before(option) - option["diameter_mm"] / 2, unit)
    place = svg.around((SIZE / 2, SIZE / 2), sum(drawn) / 2 * scale, math.pi + LABEL_RAD)
    return [
        svg.line((place[0] - 16, SIZE - 16), place, "dim"),
        svg.text((0, SIZE - 2), f"{off} off the radius", size=17, look="halo"),
    ]


def _scale_note(scale: float, times: float) -> SafeString:
    note = f"drawn {scale / SCREEN_PX_PER_MM:.0f} : 1" + (f", stock {times:.0f}× as thick" if times > 1 else "")
    return svg.text((SIZE / 2, SIZE / 2 + 18), note, anchor="middle", look="note")
