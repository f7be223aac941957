"""The slow model's whole answer to a case with corners, end teeth and faces."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import count

from tests.geometry import slow_limits
from tests.geometry.slow_end_case import EndCase, mm, read_end_case
from tests.geometry.slow_ends import (
    Option,
    State,
    first_state,
    flank_options,
)
from tests.geometry.slow_faces import FaceOption, face_options, ground, width_of
from tests.geometry.slow_model import RANK
from tests.geometry.slow_section import rake_deg

from .slow_end_limits import face_now, limit_lines, tooth_limits


def answer(case: dict) -> dict:
    """The plan of one valid case that names every figure of the tool."""
    known = read_end_case(case)
    state = first_state(known)
    flank = flank_options(state) if "flank" in known.ways else []
    faces, unmeasured = ([], False)
    if "face" in known.ways and (known.marks or known.ends or not flank):
        faces, unmeasured = face_options(state)
    found = [*flank, *faces]
    options = [describe(state, option) for option in found]
    lacks = ["back_not_measured"] if unmeasured else []
    if not options:
        return {"options": [], "recommended": None, "verdict": "scrap", "reasons": ["no_option_left", *lacks]}
    typical = any(option["regrinds_left"] is not None for option in options)
    best = min(range(len(options)), key=lambda i: _preference(known, found[i], options[i], typical))
    chosen = options[best]
    return {
        "options": options,
        "recommended": best,
        "verdict": chosen["verdict"],
        "lacks": lacks,
        "reasons": chosen["reasons"],
        "may_reasons": chosen["may_reasons"],
    }


def _preference(case: EndCase, option: object, told: dict, typical: bool) -> tuple:
    usual = case.kind != "end mill" if isinstance(option, FaceOption) else not option.accepted
    below = any(
        line["limit"] in ("diameter_floor", "flute_floor") and line["verdict"] != "inside" for line in told["limits"]
    )
    left = math.inf if told["regrinds_left"] is None else -told["regrinds_left"]
    sizes = (-round(told["diameter_mm"], 9), round(told["cut_back_mm"], 9))
    return (RANK.index(told["verdict"]), below, not usual, left, *(sizes if typical else sizes[::-1]))


def describe(state: State, option: object) -> dict:
    case, face = state.case, isinstance(option, FaceOption)
    lines = limit_lines(state, option)
    told = {
        "way": "face" if face else "flank",
        "corner_form": (case.corner if face else option.corner).form,
        "cut_back_mm": option.cut_back,
        "end": option.cut_back > 0,
        "diameter_mm": 2 * option.radius,
        "usable_length_mm": option.usable,
        "limits": lines,
        "counted_to": slow_limits.counted_to(case.plain),
    }
    told |= _face_keys(state, option) if face else _flank_keys(state, option)
    if "gash_length" in case.tool:
        told["gash_left_mm"] = max(0.0, mm(case.tool["gash_length"]) - option.cut_back)
    verdict, must, may = _verdict(state, option, lines, told)
    return told | {"verdict": verdict, "reasons": sorted(must), "may_reasons": sorted(may)}


def _flank_keys(state: State, option: Option) -> dict:
    own = option.corner.form != "square" and (option.sides or option.cut_back > 0)
    size = option.radius if option.corner.form == "ball" else option.corner.size
    face = face_now(state)
    return {
        "corner_size_mm": size,
        "corner": option.accepted or own,
        "sides": option.sides,
        "removal_radial_mm": [r - option.radius if option.sides else 0.0 for r in state.teeth],
        "rake_deg": rake_deg(face, option.radius),
        "flute_depth_mm": option.radius - state.q["core_diameter"] / 2,
        "helix_deg": math.degrees(
            math.atan2(math.tan(math.radians(state.case.plain.fields["helix_deg"])) * option.radius, state.high)
        ),
        "regrinds_left": _flank_left(state, option),
    }


def _face_keys(state: State, option: FaceOption) -> dict:
    new = ground(state, option.back)
    none = (
        "removal_radial_mm",
        "rake_deg",
        "zero_rake_diameter_mm",
        "flute_depth_mm",
        "core_ratio",
        "helix_deg",
        "primary_land_mm",
        "heel_drop_mm",
        "secondary_needed",
    )
    return dict.fromkeys(none) | {
        "sides": False,
        "face_relief_deg": new["relief"],
        "face_rake_deg": new["rake"],
        "set_over_mm": new["inside"],
        "face_turn_deg": new["turn"],
        "face_stock_mm": new["stock"],
        "tooth_width_mm": width_of(state, option.back),
        "regrinds_left": _faces_left(state, option),
    }


def _verdict(state: State, option: object, lines: list[dict], told: dict) -> tuple[str, set[str], set[str]]:
    case, face = state.case, isinstance(option, FaceOption)
    ground_at_all = told["cut_back_mm"] > 0 or (
        option.stops[0][0] != "none" if face else option.sides or option.accepted or option.beyond
    )
    if not ground_at_all:
        return "sound", set(), set()
    short = [line for line in lines if line["verdict"] != "inside"]
    must = {f"{line['verdict']}_{line['limit']}" for line in short}
    may, arc = set(), case.plain.fields.get("face_arc_radius") is not None
    if not face and any(line["limit"] == "rake_deg" for line in short) and not arc:
        (must if option.sides else may).add("rake_from_assumed_arc")
    if not face and option.beyond:
        must.add("mark_beyond_reach")
    if face and ground(state, option.back)["past"]:
        must.add("past_primary_land")
    hard = {"flute_depth"} | ({"rake_deg"} if arc else set())
    scrap = any(line["verdict"] == "outside" and line["limit"] in hard for line in short)
    return "scrap" if scrap else "ask" if must else "grind", must | _tells(state, option), may


def _tells(state: State, option: object) -> set[str]:
    case, face = state.case, isinstance(option, FaceOption)
    told = set()
    if "gash_length" in case.tool and option.cut_back > mm(case.tool["gash_length"]) - case.gash_left + 1e-9:
        told.add("gash_again")
    if "centre_recess" in case.tool and option.cut_back > mm(case.tool["centre_recess"]) + 1e-9:
        told.add("recess_again")
    if face and case.plain.readings_given and any(case.plain.readings):
        told.add("runout_stays")
    if not face and option.accepted:
        told.add("corner_changed")
    return told


def _flank_left(state: State, option: Option) -> int | None:
    """Grind the tool on paper, again and again, until a hard limit is broken."""
    plain = state.case.plain
    if not plain.stock and not plain.cut_back:
        return None
    fit = option.corner.size if option.corner.form in ("chamfer", "radius") else 0.0
    q = {"core_diameter": state.q["core_diameter"], "face_arc_radius": plain.fields.get("face_arc_radius")}
    face = face_now(state)
    charged = plain.ground_before or option.sides
    for regrinds in count():
        radius = option.radius - regrinds * float(plain.stock)
        flute = float(plain.flute) - option.cut_back - regrinds * float(plain.cut_back)
        length = option.usable - regrinds * float(plain.cut_back)
        length -= float(plain.stylus) if regrinds and plain.stock and not charged else 0.0
        lengths = (_rounded(value) for value in (radius, length, flute))
        if radius < fit - 1e-9 or not slow_limits._stands(plain, q, face, *lengths):
            return max(regrinds - 1, 0)


def _rounded(value: float) -> Fraction:
    return Fraction(round(value * 1e10), 10**10)


def _faces_left(state: State, option: FaceOption) -> int | None:
    case, plain = state.case, state.case.plain
    if not case.back:
        return None
    q = {"core_diameter": state.q["core_diameter"], "face_arc_radius": plain.fields.get("face_arc_radius")}
    for regrinds in count():
        back = option.back + regrinds * case.back
        new, width = ground(state, back), width_of(state, back)
        length = _rounded(option.usable - regrinds * float(plain.cut_back))
        asked = tooth_limits(case)
        least = asked.get("tooth_width", asked.get("tooth_width_floor", 0.0))
        good = new["relief"] > 1e-9 and new["relief"] >= asked.get("relief_deg", 0.0) - 1e-9
        good = good and (width is None or (width > 1e-9 and width >= least - 1e-9))
        good = good and (
            q["face_arc_radius"] is None
            or "rake_deg" not in plain.limits
            or new["rake"] >= plain.limits["rake_deg"] - 1e-9
        )
        alike = {**q, "face_arc_radius": None}
        if not good or not slow_limits._stands(plain, alike, None, _rounded(new["radius"]), length, length):
            return max(regrinds - 1, 0)
