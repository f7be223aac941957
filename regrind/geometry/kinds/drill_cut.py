"""How far back a drill's marks ask its point to be cut."""

import math

from regrind.geometry.kinds.drill_case import HELIX, Drill
from regrind.geometry.kinds.kind import Terms, take
from regrind.geometry.kinds.marks import Mark, find_wear_depth
from regrind.geometry.kinds.quantity import Quantity, find_largest, tan


def find_least_cut_back(drill: Drill, terms: Terms) -> tuple[Quantity, ...]:
    """The least cut-back in mm, from the whole corner back, that clears every mark; ties of what sets it.

    Source: old lip against new lip in the plane of the lips; docs/kinds-notes.md.

    >>> from regrind.geometry.kinds.example import read_example
    >>> round(find_least_cut_back(*read_example("drill"))[0].value, 9)
    1.3
    """
    corner = terms.read(drill.margins.diameter_mm, "diameter") * (drill.point.shift / 2)
    marks = (mark for mark in drill.marks if mark.length_mm)
    needs = [Quantity(0.0), -corner, *(find_need(mark, drill, terms, corner) for mark in marks)]
    return tuple(need + drill.finish_mm for need in find_largest(needs))


def find_need(mark: Mark, drill: Drill, terms: Terms, corner: Quantity) -> Quantity:
    """The cut-back in mm that clears one mark, without the finish; corner: how much nearer the new corner's lip comes.

    Source: docs/kinds-notes.md, drills.

    >>> from regrind.geometry.kinds.example import read_example
    >>> drill, terms = read_example("drill")
    >>> find_need(drill.marks[0], drill, terms, Quantity(0.0)).value
    1.2
    """
    length, half = terms.read(mark.length_mm, mark.field, "damage"), drill.point.half_point_rad
    if mark.damage_kind == "lip_chip":
        deepest_in = terms.read(mark.at_mm, f"{mark.field}.at", "damage") + length * math.cos(half)
        return length / math.sin(half) - deepest_in * drill.point.shift
    if mark.damage_kind == "wear_land":
        rake = take(drill.point.helix_deg, HELIX) * math.radians(1)
        return find_wear_depth(length, tan(Quantity(drill.point.lip_relief_rad or 0.0)), tan(rake))
    return length - corner if mark.damage_kind == "chisel_depth" else length
