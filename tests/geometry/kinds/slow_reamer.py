"""A reamer by points of its chamfer in the axial plane; sizes for holes in exact fractions."""

from __future__ import annotations

import math
from fractions import Fraction

from tests.geometry.kinds.slow_common import SAME, Inputs, Option, answer, least, mm, table, wear_depth
from tests.geometry.slow_lengths import length_mm

MICROMETRE = Fraction(1, 1000)


def hole_sizes(hole: dict) -> tuple[Fraction, Fraction]:
    nominal = length_mm(hole["nominal"])
    if "class" not in hole:
        return nominal + length_mm(hole["lower_deviation"]), nominal + length_mm(hole["upper_deviation"])
    grade = "IT" + hole["class"][1:]
    for row in table("28_iso286_it"):
        if row["grade"] == grade and Fraction(row["over_mm"]) < nominal <= Fraction(row["up_to_incl_mm"]):
            return nominal, nominal + int(row["tolerance_um"]) * MICROMETRE
    raise AssertionError(hole)


def up(size: Fraction) -> Fraction:
    """To the next whole micrometre, by counting up to it."""
    whole = int(size / MICROMETRE)
    while whole * MICROMETRE < size:
        whole += 1
    return whole * MICROMETRE


class SlowReamer:
    def __init__(self, case: dict) -> None:
        self.case, tool, measured, allow = case, case["tool"], case["measured"], case["allow"]
        self.angle, self.length = math.radians(tool["chamfer_angle_deg"]), mm(tool["chamfer_length"])
        self.finish, self.at = mm(allow["finish"]), mm(measured.get("diameter_at"))
        given = case.get("uncertainty", {})
        self.inputs: Inputs = {"D": mm(measured["diameter"]), "F": mm(tool["flute_length"])}
        self.spread: Inputs = {"D": mm(given.get("diameter")), "F": mm(given.get("flute_length"))}
        self.marks = []
        for number, mark in enumerate(case.get("damage", [])):
            (what,) = set(mark) - {"what"}
            self.inputs[str(number)], self.spread[str(number)] = mm(mark[what]), mm(given.get("damage"))
            self.marks.append((what, str(number)))
        own = "back_taper" in tool
        self.inputs["taper"] = mm(tool["back_taper"]) if own else 0.02
        self.spread["taper"] = 0.0 if own else 0.02 / math.sqrt(3)

    def need(self, x: Inputs, what: str, name: str) -> float:
        """How far the chamfer's line must go back along the axis to pass the bottom of a mark."""
        if what == "worn_margin":
            return x[name]
        deep = x[name]
        if what == "wear_land":
            deep = wear_depth(x[name], math.radians(self.case["tool"]["chamfer_relief_deg"]), 0.0)
        # a point `deep` square to the chamfer, taken at the corner: out 0, back 0
        out, back = -deep * math.cos(self.angle), deep * math.sin(self.angle)
        return least(lambda cut: cut + out / math.tan(self.angle) >= back, -1.0, 1e5)

    def answer(self) -> dict:
        x = self.inputs
        hurt = any(x[name] for _, name in self.marks)
        needs = [(self.need(x, *mark), mark) for mark in self.marks if x[mark[1]]] or [(0.0, None)]
        most = max(0.0, *(need for need, _ in needs)) if hurt else 0.0
        setting = [mark for need, mark in needs if most - need <= SAME] if hurt else [None]
        ground = [lambda y, m=mark: (self.need(y, *m) if m else 0.0) + self.finish for mark in setting]
        options = self.way(ground if hurt else [lambda y: 0.0], hurt, self.case.get("hole"), None)
        for hole in self.case.get("down_size_to", []):
            options += self.way(ground, True, hole, mm(self.case["allow"]["finish_radial"]))
        return answer(options, self.case, x, self.spread, "cut_back")

    def way(self, cuts: list, hurt: bool, hole: dict | None, finish_radial: float | None) -> list[Option]:
        x = self.inputs
        bare = [lambda y, c=c: y["D"] + y["taper"] * (self.at - c(y)) / 100 for c in cuts]
        sizes = None if hole is None else self.sizes(hole)
        diameters = bare
        if finish_radial is not None:
            diameters = self.smaller(bare, sizes, finish_radial)
            if round(diameters[0](x) - sizes[2], 9) < 0:
                return []
        cut, diameter = cuts[0](x), diameters[0](x)
        chamfer, end = self.chamfer(cut, diameter)
        front = diameter - 2 * chamfer * math.tan(self.angle)
        usable = [lambda y, c=c: y["F"] - self.length - c(y) for c in cuts]
        if usable[0](x) <= SAME or front <= SAME:
            return []
        grind = [*(["end"] if end else []), *(["margins"] if finish_radial is not None else []), "chamfer"]
        option = Option(
            grind if hurt else [],
            {
                "cut_back_mm": cut,
                "end_cut_mm": end,
                "chamfer_length_mm": chamfer,
                "front_diameter_mm": front,
                "diameter_mm": diameter,
                "usable_length_mm": usable[0](x),
                "hole": None if sizes is None else self.fit(diameter, sizes),
            },
            {"usable_length": usable, "diameter": diameters},
        )
        self.reasons(option, cut, sizes, finish_radial is not None, diameters)
        typical = mm(self.case.get("typical", {}).get("cut_back"))
        option.after = lambda count: {
            "usable_length": usable[0](x) - count * typical,
            "diameter": diameter - count * x["taper"] * typical / 100,
        }
        return [option]

    def sizes(self, hole: dict) -> tuple[float, ...]:
        lower, upper = hole_sizes(hole)
        most = upper - up((upper - lower) * 15 / 100)
        return tuple(float(size) for size in (lower, upper, most - up((upper - lower) * 35 / 100), most))

    def smaller(self, bare: list, sizes: tuple, finish: float) -> list:
        clean = [lambda y, d=d: d(y) - 2 * finish for d in bare]
        over = clean[0](self.inputs) - sizes[3]
        if over > SAME:
            return [lambda y: sizes[3]]
        return clean if over < -SAME else [*clean, lambda y: sizes[3]]

    def chamfer(self, cut: float, diameter: float) -> tuple[float, float]:
        longer, most = self.length + cut, self.case["allow"].get("chamfer_most")
        too_long = most is not None and round(longer - mm(most), 9) > 0
        pointed = diameter / 2 - longer * math.tan(self.angle) <= SAME / 2
        return (self.length, cut) if cut and (too_long or pointed) else (longer, 0.0)

    def fit(self, diameter: float, sizes: tuple) -> dict:
        lower, upper, new_lower, new_upper = sizes
        d = round(diameter, 9)
        steps = ((lower, "too_small"), (new_lower, "low"))
        verdict = next((word for end, word in steps if d < end), None)
        if verdict is None:
            verdict = "as_new" if d <= new_upper else "high" if d <= upper else "too_large"
        return {
            "verdict": verdict,
            "hole_lower_mm": lower,
            "hole_upper_mm": upper,
            "reamer_lower_mm": new_lower,
            "reamer_upper_mm": new_upper,
            "wear_left_mm": diameter - lower,
        }

    def reasons(self, option: Option, cut: float, sizes: tuple | None, down: bool, diameters: list) -> None:
        x = self.inputs
        moved = {**x, "taper": x["taper"] + 1.0}
        rests = any(abs(rule(moved) - rule(x)) > SAME / 100 for rule in diameters)
        if "back_taper" not in self.case["tool"] and rests:
            for name in ("diameter", "hole_lower", "reamer_upper"):
                option.line_asks[name] = ["rests_on_default_back_taper"]
        worn = max((x[name] for what, name in self.marks if what == "worn_margin"), default=0.0)
        if round(worn - self.at, 9) > 0:
            option.asks.append("diameter_read_on_wear")
        if round(2 * cut - x["F"], 9) > 0:
            option.asks.append("most_of_the_flute")
        if down:
            option.asks.append("new_size_to_agree")
        if sizes is None:
            return
        option.floors["diameter"] = sizes[0]
        if option.figures["hole"]["verdict"] == "low":
            option.tells.append("below_new_size")
        if not down:
            option.bounds = [("hole_lower", "at_least", sizes[0]), ("reamer_upper", "at_most", sizes[3])]
