"""The slow model's options on the face: the section drawn with complex numbers, as in `slow_section`."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass

from tests.geometry.slow_end_case import EndCase, mm
from tests.geometry.slow_ends import SAME, State, strike
from tests.geometry.slow_section import BODY, dot, meet


@dataclass(frozen=True)
class FaceOption:
    radius: float
    usable: float
    cut_back: float
    cuts: tuple
    stops: tuple
    back: float


def flank_of(state: State) -> tuple[float, float | None, float]:
    """Primary and secondary relief in degrees and the land; a spiral has no secondary."""
    fields = state.case.plain.fields
    second = None if is_spiral(state) else fields["secondary_relief_deg"]
    return float(fields["primary_relief_deg"]), second, float(fields["primary_land"] or 0)


def is_spiral(state: State) -> bool:
    kind = state.case.kind
    return state.case.tool.get("relief_form", "flat" if kind == "end mill" else "spiral") == "spiral"


def back_of(state: State, k: int) -> float | None:
    """How far behind the edge a mark ends: where its wear land leaves the flank."""
    if ("back", k) in state.q:
        return state.q["back", k]
    if ("wear_land", k) not in state.q:
        return None
    primary, second, land = flank_of(state)
    width, down = state.q["wear_land", k], -1j * cmath.exp(-1j * math.radians(state.q["rake_deg"]))
    for start, relief, most in _pieces(primary, second, land):
        along = BODY * cmath.exp(1j * math.radians(relief))
        reach = meet(start + width, along, 0j, down)
        if reach is not None and reach <= most + 1e-15:
            return -(start + reach * along).real
    raise AssertionError("every wear land ends somewhere")


def _pieces(primary: float, second: float | None, land: float) -> list[tuple[complex, float, float]]:
    """Straight parts of the flank: where each starts, its relief and how far it goes, the edge at 0."""
    if second is None:
        return [(0j, primary, math.inf)]
    heel = land * BODY * cmath.exp(1j * math.radians(primary))
    return [(0j, primary, land), (heel, second, math.inf)]


def finish_of(state: State) -> float:
    """How far the edge moves back for the finish square to the face."""
    across = cmath.exp(-1j * math.radians(state.q["rake_deg"]))
    along = BODY * cmath.exp(1j * math.radians(flank_of(state)[0]))
    shifted = -across * state.case.finish_face
    reach = meet(0j, along, shifted, -1j * across)
    return -(reach * along).real


def ground(state: State, back: float) -> dict:
    """The tooth after its face is ground: new edge, relief, rake, turn, stock, by vectors."""
    r, gamma = state.high, math.radians(state.q["rake_deg"])
    edge, relief, past = _spiral_edge(state, back) if is_spiral(state) else _flat_edge(state, back)
    inside, radius = r * math.sin(gamma), abs(edge)
    # the face is a line as far from the axis as before; its angle to the radius, found by halving
    low, high = -math.pi / 2, math.pi / 2
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if radius * math.sin(middle) < inside else (low, middle)
    rake = (low + high) / 2
    out = edge / radius
    ahead = -1j * out * cmath.exp(-1j * rake)
    # how much the old face's square and the new one's differ, and how far the old edge stands out of the new face
    turn = cmath.phase(ahead / cmath.exp(-1j * gamma))
    return {
        "radius": radius,
        "relief": math.degrees(relief),
        "rake": math.degrees(rake),
        "inside": inside,
        "turn": math.degrees(turn),
        "stock": dot(1j * r - edge, ahead),
        "past": past,
    }


def _flat_edge(state: State, back: float) -> tuple[complex, float, bool]:
    primary, second, land = flank_of(state)
    pieces = _pieces(primary, second, land)
    heel = -pieces[-1][0].real
    past = second is not None and round(back - heel, 9) > 0
    start, angle, _ = pieces[-1] if past else pieces[0]
    along = BODY * cmath.exp(1j * math.radians(angle))
    edge = 1j * state.high + start + along * ((back + start.real) / -along.real)
    tangent = 1j * edge / abs(edge)
    return edge, cmath.phase(along / tangent), past


def _spiral_edge(state: State, back: float) -> tuple[complex, float, bool]:
    fall = math.tan(math.radians(flank_of(state)[0]))

    turn = back / state.high
    edge = state.high * (1 - turn * fall) * cmath.exp(1j * (math.pi / 2 + turn))
    along = 1j * edge - state.high * fall * edge / abs(edge)
    return edge, cmath.phase(along / (1j * edge)), False


def far_end(state: State, k: int) -> float:
    mark = state.case.marks[k]
    if mark.arc is None:
        return mark.to
    track = state.track(k)
    return track.arc - (track.arc - track.depth) * math.cos(track.end)


def face_options(state: State) -> tuple[list[FaceOption], bool]:
    """The options, and whether a mark lacks how far back it goes."""
    case, own = state.case, state.own_end
    ends = [far_end(state, k) for k in range(len(case.marks))]
    found, unmeasured = [], False
    for x in sorted({own, *(to for to in ends if to > own + SAME)}):
        left = [k for k, to in enumerate(ends) if to > x + SAME]
        backs = {k: back_of(state, k) for k in left}
        if None in backs.values():
            unmeasured = True
        elif left or _ends_alone(case):
            found.append(_option(state, x, backs))
    return strike([option for option in found if option]), unmeasured


def _ends_alone(case: EndCase) -> bool:
    """Whether only the end is hurt, or nothing, of a tool that has no other way than the face."""
    alone = case.kind != "end mill" or (not case.ends and case.ways == ("face",))
    return alone and not case.marks


def _option(state: State, x: float, backs: dict) -> FaceOption | None:
    case = state.case
    most = max(backs.values(), default=0.0)
    back = most + finish_of(state) if backs else 0.0
    cut_back, cuts = 0.0, ()
    if x > 0:
        needs = {("at", x): x, ("end",): state.joined()}
        cut_back = max(needs.values()) + float(case.plain.finish_end)
        cuts = (("end",),) if state.joined() >= x - SAME else ()
    new, width = ground(state, back), width_of(state, back)
    usable = float(case.plain.flute) - cut_back
    core = state.q["core_diameter"] / 2
    if min(usable, new["radius"] - core, new["radius"] - abs(new["inside"]), new["relief"]) <= SAME:
        return None
    if width is not None and width <= SAME:
        return None
    stops = tuple(("mark", k) for k, own in backs.items() if own >= most - SAME) or (("none",),)
    return FaceOption(new["radius"], usable, cut_back, cuts, stops, back)


def width_of(state: State, back: float) -> float | None:
    width = mm(state.case.tool.get("tooth_width"))
    return None if width is None else width - back


def back_after(state: State, stop: tuple) -> float:
    return 0.0 if stop[0] == "none" else back_of(state, stop[1]) + finish_of(state)
