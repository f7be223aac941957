"""The flank unrolled: a strip per tooth, the end at the bottom, marks stronger where deeper, and what is cut back."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.safestring import SafeString

from regrind.geometry.units import Unit
from regrind.shop.web import svg

from .marks import find_depth, find_span, list_marks

HEIGHT, TOP, FOOT, LEFT, STRIP, GAP = 300, 16, 80, 100, 44, 10
CLOSE_PX = 17


def draw_flank(
    case: Mapping[str, Any], option: Mapping[str, Any], unit: Unit, options: Sequence[Mapping[str, Any]] = ()
) -> SafeString:
    """The damage of a case on its teeth; hatched below the dashed line is what the option's cut-back clears.

    options: all there are; what each of the others would cut back is a thin line with the option's number.
    """
    teeth = case["tool"]["teeth"]
    marks = list_marks(case)
    cuts = [other["cut_back_mm"] for other in options if other["end"]]
    shown = _shown_length(case, [option["cut_back_mm"], *cuts], marks)
    scale, bottom = (HEIGHT - TOP) / shown, float(HEIGHT)
    lefts = [LEFT + k * (STRIP + GAP) for k in range(teeth)]
    right = lefts[-1] + STRIP
    deepest = max([find_depth(mark) for mark in marks], default=0.0) or 1.0
    parts: list[SafeString] = [svg.hatch("off-flank")]
    parts += [svg.rect((x, TOP), (STRIP, bottom - TOP), "body") for x in lefts]
    parts += [_blot(mark, find_span(mark, case), scale, bottom, deepest) for mark in marks]
    parts += [svg.rect((x, TOP), (STRIP, bottom - TOP), "was") for x in lefts]
    parts += [svg.text((x + STRIP / 2, bottom + 18), str(k + 1), anchor="middle") for k, x in enumerate(lefts)]
    parts += _others(options, option, scale, bottom, right)
    parts += _cut(option, scale, bottom, right)
    parts += _scale([find_span(mark, case)[1] for mark in marks], option, shown, scale, bottom, unit)
    parts += [
        svg.text((0, bottom + 38), "each strip a tooth, its end below;", look="note"),
        svg.text(
            (0, bottom + 56), "darker: deeper damage" + ("; hatched: ground off" if option["end"] else ""), look="note"
        ),
    ]
    if len(cuts) > 1:
        parts.append(svg.text((0, bottom + 74), "thin: what other options cut back", look="note"))
    return svg.wrap(
        max(right + 34, 300.0),
        HEIGHT + FOOT,
        f"Damage on {teeth} teeth, unrolled, and a cut-back of {svg.in_unit(option['cut_back_mm'], unit)}",
        parts,
    )


def _shown_length(case: Mapping[str, Any], cuts_mm: Sequence[float], marks: Sequence[Mapping[str, Any]]) -> float:
    """As much of the flute as the marks and the cut-back need, seen from the end."""
    flute = svg.mm_of(case["tool"]["flute_length"]) or 1.0
    ends = [svg.mm_of(m.get("end_depth")) or 0.0 for m in case["damage"]]
    reach = max([find_span(m, case)[1] for m in marks] + ends + [*cuts_mm, flute / 20])
    return min(flute, reach * 1.4)


def _blot(
    mark: Mapping[str, Any], span: tuple[float, float], scale: float, bottom: float, deepest: float
) -> SafeString:
    start, to = span
    x = LEFT + (mark["tooth"] - 1) * (STRIP + GAP) + 6
    top = max(float(TOP), bottom - to * scale)
    height = max(3.0, bottom - start * scale - top)
    return svg.rect((x, top), (STRIP - 12, height), "damage", 0.25 + 0.6 * min(1.0, find_depth(mark) / deepest))


def _cut(option: Mapping[str, Any], scale: float, bottom: float, right: float) -> list[SafeString]:
    if not option["end"]:
        return []
    y = bottom - option["cut_back_mm"] * scale
    corners = [(LEFT, y), (right, y), (right, bottom), (LEFT, bottom)]
    return [svg.path(corners, "hatch", fill="off-flank"), svg.line((LEFT - 8, y), (right + 8, y), "limit")]


def _others(
    options: Sequence[Mapping[str, Any]], option: Mapping[str, Any], scale: float, bottom: float, right: float
) -> list[SafeString]:
    parts: list[SafeString] = []
    taken: list[float] = []
    for number, other in sorted(enumerate(options, 1), key=lambda pair: pair[1] is not option):
        y = bottom - other["cut_back_mm"] * scale
        chosen = other is option
        if not other["end"] or not (chosen or other["cut_back_mm"] != option["cut_back_mm"]):
            continue
        parts += [] if chosen else [svg.line((LEFT - 8, y), (right + 8, y), "centre")]
        if all(abs(y - other_y) > CLOSE_PX for other_y in taken):
            taken.append(y)
            parts.append(
                svg.text((right + 12, y + 5), str(number), size=16, look="chosen-number" if chosen else "note")
            )
    return parts


def _scale(
    tops: Sequence[float], option: Mapping[str, Any], shown: float, scale: float, bottom: float, unit: Unit
) -> list[SafeString]:
    """How far from the end: the cut, where marks end, and the top of what is drawn."""
    heights = [option["cut_back_mm"]] if option["end"] else []
    heights += [*sorted(set(tops), reverse=True), shown]
    parts, taken = [svg.text((LEFT - 14, bottom + 5), "end", anchor="end", look="note")], [bottom]
    for height in heights:
        y = bottom - height * scale
        if height <= shown and all(abs(y - other) > CLOSE_PX for other in taken):
            taken.append(y)
            cut = option["end"] and height == option["cut_back_mm"]
            parts += [
                svg.line((LEFT - 10, y), (LEFT, y), "dim"),
                svg.text((LEFT - 14, y + 5), svg.in_unit(height, unit), anchor="end", look="" if cut else "note"),
            ]
    return parts
