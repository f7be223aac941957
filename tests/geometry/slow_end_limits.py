"""The limits of an option of an end, worked out slowly: value, need and spread of each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from tests.geometry import slow_limits
from tests.geometry.slow_end_case import EndCase, mm
from tests.geometry.slow_ends import (
    SAME,
    State,
    cut_after,
    need_at,
    radius_after,
    spread_of,
    stop_at,
)
from tests.geometry.slow_faces import FaceOption, back_after, ground, width_of
from tests.geometry.slow_section import draw_face, rake_deg

STEP = 2e-5


def face_now(state: State) -> object:
    arc = state.case.plain.fields.get("face_arc_radius")
    return draw_face(state.high, state.q["rake_deg"], state.q["core_diameter"] / 2, None if arc is None else float(arc))


def limits_asked(case: EndCase, option: object) -> dict[str, float]:
    """Each limit by name, in the order of the lines."""
    plain, face, published = case.plain, isinstance(option, FaceOption), None
    if plain.published:
        published = slow_limits.published_least_mm(plain.nominal)
    asked = {key: float(value) for key, value in plain.limits.items()}
    if "diameter" not in asked and published is None:
        asked["diameter_floor"] = float(slow_limits.diameter_floor_mm(plain))
    if "usable_length" not in asked and option.cut_back > 0:
        asked["flute_floor"] = max(float(plain.flute) * 0.75, *map(float, slow_limits.flute_floors_mm(plain)))
    if published is not None:
        asked["published_reduction"] = float(published)
    order = list(slow_limits.ORDER)
    if face:
        asked |= tooth_limits(case)
        order += ["relief_deg", "tooth_width", "tooth_width_floor"]
    return {name: asked[name] for name in order if name in asked}


def tooth_limits(case: EndCase) -> dict[str, float]:
    asked = {}
    if "relief_deg" in case.limits:
        asked["relief_deg"] = float(case.limits["relief_deg"])
    if "tooth_width" in case.limits:
        asked["tooth_width"] = mm(case.limits["tooth_width"])
    elif "tooth_width" in case.tool:
        asked["tooth_width_floor"] = mm(case.tool["tooth_width"]) / 2
    return asked


def value_of(name: str, state: State, option: object, stop: tuple, cut: tuple | None) -> float | None:
    """What a limit looks at, for these inputs and this choice of what sets radius and cut-back."""
    face = isinstance(option, FaceOption)
    if name in ("usable_length", "flute_floor"):
        if face:
            gone = option.cut_back if cut is None else state.joined() + float(state.case.plain.finish_end)
        else:
            gone = cut_after(state, option, stop, cut)
        lost = float(state.case.plain.flute) - option.cut_back - option.usable if name == "usable_length" else 0.0
        return state.q["flute_length"] - gone - lost
    if face:
        back = back_after(state, stop)
        new = ground(state, back)
        radius, rake = new["radius"], new["rake"]
        if name == "relief_deg":
            return new["relief"]
        if name.startswith("tooth_width"):
            return width_of(state, back)
    else:
        radius = radius_after(state, option, stop)
        rake = rake_deg(face_now(state), radius) if name == "rake_deg" else None
    if name == "rake_deg":
        return rake
    return radius - state.q["core_diameter"] / 2 if name == "flute_depth" else 2 * radius


def limit_lines(state: State, option: object) -> list[dict]:
    lines = []
    for name, least in limits_asked(state.case, option).items():
        value = value_of(name, state, option, option.stops[0], (option.cuts or (None,))[0])
        margin = None if value is None else value - least
        spread = None if value is None else expanded(name, state, option)
        lines.append(
            {
                "limit": name,
                "value": value,
                "at_least": least,
                "margin": margin,
                "expanded_uncertainty": spread,
                "verdict": slow_limits.judge(margin, spread),
            }
        )
    return lines


def expanded(name: str, state: State, option: object) -> float:
    """Twice the root of the sum of squares, the largest over what ties."""
    spread, largest = spread_of(state.case), 0.0
    for stop, cut in product(option.stops, option.cuts or (None,)):
        for picked in pick_ties(state, option, stop, cut):
            squares = (slope(name, picked, option, stop, cut, key) * own for key, own in spread.items())
            largest = max(largest, 2 * math.sqrt(sum(square**2 for square in squares)))
    return largest if largest > slow_limits.NOISE else 0.0


def pick_ties(state: State, option: object, stop: tuple, cut: tuple | None) -> Iterator[State]:
    """The state with each of what ties at the end or along an arc taken by itself: one small step would mix them."""
    ends = [k for k in range(len(state.case.ends)) if state.end_need(k) >= state.own_end - SAME]
    states = [replace(state, end_pick=k) for k in ends] or [state]
    if isinstance(option, FaceOption):
        return iter(states)
    corner, accepted = option.corner, option.accepted
    sides = None if stop[0] == "none" else stop_at(state, corner, accepted, stop)
    if stop[0] == "mark":
        states = [
            fixed for one in states for fixed in _fix_angles(one, stop[1], lambda s: stop_at(s, corner, accepted, stop))
        ]
    if cut and cut[0] == "mark" and cut != stop:
        states = [
            fixed
            for one in states
            for fixed in _fix_angles(one, cut[1], lambda s: need_at(s, corner, accepted, sides, cut))
        ]
    return iter(states)


def _fix_angles(state: State, k: int, value) -> list[State]:
    """A mark on an arc narrowed to each of its ends that sets the value as much as the whole of it does."""
    mark = state.case.marks[k]
    if mark.arc is None:
        return [state]
    narrow = []
    for angle in dict.fromkeys(mark.arc):
        marks = [*state.case.marks[:k], replace(mark, arc=(angle, angle)), *state.case.marks[k + 1 :]]
        narrow.append(replace(state, case=replace(state.case, marks=tuple(marks))))
    return [one for one in narrow if abs(value(one) - value(state)) <= SAME] or [state]


def slope(name: str, state: State, option: object, stop: tuple, cut: tuple | None, key: object) -> float:
    def value(step: float) -> float:
        moved = value_of(name, replace(state, q=state.q | {key: state.q[key] + step}), option, stop, cut)
        return math.nan if moved is None else moved

    # too wide bends, too narrow is noise: the widest whose double agrees, unless it strides over a bend
    straight, last, here = [], math.nan, value(0.0)
    for step in (STEP, STEP / 5, STEP / 30, STEP / 200, STEP / 1000):
        up, down = value(step), value(-step)
        narrow, wide = (up - down) / (2 * step), (value(2 * step) - value(-2 * step)) / (4 * step)
        if not math.isfinite(narrow + wide):
            continue
        bend, apart, last = abs(up + down - 2 * here) / step, abs(narrow - wide), (4 * narrow - wide) / 3
        if bend <= 1e-4 * abs(narrow) + 1e-7:
            straight.append((apart, last))
            if apart <= 1e-6 * abs(narrow) + 1e-9:
                return last
    return min(straight)[1] if straight else last
