"""The slow model's options on the flank with any corner: everything worked out anew for every small change of an input.

A `State` is the tool for one set of inputs `q`; a `Work` one corner with one choice of what stops the sides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from tests.geometry.slow_corner import Corner, Track, need_of, put_on_need, radius_of
from tests.geometry.slow_end_case import EndCase, EndMark, mm
from tests.geometry.slow_section import worn_depth, worn_past_heel
from tests.geometry.slow_state import Pick, radii, tops

SAME = 1e-9


def inputs_of(case: EndCase) -> dict:
    """Every number that may be uncertain."""
    plain = case.plain
    q = {"diameter": float(plain.diameter), "flute_length": float(plain.flute), "corner_radius": case.corner.size}
    q |= {"core_diameter": float(plain.fields["core_diameter"]), "rake_deg": float(plain.fields["rake_deg"])}
    q |= {("reading", i): float(h) for i, h in enumerate(plain.readings)}
    q |= {("length", i): h for i, h in enumerate(case.end_readings or ())}
    for k, mark in enumerate(case.marks):
        q |= {(name, k): value for name in ("depth", "wear_land", "back") if (value := getattr(mark, name)) is not None}
    for k, mark in enumerate(case.ends):
        name, value = ("end_depth", mark.depth) if mark.depth is not None else ("end_wear", mark.wear_land)
        q[name, k] = value
    return q


def spread_of(case: EndCase) -> dict:
    """The standard uncertainty of each input that has one."""
    given = {key: mm(value) if isinstance(value, str) else float(value) for key, value in case.spread.items()}
    found = {name: given.get(name, 0.0) for name in ("diameter", "flute_length", "core_diameter", "rake_deg")}
    found["corner_radius"] = given.get("corner_radius", 0.0) if case.corner.form == "radius" else 0.0
    names = {"reading": "tooth_reading", "length": "tooth_reading", "end_depth": "depth", "end_wear": "wear_land"}
    for key in inputs_of(case):
        if not isinstance(key, tuple):
            continue
        read = key[0] != "reading" or case.plain.readings_given
        found[key] = given.get(names.get(key[0], key[0]), 0.0) if read else 0.0
    return {key: spread for key, spread in found.items() if spread}


@dataclass(frozen=True)
class State:
    """Teeth, end and marks for one set of inputs; `pick` says which tooth and pair the gauge took."""

    case: EndCase
    q: dict
    pick: Pick
    end_pick: int | None = None

    @property
    def teeth(self) -> list[float]:
        return [float(r) for r in radii(self.case.plain, self.q, self.pick)[0]]

    @property
    def high(self) -> float:
        return float(radii(self.case.plain, self.q, self.pick)[1])

    @property
    def old(self) -> Corner:
        return replace(self.case.corner, size=self.q["corner_radius"])

    def depth(self, k: int) -> float:
        if ("depth", k) in self.q:
            return self.q["depth", k]
        if ("wear_land", k) not in self.q:
            return 0.0
        fields = self.case.plain.fields
        shape = [float(fields[key] or 0) for key in ("primary_land", "primary_relief_deg", "secondary_relief_deg")]
        second = None if fields["secondary_relief_deg"] is None else shape[2]
        return _worn(self.q["wear_land", k], shape[0], shape[1], second, self.q["rake_deg"])

    def track(self, k: int) -> Track:
        mark, tooth = self.case.marks[k], self.teeth[self.case.marks[k].tooth]
        if mark.arc is None:
            return Track(tooth, self.depth(k), mark.to)
        arc = tooth if self.old.form == "ball" else self.old.size
        return Track(tooth, self.depth(k), 0.0, arc, *map(math.radians, mark.arc))

    def lag(self, tooth: int | None) -> float:
        h = [self.q["length", i] for i in range(len(self.case.end_readings or ()))]
        if not h:
            return 0.0
        longest = (self.case.end_readings or ()).index(0)
        low = min(range(len(h)), key=lambda i: (self.case.end_readings or ())[i])
        return h[longest] - h[low if tooth is None else tooth]

    def end_need(self, k: int) -> float:
        mark: EndMark = self.case.ends[k]
        if ("end_depth", k) in self.q:
            return self.q["end_depth", k] + self.lag(mark.tooth)
        tool = self.case.tool
        land, second = tool.get("end_land"), tool.get("end_secondary_relief_deg")
        both = land is not None and second is not None
        depth = _worn(
            self.q["end_wear", k],
            mm(land) if both else 0.0,
            tool["end_primary_relief_deg"],
            second if both else None,
            tool["end_rake_deg"],
        )
        return depth + self.lag(mark.tooth)

    @property
    def own_end(self) -> float:
        if self.end_pick is not None:
            return self.end_need(self.end_pick)
        return max([self.end_need(k) for k in range(len(self.case.ends))], default=0.0)

    def joined(self) -> float:
        """What an end that is ground at all has to lose."""
        tool = self.case.tool
        now, then = tool.get("dish_deg", 0), tool.get("dish_to_deg", tool.get("dish_deg", 0))
        edge = self.high - (mm(tool.get("end_inner_radius")) or 0.0)
        flatter = edge * max(0.0, math.tan(math.radians(now)) - math.tan(math.radians(then)))
        return max(self.own_end, self.lag(None)) + flatter


def _worn(width: float, land: float, primary: float, secondary: float | None, rake: float) -> float:
    past = secondary is not None and worn_past_heel(width, land, primary, rake)
    return worn_depth(width, land, primary, secondary if past else None, rake)


def first_state(case: EndCase) -> State:
    q = inputs_of(case)
    top, pair = tops(case.plain, q)[0]
    return State(case, q, Pick(top, pair, None, None))


@dataclass(frozen=True)
class Option:
    """One corner with one stop: ("none",) or ("tooth", i) or ("mark", k); `cut` is what sets the cut-back."""

    corner: Corner
    accepted: bool
    stops: tuple
    cuts: tuple
    radius: float
    cut_back: float
    usable: float
    beyond: bool

    @property
    def sides(self) -> bool:
        return self.stops[0][0] != "none"


def reachable(case: EndCase) -> list[int]:
    """Marks that the wheel reaches before the stylus stops it."""
    plain = case.plain
    reach = math.inf if plain.ground_before else float(plain.flute - plain.stylus)
    return [k for k, mark in enumerate(case.marks) if mark.arc is not None or mark.start < reach - SAME]


def new_corner(state: State, corner: Corner, accepted: bool) -> Corner:
    return corner if accepted or corner.form != "radius" else replace(corner, size=state.q["corner_radius"])


def stop_at(state: State, corner: Corner, accepted: bool, stop: tuple) -> float:
    """The radius of the sides before the finish for one stop."""
    if stop[0] == "tooth":
        return state.teeth[stop[1]]
    return radius_of(new_corner(state, corner, accepted), state.own_end, state.track(stop[1]))


def need_at(state: State, corner: Corner, accepted: bool, sides: float | None, cut: tuple) -> float:
    """What one mark, one old corner or the end needs; `sides` None where they are left."""
    new = new_corner(state, corner, accepted)
    if cut[0] == "end":
        return state.joined()
    if cut[0] == "old":
        tooth = state.teeth[cut[1]]
        return put_on_need(state.old, new, tooth, tooth if sides is None else sides)
    track = state.track(cut[1])
    return need_of(new, track.tooth if sides is None else sides, track)


def try_option(state: State, corner: Corner, accepted: bool, bounds: dict, radius: float | None) -> Option | None:
    """The option at one radius after (None: the sides are left)."""
    case, plain = state.case, state.case.plain
    if radius is not None and radius - state.q["core_diameter"] / 2 <= SAME:
        return None
    finish, finish_end = float(plain.finish_radial), float(plain.finish_end)
    sides = None if radius is None else radius + finish
    left = [k for k in bounds if radius is None or bounds[k] - finish < radius - SAME]
    needs = {("mark", k): need_at(state, corner, accepted, sides, ("mark", k)) for k in left}
    if accepted:
        needs |= {("old", i): need_at(state, corner, accepted, sides, ("old", i)) for i in range(plain.teeth)}
    if state.own_end > 0:
        needs["end",] = state.own_end
    most = max(needs.values(), default=-math.inf)
    cut_back, cuts = 0.0, ()
    if round(most + finish_end, 9) > 0:
        needs["end",] = state.joined()
        most = max(needs.values())
        cut_back, cuts = most + finish_end, tuple(cut for cut, need in needs.items() if need >= most - SAME)
    if radius is None:
        stops: tuple = (("none",),)
    else:
        stops = tuple(("tooth", i) for i, r in enumerate(state.teeth) if r <= sides + SAME)
        stops += tuple(("mark", k) for k in bounds if abs(bounds[k] - sides) <= SAME)
    lost = 0.0 if radius is None or plain.ground_before else float(plain.stylus)
    usable = float(plain.flute) - cut_back - lost
    after = max(state.teeth) if radius is None else radius
    least = corner.size if corner.form in ("chamfer", "radius") else 0.0
    if usable <= SAME or after - state.q["core_diameter"] / 2 <= SAME or after < least - SAME:
        return None
    behind = [case.marks[k].to for k in range(len(case.marks)) if k not in bounds]
    beyond = any(to > cut_back - finish_end + SAME if cuts else True for to in behind)
    return Option(corner, accepted, stops, cuts, after, cut_back, usable, beyond)


def options_of(state: State, corner: Corner, accepted: bool) -> list[Option]:
    """Every radius that takes a mark away and none at all, what another beats struck out, by rising cut-back."""
    finish, lowest = float(state.case.plain.finish_radial), min(state.teeth)
    bounds = {k: stop_at(state, corner, accepted, ("mark", k)) for k in reachable(state.case)}
    tried = [None] + [min(lowest, bound) - finish for bound in bounds.values() if bound < math.inf]
    found = [try_option(state, corner, accepted, bounds, radius) for radius in tried]
    return strike([option for option in found if option])


def strike(options: list) -> list:
    """Those that no other beats or, being the earlier, equals."""
    kept = []
    for i, option in enumerate(options):
        better = [
            j
            for j, other in enumerate(options)
            if j != i and covers(other, option) and (j < i or not covers(option, other))
        ]
        if not better:
            kept.append(option)
    return sorted(kept, key=lambda option: option.cut_back)


def covers(one, other) -> bool:
    """Whether `one` leaves as much as `other`, to 1e-8 mm."""
    return 2 * one.radius >= 2 * other.radius - 1e-8 and one.usable >= other.usable - 1e-8


def flank_options(state: State) -> list[Option]:
    case = state.case
    own = options_of(state, case.corner, False)
    found = list(own)
    for corner in case.accept:
        found += [o for o in options_of(state, corner, True) if not any(covers(mine, o) for mine in own)]
    return found


def radius_after(state: State, option: Option, stop: tuple) -> float:
    if stop[0] == "none":
        return state.high
    return stop_at(state, option.corner, option.accepted, stop) - float(state.case.plain.finish_radial)


def cut_after(state: State, option: Option, stop: tuple, cut: tuple | None) -> float:
    if cut is None:
        return 0.0
    sides = None if stop[0] == "none" else stop_at(state, option.corner, option.accepted, stop)
    return need_at(state, option.corner, option.accepted, sides, cut) + float(state.case.plain.finish_end)
