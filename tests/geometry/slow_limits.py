"""Limits, their uncertainty by small steps of every input, verdicts, and regrinds counted one by one."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import count

from tests.geometry.slow_case import Case
from tests.geometry.slow_section import lowest_radius, rake_deg
from tests.geometry.slow_state import (
    Inputs,
    Option,
    Pick,
    cut_back,
    face_now,
    inputs_of,
    new_radius,
    past_heel,
    picks,
    radii,
    usable_length,
)

ORDER = ("diameter", "diameter_floor", "rake_deg", "flute_depth", "usable_length", "flute_floor", "published_reduction")
STEP = 1e-4
# What small steps leave where every slope is really 0 (a rake given at the edge itself, on a small arc): up to some
# 1e-7 mm or degrees, a thousandth of what any gauge of the cases brings.
NOISE = 2e-7


def published_least_mm(nominal: Fraction) -> Fraction | None:
    """The least diameter by the published reductions; None below the first band, in a gap that of the next band."""
    # Read from a maker's technical tip: .250 to .500 in 15 %, .562 to .625 in 12 %, .750 to 1 in 10 %,
    # over 1 in 8 %.
    inches = nominal / Fraction(254, 10)
    if inches < Fraction(1, 4):
        return None
    off = [per_cent for most, per_cent in ((Fraction(1, 2), 15), (Fraction(5, 8), 12), (1, 10)) if inches <= most]
    return nominal - nominal * Fraction(off[0] if off else 8, 100)


def diameter_floor_mm(case: Case) -> Fraction:
    """The least diameter where the customer names none: a tenth off, where nothing is published."""
    least = published_least_mm(case.nominal)
    return case.nominal - case.nominal / 10 if least is None else least


def flute_floors_mm(case: Case) -> list[Fraction]:
    """The lengths of flute to keep in all, where the customer names no usable length."""
    return [case.nominal, case.new_flute / 2]


def limits_asked(case: Case, option: Option) -> dict[str, object]:
    """Each limit by name with the least value allowed, in the order in which the lines are to come."""
    published = published_least_mm(case.nominal) if case.published else None
    asked = dict(case.limits)
    if "diameter" not in asked and published is None:
        asked["diameter_floor"] = diameter_floor_mm(case)
    if "usable_length" not in asked and option.x > 0:
        asked["flute_floor"] = sorted([*flute_floors_mm(case), case.flute - case.flute / 4])[-1]
    if published is not None:
        asked["published_reduction"] = published
    return {name: asked[name] for name in ORDER if name in asked}


def value_of(name: str, case: Case, q: Inputs, option: Option, pick: Pick, best: bool = False) -> object:
    """The quantity that a limit looks at, for these inputs."""
    if name == "usable_length":
        return usable_length(case, q, option, pick)
    if name == "flute_floor":
        return q["flute_length"] - cut_back(case, q, option, pick)
    x = new_radius(case, q, option, pick, best)
    if name == "flute_depth":
        return x - q["core_diameter"] / 2
    if name in ("rake_deg", "face_reach"):
        face = face_now(case, q, radii(case, q, pick, best)[1])
        return rake_deg(face, float(x)) if name == "rake_deg" else lowest_radius(face) - float(x)
    return 2 * x


def spreads(case: Case) -> dict:
    """The standard uncertainty of each input that has one."""
    given = case.spread
    found = {"diameter": given.get("diameter", 0.0), "flute_length": given.get("flute_length", 0.0)}
    for name in ("core_diameter", "rake_deg"):
        found[name] = given.get(name, 0.0)
    if case.readings_given:
        found |= {("reading", i): given.get("tooth_reading", 0.0) for i in range(case.teeth)}
    found |= {("end", k): given.get("depth", 0.0) for k in range(len(case.ends))}
    for k, mark in enumerate(case.marks):
        name = "wear_land" if mark.depth is None else "depth"
        found["wear" if mark.depth is None else "depth", k] = given.get(name, 0.0)
    return {key: spread for key, spread in (found | case.defaulted).items() if spread}


def slopes(name: str, case: Case, option: Option, pick: Pick, best: bool = False) -> dict:
    """The change of the final value with each uncertain input, by central differences of two widths."""
    q = {key: float(value) if value is not None else None for key, value in inputs_of(case).items()}
    top = radii(case, q, pick, best)[1]
    q |= {("past heel", k): past_heel(case, q, k, top) for _, k in [key for key in q if key[0] == "wear"]}

    def rise(key: object, step: float) -> float:
        up = value_of(name, case, q | {key: q[key] + step}, option, pick, best)
        down = value_of(name, case, q | {key: q[key] - step}, option, pick, best)
        return math.nan if up is None or down is None else (up - down) / (2 * step)

    def slope(key: object) -> float:
        for step in (STEP, STEP / 30, STEP / 1000):
            narrow, wide = rise(key, step), rise(key, 2 * step)
            # Near the end of an arc the rake turns ever faster: take smaller steps until two widths agree.
            if abs(narrow - wide) <= 1e-6 * abs(narrow) + 1e-9:
                break
        return (4 * narrow - wide) / 3

    return {key: slope(key) for key in spreads(case) if q.get(key) is not None}


def expanded_uncertainty(name: str, case: Case, option: Option, best: bool = False) -> float:
    """Twice the root of the sum of squares, the largest over all teeth, pairs and marks that tie."""
    spread = spreads(case)
    if not spread:
        return 0.0
    largest = 0.0
    for pick in picks(case, inputs_of(case), option, best):
        slope = slopes(name, case, option, pick, best)
        largest = max(largest, 2 * math.sqrt(sum((slope[key] * spread[key]) ** 2 for key in slope)))
    return largest if largest > NOISE else 0.0


def defaults_under(name: str, case: Case, option: Option) -> set[str]:
    """The defaulted fields that move the value of a limit."""
    found = set()
    q = inputs_of(case)
    for pick in picks(case, q, option) if case.defaulted else ():
        # Where the face ends above the new radius there is no rake: what counts is by how much it ends above.
        asked = "face_reach" if value_of(name, case, q, option, pick) is None else name
        slope = slopes(asked, case, option, pick)
        found |= {key for key in case.defaulted if abs(slope.get(key, 0.0)) > 1e-9}
    return found


def judge(margin: float | None, uncertainty: float | None) -> str:
    if margin is None:
        return "outside"
    margin, uncertainty = round(margin, 9), round(uncertainty, 9)
    if margin >= uncertainty:
        return "inside"
    return "outside" if margin <= -uncertainty else "too_close"


def limit_lines(case: Case, option: Option, best: bool = False) -> list[dict]:
    """One line per limit that was asked for."""
    q = inputs_of(case)
    pick = picks(case, q, option, best)[0]
    lines = []
    for name, least in limits_asked(case, option).items():
        value = value_of(name, case, q, option, pick, best)
        margin = None if value is None else float(value - least)
        spread = None if value is None else expanded_uncertainty(name, case, option, best)
        lines.append(
            {
                "limit": name,
                "value": None if value is None else float(value),
                "at_least": float(least),
                "margin": margin,
                "expanded_uncertainty": spread,
                "verdict": judge(margin, spread),
            }
        )
    return lines


def regrinds_left(case: Case, option: Option) -> int | None:
    """Grind the tool on paper, again and again, until a hard limit is broken."""
    if not case.stock and not case.cut_back:
        return None
    q = inputs_of(case)
    pick = picks(case, q, option)[0]
    x, length = new_radius(case, q, option, pick), usable_length(case, q, option, pick)
    flute = case.flute - cut_back(case, q, option, pick)
    face = face_now(case, q, radii(case, q, pick)[1])
    if not _stands(case, q, face, x, length, flute):
        return 0
    charged = case.ground_before or option.sides
    for regrinds in count():
        x, length, flute = x - case.stock, length - case.cut_back, flute - case.cut_back
        if case.stock and not charged:
            length, charged = length - case.stylus, True
        if not _stands(case, q, face, x, length, flute):
            return regrinds


def _stands(case: Case, q: Inputs, face: object, x: Fraction, length: Fraction, flute: Fraction) -> bool:
    slack = Fraction(-1, 10**9)
    if x <= q["core_diameter"] / 2 or length <= 0:
        return False
    if "diameter" not in case.limits and 2 * x - diameter_floor_mm(case) < slack:
        return False
    if "usable_length" not in case.limits and any(flute - least < slack for least in flute_floors_mm(case)):
        return False
    values = {"diameter": 2 * x, "flute_depth": x - q["core_diameter"] / 2, "usable_length": length}
    if q.get("face_arc_radius") is not None and "rake_deg" in case.limits:
        rake = rake_deg(face, float(x))
        if rake is None or rake - case.limits["rake_deg"] < slack:
            return False
    return all(values[name] - least >= slack for name, least in case.limits.items() if name in values)


def counted_to(case: Case) -> dict[str, float | None]:
    """What the counting of regrinds goes down to."""
    named = case.limits
    flute = None if "usable_length" in named else float(max(flute_floors_mm(case)))
    return {
        "diameter_mm": float(named.get("diameter", diameter_floor_mm(case))),
        "usable_length_mm": float(named["usable_length"]) if flute is None else None,
        "flute_mm": flute,
    }
