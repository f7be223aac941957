"""How the tool stands and how far its sides come down, for given inputs and a given choice of teeth.

Where a largest or a smallest has to be taken, the choice is passed in, so that the same lines give the exact
answer (with fractions) and a smooth function to differentiate by small steps (with floats).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from tests.geometry.slow_case import Case
from tests.geometry.slow_section import Face, draw_face, rake_deg, worn_depth, worn_past_heel

TIE_MM = Fraction(1, 10**9)
Inputs = dict


@dataclass(frozen=True)
class Option:
    """One cut-back: the depth x it clears, the marks left on the sides, and those behind the reach."""

    x: Fraction
    left: tuple[int, ...]
    beyond: tuple[int, ...]

    @property
    def sides(self) -> bool:
        return bool(self.left)


@dataclass(frozen=True)
class Pick:
    """Which tooth is highest, which pair largest, what stops the clean-up, which end mark is deepest."""

    top: int | None
    pair: tuple[int, int] | None
    stop: tuple | None
    end: int | None


def inputs_of(case: Case) -> Inputs:
    """Every number that can carry an uncertainty, exactly."""
    q: Inputs = {"diameter": case.diameter, "flute_length": case.flute, **case.fields}
    q |= {("reading", i): h for i, h in enumerate(case.readings or ())}
    q |= {("end", k): depth for k, depth in enumerate(case.ends)}
    q |= {("depth", k): m.depth for k, m in enumerate(case.marks) if m.depth is not None}
    q |= {("wear", k): m.wear_land for k, m in enumerate(case.marks) if m.wear_land is not None}
    return q


def radii(case: Case, q: Inputs, pick: Pick, best: bool = False) -> tuple[list, object]:
    """Each tooth's radius (lowest and highest of all where a total reading is known), and the highest's."""
    if case.tir is not None:
        low = q["diameter"] / 2 - _share_below(case, best) * case.tir
        return [low, low + case.tir], low + case.tir
    h = [q["reading", i] for i in range(case.teeth)]
    if case.method == "swept":
        base = q["diameter"] / 2 - h[pick.top]
    elif case.method == "v-anvil":
        base = q["diameter"] / 2 - sum(h) / case.teeth
    else:
        base = (q["diameter"] - h[pick.pair[0]] - h[pick.pair[1]]) / 2
    return [base + reading for reading in h], base + h[pick.top]


def _share_below(case: Case, best: bool) -> Fraction:
    """How much of the total reading the low tooth may lie below half the measured diameter."""
    n = case.teeth
    if case.method == "swept":
        return Fraction(1)
    if case.method == "v-anvil":
        return Fraction(1, n) if best else Fraction(n - 1, n)
    return Fraction(1, 2) if best or n == 2 else Fraction(1)


def rake_now(case: Case, q: Inputs, top: object) -> float:
    """The rake of the tool as it stands; a catalogue's rake is carried down from the nominal diameter."""
    if "rake_deg" not in case.defaulted:
        return float(q["rake_deg"])
    new = draw_face(float(case.nominal) / 2, float(q["rake_deg"]), float(q["core_diameter"]) / 2, _arc(q))
    carried = rake_deg(new, float(top))
    # A measured arc that ends above today's edge: how the program then takes its own default is its choice.
    return float(q["rake_deg"]) if carried is None else carried


def face_now(case: Case, q: Inputs, top: object) -> Face:
    return draw_face(float(top), rake_now(case, q, top), float(q["core_diameter"]) / 2, _arc(q))


def _arc(q: Inputs) -> float | None:
    return None if q.get("face_arc_radius") is None else float(q["face_arc_radius"])


def depth(case: Case, q: Inputs, k: int, top: object) -> object:
    """The radial depth of mark k, from its wear land where that was measured."""
    if ("depth", k) in q:
        return q["depth", k]
    width, land, primary = (float(q[key]) for key in (("wear", k), "primary_land", "primary_relief_deg"))
    secondary = float(q["secondary_relief_deg"]) if past_heel(case, q, k, top) else None
    found = worn_depth(width, land, primary, secondary, rake_now(case, q, top))
    return Fraction(found) if isinstance(q["diameter"], Fraction) else found


def past_heel(case: Case, q: Inputs, k: int, top: object) -> bool:
    """Whether the wear land of mark k ends behind the heel, or what `q` says of it.

    At the heel the depth has a kink: small steps have to stay on the side on which the tool is.
    """
    if ("past heel", k) in q:
        return q["past heel", k]
    if q.get("secondary_relief_deg") is None:
        return False
    width, land, primary = (float(q[key]) for key in (("wear", k), "primary_land", "primary_relief_deg"))
    return worn_past_heel(width, land, primary, rake_now(case, q, top))


def tops(case: Case, q: Inputs) -> list[tuple[int | None, tuple[int, int] | None]]:
    """Every choice of highest tooth and largest pair, ties included."""
    if case.tir is not None:
        return [(None, None)]
    h = [q["reading", i] for i in range(case.teeth)]
    highest = [i for i in range(case.teeth) if max(h) - h[i] <= TIE_MM]
    if case.method != "micrometer":
        return [(i, None) for i in highest]
    half = case.teeth // 2
    largest = max(h[i] + h[i + half] for i in range(half))
    pairs = [(i, i + half) for i in range(half) if largest - h[i] - h[i + half] <= TIE_MM]
    return list(product(highest, pairs))


def stops(case: Case, q: Inputs, option: Option, pick: Pick, best: bool = False) -> list[tuple]:
    """What holds the clean-up back in this option: each tooth or mark that does so, ties included."""
    labels = _stop_labels(case, q, option, pick, best)
    reached = {label: stop_radius(case, q, label, pick, best) for label in labels}
    return [label for label in labels if reached[label] - min(reached.values()) <= TIE_MM]


def _stop_labels(case: Case, q: Inputs, option: Option, pick: Pick, best: bool) -> list[tuple]:
    if case.tir is None:
        return [("tooth", i) for i in range(case.teeth)] + [("mark", k) for k in option.left]
    if not best:
        return [("low", k) for k in option.left]
    return [("high", k) for k in option.left] + _least_labels(case, q, option, pick)


def _least_labels(case: Case, q: Inputs, option: Option, pick: Pick) -> list[tuple]:
    """The tooth whose deepest mark is the smallest, which in the best case is the low one."""
    top = radii(case, q, pick, best=True)[1]
    deepest = []
    for tooth in range(case.teeth):
        own = [k for k in option.left if case.marks[k].tooth == tooth]
        if not own:
            return [("low", None)]
        most = max(depth(case, q, k, top) for k in own)
        deepest.append((most, [k for k in own if most - depth(case, q, k, top) <= TIE_MM]))
    least = min(most for most, _ in deepest)
    return [("low", k) for most, own in deepest if most - least <= TIE_MM for k in own]


def stop_radius(case: Case, q: Inputs, label: tuple, pick: Pick, best: bool = False) -> object:
    """The radius to which one tooth or mark lets the sides come, before the finish allowance."""
    teeth, top = radii(case, q, pick, best)
    what, which = label
    if what == "tooth":
        return teeth[which]
    own = {"low": 0, "high": 1}.get(what, case.marks[which].tooth if which is not None else 0)
    return teeth[own] - (0 if which is None else depth(case, q, which, top))


def new_radius(case: Case, q: Inputs, option: Option, pick: Pick, best: bool = False) -> object:
    """The radius the sides have after the option: cleaned up, or the highest tooth's where they are left."""
    if not option.sides:
        return radii(case, q, pick, best)[1]
    return stop_radius(case, q, pick.stop, pick, best) - _like(case.finish_radial, q)


def cut_back(case: Case, q: Inputs, option: Option, pick: Pick) -> object:
    """What comes off the end; the deepest end mark's own depth counts where it sets the cut-back."""
    if option.x == 0:
        return _like(Fraction(0), q)
    x = q["end", pick.end] if pick.end is not None else _like(option.x, q)
    return x + _like(case.finish_end, q)


def usable_length(case: Case, q: Inputs, option: Option, pick: Pick) -> object:
    lost = case.stylus if option.sides and not case.ground_before else Fraction(0)
    return q["flute_length"] - cut_back(case, q, option, pick) - _like(lost, q)


def _like(value: Fraction, q: Inputs) -> object:
    return value if isinstance(q["diameter"], Fraction) else float(value)


def picks(case: Case, q: Inputs, option: Option, best: bool = False) -> list[Pick]:
    """Every choice of teeth, pairs and marks that leads to the same answer."""
    deepest = max(case.ends, default=Fraction(0))
    ends = [k for k, d in enumerate(case.ends) if d == deepest == option.x] or [None]
    found = []
    for (top, pair), end in product(tops(case, q), ends):
        start = Pick(top, pair, None, end)
        for stop in stops(case, q, option, start, best) if option.sides else [None]:
            found.append(Pick(top, pair, stop, end))
    return found
