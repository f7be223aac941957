"""An independent, slow model of the headless plan, written from the papers alone and never from the program.

It answers a valid case with the keys of the plan's interface. `reasons` are those the papers name and that
surely hold; `may_reasons` those that the papers leave open. It is checked against the paper's worked examples.
"""

from __future__ import annotations

import math
from fractions import Fraction

from tests.geometry.slow_case import Case, read_case
from tests.geometry.slow_limits import counted_to, defaults_under, limit_lines, regrinds_left
from tests.geometry.slow_section import heel_drop, land_after, rake_deg, zero_rake_radius
from tests.geometry.slow_state import Option, cut_back, face_now, inputs_of, new_radius, picks, radii, usable_length

# Widest primary land by cutter diameter, inches: the rows at which the width changes in the handbook table
# (memory: Machinery's Handbook, indicator drops for radial relief).
WIDEST_LAND_IN = (
    ("1/16", ".007"),
    ("1/8", ".015"),
    ("1/4", ".020"),
    ("13/32", ".025"),
    ("11/16", ".035"),
    ("9/4", ".040"),
    ("7/2", ".047"),
    ("7", ".060"),
)
RANK = ("sound", "grind", "ask", "scrap")


def answer(case: dict, defaults: list[dict] | None = None) -> dict:
    """The plan of one valid case."""
    known = read_case(case, defaults)
    options = [describe(known, option) for option in options_of(known)]
    if not options:
        return {"options": [], "recommended": None, "verdict": "scrap", "reasons": ["no_option_left"]}
    best = min(range(len(options)), key=lambda i: _preference(known, options[i]))
    chosen = options[best]
    told = {key: chosen[key] for key in ("verdict", "reasons", "may_reasons")}
    return {"options": options, "recommended": best, **told}


def options_of(case: Case) -> list[Option]:
    """Every cut-back there could be, then those that another beats struck out."""
    end = max(case.ends, default=Fraction(0))
    cuts = {end} | {mark.to for mark in case.marks if mark.to > end}
    tried = [_measure(case, _option(case, x)) for x in sorted(cuts)]
    possible = [t for t in tried if t["length"] > 0 and t["radius"] > t["core"]]
    return [t["option"] for i, t in enumerate(possible) if not _beaten(i, possible)]


def _option(case: Case, x: Fraction) -> Option:
    reach = case.flute - case.stylus
    left = [k for k, mark in enumerate(case.marks) if mark.to > x]
    beyond = () if case.ground_before else tuple(k for k in left if case.marks[k].start >= reach)
    return Option(x, tuple(k for k in left if k not in beyond), beyond)


def _measure(case: Case, option: Option) -> dict:
    q = inputs_of(case)
    pick = picks(case, q, option)[0]
    return {
        "option": option,
        "radius": new_radius(case, q, option, pick),
        "length": usable_length(case, q, option, pick),
        "core": q["core_diameter"] / 2,
    }


def _beaten(i: int, possible: list[dict]) -> bool:
    mine = (possible[i]["radius"], possible[i]["length"])
    for j, other in enumerate(possible):
        theirs = (other["radius"], other["length"])
        if theirs == mine and j < i:
            return True
        if theirs != mine and theirs[0] >= mine[0] and theirs[1] >= mine[1]:
            return True
    return False


def describe(case: Case, option: Option) -> dict:
    """One option with all its numbers, limits and reasons."""
    lines = limit_lines(case, option)
    verdict, must, may = _verdict(case, option, lines)
    return {
        **_sizes(case, option),
        **_tooth(case, option),
        "limits": lines,
        "regrinds_left": regrinds_left(case, option),
        "counted_to": counted_to(case),
        "verdict": verdict,
        "reasons": sorted(must),
        "may_reasons": sorted(may),
    }


def _sizes(case: Case, option: Option) -> dict:
    q = inputs_of(case)
    pick, pick_best = picks(case, q, option)[0], picks(case, q, option, best=True)[0]
    worst, best = new_radius(case, q, option, pick), new_radius(case, q, option, pick_best, best=True)
    return {
        "cut_back_mm": float(cut_back(case, q, option, pick)),
        "sides": option.sides,
        "end": option.x > 0,
        "diameter_mm": float(2 * worst),
        "diameter_worst_mm": float(2 * worst),
        "diameter_best_mm": float(2 * best),
        **_removal(case, option, worst, best, pick),
        "usable_length_mm": float(usable_length(case, q, option, pick)),
    }


def _removal(case: Case, option: Option, worst: Fraction, best: Fraction, pick: object) -> dict:
    teeth = radii(case, inputs_of(case), pick)[0]
    if case.tir is None:
        return {"removal_radial_mm": [float(r - worst) if option.sides else 0.0 for r in teeth]}
    low_at_best = radii(case, inputs_of(case), pick, best=True)[0][0]
    ends = [float(low_at_best - best), float(teeth[1] - worst)] if option.sides else [0.0, 0.0]
    return {"removal_radial_mm": None, "removal_radial_range_mm": ends}


def _tooth(case: Case, option: Option) -> dict:
    q = inputs_of(case)
    pick = picks(case, q, option)[0]
    exact_x, top = new_radius(case, q, option, pick), radii(case, q, pick)[1]
    x, face, zero = float(exact_x), face_now(case, q, top), zero_rake_radius(face_now(case, q, top))
    width = _land(case, option, face, x)
    drop = None if width is None else heel_drop(x, width, float(q["primary_relief_deg"]))
    helix = math.degrees(math.atan2(math.tan(math.radians(q["helix_deg"])) * x, float(top)))
    return {
        "rake_deg": rake_deg(face, x),
        "zero_rake_diameter_mm": None if zero is None else 2 * zero,
        "flute_depth_mm": x - float(q["core_diameter"]) / 2,
        "core_ratio": float(q["core_diameter"]) / 2 / x,
        "helix_deg": helix,
        "primary_land_mm": width,
        "heel_drop_mm": drop,
        "secondary_needed": _secondary_needed(q, option, 2 * exact_x, width, drop),
    }


def _land(case: Case, option: Option, face: object, x: float) -> float | None:
    q = inputs_of(case)
    width, secondary = float(q["primary_land"]), q["secondary_relief_deg"]
    if secondary is None or not option.sides:
        return width
    return land_after(face, x, width, float(q["primary_relief_deg"]), float(secondary))


def _secondary_needed(q: dict, option: Option, diameter: Fraction, width: float, drop: float) -> bool | None:
    if not option.sides:
        return False
    if q["secondary_relief_deg"] is None:
        return drop <= 0
    widest = [land for row, land in WIDEST_LAND_IN if Fraction(row) * Fraction("25.4") <= diameter]
    if not widest:
        return None
    return width is None or width > float(Fraction(widest[-1]) * Fraction("25.4"))


def _verdict(case: Case, option: Option, lines: list[dict]) -> tuple[str, set[str], set[str]]:
    if not case.damaged:
        return "sound", set(), {f"{line['verdict']}_{line['limit']}" for line in lines}
    short = [line for line in lines if line["verdict"] != "inside"]
    must = {f"{line['verdict']}_{line['limit']}" for line in short}
    must |= {"mark_beyond_reach"} if option.beyond else set()
    per_tooth = _inside_at_best(case, option, short)
    may = {"measure_per_tooth"} if per_tooth else set()
    if any(line["verdict"] == "outside" for line in short if line["limit"] in per_tooth):
        must |= may
    rests = {line["limit"]: defaults_under(line["limit"], case, option) for line in lines}
    must |= {f"rests_on_default_{field}" for line in short for field in rests[line["limit"]]}
    may |= {f"rests_on_default_{field}" for fields in rests.values() for field in fields}
    # At the nominal diameter itself a catalogue's rake does not move with the core that carries it down.
    may |= {f"rests_on_default_{field}" for field in {"core_diameter"} & set(case.defaulted)}
    return _weigh(case, option, short, must, may, rests, per_tooth)


def _weigh(case, option, short, must, may, rests, per_tooth) -> tuple[str, set[str], set[str]]:
    measured_arc = case.fields.get("face_arc_radius") is not None
    if any(line["limit"] == "rake_deg" for line in short) and not measured_arc:
        (must if option.sides else may).add("rake_from_assumed_arc")
    hard = {"flute_depth"} | ({"rake_deg"} if measured_arc else set())
    scrap = any(
        line["verdict"] == "outside"
        and line["limit"] in hard
        and not rests[line["limit"]]
        and line["limit"] not in per_tooth
        for line in short
    )
    verdict = "scrap" if scrap else "ask" if must else "grind"
    return verdict, must, may


def _inside_at_best(case: Case, option: Option, short: list[dict]) -> set[str]:
    if case.tir is None or not short:
        return set()
    best = {line["limit"]: line["verdict"] for line in limit_lines(case, option, best=True)}
    return {line["limit"] for line in short if best[line["limit"]] == "inside"}


def _preference(case: Case, option: dict) -> tuple:
    left = option["regrinds_left"]
    below = any(line["limit"].endswith("_floor") and line["verdict"] != "inside" for line in option["limits"])
    by_size = (-option["diameter_mm"], option["cut_back_mm"])
    if not case.stock and not case.cut_back:
        by_size = by_size[::-1]
    return (RANK.index(option["verdict"]), below, -left if left is not None else math.inf, *by_size)
