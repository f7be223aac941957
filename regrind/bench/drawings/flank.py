"""The flank unrolled: a strip per tooth, the end at the bottom, marks darker where deeper, and where it is cut back."""
from typing import Any

from django.utils.safestring import SafeString

from . import svg

HEIGHT, TOP, FOOT, LEFT, STRIP, GAP = 300, 16, 40, 76, 44, 10


def draw_flank(case: dict[str, Any], option: dict[str, Any], unit: str) -> SafeString:
    """The damage of a case on its teeth, with what the option's cut-back clears below the dashed line."""
    teeth = case["tool"]["teeth"]
    flute = svg.mm_of(case["tool"]["flute_length"]) or 1.0
    marks = [m for m in case["damage"] if "tooth" in m]
    ends = [svg.mm_of(m.get("end_depth")) or 0.0 for m in case["damage"]]
    reach = max([svg.mm_of(m["to"]) or 0.0 for m in marks] + ends + [option["cut_back_mm"], flute / 20])
    shown = min(flute, reach * 1.4)
    scale = (HEIGHT - TOP) / shown
    bottom = float(HEIGHT)
    width = LEFT + teeth * (STRIP + GAP) + 16
    lefts = [LEFT + k * (STRIP + GAP) for k in range(teeth)]
    parts = [svg.rect((x, TOP), (STRIP, bottom - TOP), "body") for x in lefts]
    parts += [_blot(mark, scale, bottom) for mark in marks]
    parts += [svg.rect((LEFT + k * (STRIP + GAP), TOP), (STRIP, bottom - TOP), "was") for k in range(teeth)]
    parts += [svg.text((LEFT + k * (STRIP + GAP) + STRIP / 2, bottom + 18), str(k + 1), anchor="middle")
              for k in range(teeth)]
    parts += _cut(option, scale, bottom, width, unit)
    parts += [svg.text((LEFT - 8, TOP + 12), svg.in_unit(shown, unit), anchor="end", look="note"),
              svg.text((LEFT - 8, bottom), "end", anchor="end", look="note"),
              svg.text((LEFT, bottom + 36), "tooth; darker is deeper", look="note")]
    return svg.wrap(width, HEIGHT + FOOT, f"Damage on {teeth} teeth, unrolled, and a cut-back of "
                    f"{svg.in_unit(option['cut_back_mm'], unit)}", parts)


def _blot(mark: dict[str, Any], scale: float, bottom: float) -> SafeString:
    start, to = svg.mm_of(mark["from"]) or 0.0, svg.mm_of(mark["to"]) or 0.0
    deep = svg.mm_of(mark.get("depth")) or (svg.mm_of(mark.get("wear_land")) or 0.0) * 0.2
    x = LEFT + (mark["tooth"] - 1) * (STRIP + GAP) + 6
    top = max(float(TOP), bottom - to * scale)
    height = max(3.0, bottom - start * scale - top)
    return svg.rect((x, top), (STRIP - 12, height), "damage", min(0.9, 0.25 + deep * 4))


def _cut(option: dict[str, Any], scale: float, bottom: float, width: float, unit: str) -> list[SafeString]:
    if not option["end"]:
        return []
    y = bottom - option["cut_back_mm"] * scale
    return [svg.rect((LEFT, y), (width - LEFT - 16, bottom - y), "off"),
            svg.line((LEFT - 8, y), (width - 8, y), "limit"),
            svg.text((LEFT - 12, y + 5), svg.in_unit(option["cut_back_mm"], unit), anchor="end")]
