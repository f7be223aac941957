"""Makes random valid cases with corners, end teeth and faces from the plain cases of `case_maker`."""

from __future__ import annotations

from math import inf
from random import Random

from tests.geometry.case_maker import CaseMaker
from tests.geometry.slow_end_case import mm, read_end_case
from tests.geometry.slow_ends import first_state
from tests.geometry.slow_lengths import length_mm

CORNERS = ("square", "chamfer", "radius", "radius", "ball", "ball")
MAY_BECOME = {"square": ("chamfer", "radius"), "chamfer": ("chamfer",), "radius": ("radius",), "ball": ("radius",)}


class EndMaker:
    """One stream of cases; the same seed gives the same cases."""

    def __init__(self, seed: int) -> None:
        self.rng, self.plain = Random(seed), CaseMaker(seed)

    def case(self, face: bool) -> dict:
        """A fully specified case, on the flank or, `face`, on the face too or alone."""
        case = self.plain.case()
        self._read_teeth(case)
        state = first_state(read_end_case({**case, "damage": []}))
        self.low, self.core = min(state.teeth), state.q["core_diameter"] / 2
        self.d, self.teeth, self.flute = 2 * self.low, case["tool"]["teeth"], mm(case["tool"]["flute_length"])
        self.ends = 0
        self._add_corner(case)
        self._add_end(case)
        case["damage"] = [self._bend(case, mark) for mark in case.get("damage", [])]
        if face:
            self._add_face(case)
        self._keep_what_fits(case)
        return case

    def length(self, size: float) -> str:
        """At least a micrometre, in whole micrometres."""
        return f"{max(round(size * 1000), 1)} um"

    def _read_teeth(self, case: dict) -> None:
        """Readings instead of a total one; where teeth tie for what the gauge took, they carry no uncertainty."""
        measured = case["measured"]
        measured.pop("tir", None)
        h = [mm(text) for text in measured.get("tooth_readings", ["0 mm"] * case["tool"]["teeth"])]
        pairs = (
            sorted(a + b for a, b in zip(h, h[len(h) // 2 :], strict=False))
            if measured["method"] == "micrometer"
            else [0.0]
        )
        if h.count(0.0) > 1 or (len(pairs) > 1 and pairs[-1] - pairs[-2] < 1e-6):
            case.get("uncertainty", {}).pop("tooth_reading", None)

    def _add_corner(self, case: dict) -> None:
        form = self.rng.choice(CORNERS)
        if form != "square" or self.rng.random() < 0.5:
            case["tool"]["corner"] = self._corner(form)
        if self.rng.random() < 0.6:
            own = case["tool"].get("corner", {"form": "square"})
            accept = []
            for _ in range(self.rng.choice((1, 1, 2))):
                corner = self._corner(self.rng.choice(MAY_BECOME[form]))
                if corner != own and corner not in accept:
                    accept.append(corner)
            case["accept"] = accept
        if form == "radius" and self.rng.random() < 0.4:
            case.setdefault("uncertainty", {})["corner_radius"] = self.rng.choice(("5 um", "0.02 mm"))

    def _corner(self, form: str) -> dict:
        if form == "radius":
            share = self.rng.choice((0.05, 0.2, self.rng.uniform(0.02, 0.8)))
            return {"form": form, "radius": self.length(self.low * share)}
        if form == "chamfer":
            return {"form": form, "width": self.length((self.low - self.core) * self.rng.uniform(0.02, 0.8))}
        return {"form": form}

    def _add_end(self, case: dict) -> None:
        rng, tool = self.rng, case["tool"]
        if rng.random() < 0.4:
            drops = [rng.choice((0, rng.randint(0, 30))) for _ in range(self.teeth)]
            case["measured"]["end_readings"] = [f"-{drop - min(drops)} um" for drop in drops]
            if sorted(drops)[:2].count(min(drops)) > 1 or sorted(drops)[-2:].count(max(drops)) > 1:
                case.get("uncertainty", {}).pop("tooth_reading", None)
        if rng.random() < 0.4:
            tool["dish_deg"] = rng.choice((1, 2, 3.5))
            if rng.random() < 0.6:
                tool["dish_to_deg"] = rng.choice((0.5, 1, 1.5, 4))
        if rng.random() < 0.4:
            tool["end_inner_radius"] = self.length(self.low * rng.uniform(0.02, 0.5))
        if rng.random() < 0.5:
            tool["gash_length"] = self.length(rng.uniform(0, 3))
            case["allow"]["gash_left"] = rng.choice(("0 mm", self.length(rng.uniform(0, 1))))
        if rng.random() < 0.3:
            tool["centre_recess"] = self.length(rng.uniform(0, 2))
        tool |= {"end_primary_relief_deg": rng.choice((6, 8.5)), "end_rake_deg": rng.choice((-3, 0, 5))}
        if rng.random() < 0.6:
            tool["end_secondary_relief_deg"] = rng.choice((16, 20))
        if rng.random() < 0.6:
            tool["end_land"] = self.length(rng.uniform(0.05, 0.4))

    def _bend(self, case: dict, mark: dict) -> dict:
        """Some marks onto the arc of the corner; some end marks by tooth, some by their wear land."""
        rng = self.rng
        if "end_depth" in mark:
            # no two alike: at a tie small steps would see half of each
            self.ends += 1
            mark["end_depth"] = self.length(mm(mark["end_depth"]) + 0.0037 * self.ends)
            if rng.random() < 0.4:
                mark["tooth"] = rng.randint(1, self.teeth)
            if rng.random() < 0.4:
                del mark["end_depth"]
                mark["end_wear_land"] = self.length(rng.uniform(0.02, 0.6) + 0.0037 * self.ends)
            return mark
        if case["tool"].get("corner", {}).get("form") not in ("radius", "ball") or rng.random() < 0.4:
            return mark
        del mark["from"], mark["to"]
        start, to = sorted(rng.choice((0, 90, rng.randint(0, 90), rng.randint(0, 900) / 10)) for _ in range(2))
        mark |= {"from_deg": start, "to_deg": to}
        if "depth" in mark:
            mark["depth"] = self.length(self.d * rng.choice((0.01, 0.02, rng.uniform(0.001, 0.06))))
        return mark

    def _add_face(self, case: dict) -> None:
        rng, tool = self.rng, case["tool"]
        case["ways"] = rng.choice((["face"], ["flank", "face"], ["face", "flank"]))
        if rng.random() < 0.4:
            tool["kind"], case["ways"] = rng.choice(("roughing end mill", "form cutter")), ["face"]
        if rng.random() < 0.4:
            tool["relief_form"] = rng.choice(("flat", "spiral"))
        for mark in case["damage"]:
            alone = case["ways"] == ["face"] and "wear_land" not in mark
            if ("depth" in mark or "wear_land" in mark) and (alone or rng.random() < 0.5):
                mark["back"] = self.length(self.d * rng.choice((0.02, rng.uniform(0.001, 0.08))))
                if case["ways"] == ["face"] and rng.random() < 0.3:
                    mark.pop("depth", None)
        if rng.random() < 0.6:
            tool["tooth_width"] = self.length(self.d * rng.uniform(0.05, 0.4))
            limits = {"relief_deg": rng.choice((6, 9.5)), "tooth_width": self.length(self.d * rng.uniform(0.02, 0.2))}
            if rng.random() < 0.6:
                case.setdefault("limits", {}).update(dict(rng.sample(list(limits.items()), rng.randint(1, 2))))
        if rng.random() < 0.6:
            case["allow"]["finish_face"] = self.length(rng.uniform(0, 0.05))
        if rng.random() < 0.6:
            case.setdefault("typical", {})["back"] = self.length(self.d * rng.uniform(0.005, 0.05))
        if rng.random() < 0.4:
            case.setdefault("uncertainty", {})["back"] = "0.02 mm"

    def _keep_what_fits(self, case: dict) -> None:
        """No mark as deep as its arc, and none longer than a lone relief's land."""
        sides = [
            mark
            for mark in case["damage"]
            if "tooth" in mark and "end_depth" not in mark and "end_wear_land" not in mark
        ]
        known = read_end_case({**case, "damage": sides})
        state = first_state(known)
        good = []
        for k, mark in enumerate(sides):
            if "depth" not in mark and "wear_land" not in mark:
                good.append(mark)
                continue
            depth = state.depth(k)
            most = 0.9 * (state.track(k).arc or inf) if known.marks[k].arc else self.low - self.core - 0.01
            if depth < most and depth < self.low - self.core - 0.01 and float(length_mm(mark.get("to", "0 mm"))) >= 0:
                good.append(mark)
        case["damage"] = [mark for mark in case["damage"] if mark not in sides or mark in good]
