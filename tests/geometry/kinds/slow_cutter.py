"""A cutter by trying every set of side marks to be ground away at the rim; teeth by lines and points."""

from __future__ import annotations

import itertools
import math

import numpy as np

from tests.geometry.kinds.slow_common import SAME, Inputs, Option, answer, least, mm, table, wear_depth


class SlowCutter:
    def __init__(self, case: dict) -> None:
        self.case, tool, measured, allow = case, case["tool"], case["measured"], case["allow"]
        given = case.get("uncertainty", {})
        self.teeth, self.finish = tool["teeth"], mm(allow["finish_radial"])
        self.tir = "tir" in measured
        self.inputs: Inputs = {"D": mm(measured["diameter"]), "W": mm(measured["width"])}
        self.spread: Inputs = {"D": mm(given.get("diameter")), "W": mm(given.get("width"))}
        self._add("tir", mm(measured.get("tir")), given.get("tooth_reading") if self.tir else None)
        self.read = measured.get("tooth_readings")
        for index, text in enumerate(self.read or []):
            self._add(f"h{index}", mm(text), given.get("tooth_reading"))
        self._add("gullet", mm(tool.get("gullet_depth")), given.get("gullet_depth"))
        self.marks = [mark for mark in case.get("damage", []) if mm(mark.get("depth") or mark.get("wear_land"))]
        for index, mark in enumerate(self.marks):
            self._add(f"d{index}", mm(mark.get("depth") or mark.get("wear_land")), given.get("damage"))
            self._add(f"q{index}", mm(mark.get("reach")), given.get("damage"))
        surfaces = [mark["surface"] for mark in self.marks]
        self.sides = [index for index, surface in enumerate(surfaces) if surface != "periphery"]
        self.rims = [index for index, surface in enumerate(surfaces) if surface == "periphery"]

    def _add(self, name: str, value: float, spread: str | None) -> None:
        self.inputs[name], self.spread[name] = value, mm(spread)

    def radius(self, x: Inputs, tooth: int, top: int | None = None) -> float:
        """Where a tooth stands below the highest, which is at half the diameter; `top` names the highest."""
        if not self.read:
            return x["D"] / 2 - x["tir"]
        highest = self.tops()[0] if top is None else top
        return x["D"] / 2 + x[f"h{tooth}"] - (0.0 if highest is None else x[f"h{highest}"])

    def tops(self) -> list[int | None]:
        """The highest teeth; None is one that nobody read."""
        return [index for index in range(self.teeth) if self.read and self.inputs[f"h{index}"] == 0] or [None]

    def rim_depth(self, x: Inputs, index: int) -> float:
        if "depth" in self.marks[index]:
            return x[f"d{index}"]
        tool = self.case["tool"]
        return wear_depth(x[f"d{index}"], math.radians(tool["primary_relief_deg"]), math.radians(tool["rake_deg"]))

    def demands(self, chosen: tuple[int, ...]) -> list:
        """What the ground radius and its finish must stay within: every tooth, its marks, the chosen side marks."""
        rules = []
        for tooth in range(self.teeth if self.read else 1):
            rules += [(tooth, lambda y, t=tooth, p=top: self.radius(y, t, p)) for top in self.tops()]
        for index in (*self.rims, *chosen):
            tooth = self.marks[index]["tooth"] - 1
            for top in self.tops():
                if index in self.rims:
                    need = lambda y, i=index, t=tooth, p=top: self.radius(y, t, p) - self.rim_depth(y, i)  # noqa: E731
                else:
                    need = lambda y, i=index, t=tooth, p=top: self.radius(y, t, p) - y[f"q{i}"]  # noqa: E731
                rules.append((tooth, need))
        return [(tooth, lambda y, rule=rule: rule(y) - self.finish) for tooth, rule in rules]

    def answer(self) -> dict:
        options = []
        if not self.rims:
            options += self.option(None, self.sides)
        if self.marks:
            sets = itertools.chain.from_iterable(
                itertools.combinations(self.sides, count) for count in range(len(self.sides) + 1)
            )
            for chosen in sets:
                rules = self.demands(chosen)
                radius = min(rule(self.inputs) for _, rule in rules)
                setting = [(tooth, rule) for tooth, rule in rules if rule(self.inputs) - radius <= SAME]
                options += self.option(setting, [index for index in self.sides if not self.gone(index, radius)])
        return answer(self.worth(options), self.case, self.inputs, self.spread, "stock_radial")

    def gone(self, index: int, radius: float) -> bool:
        tooth = self.radius(self.inputs, self.marks[index]["tooth"] - 1)
        return round(radius + self.finish - (tooth - self.inputs[f"q{index}"]), 9) <= 0

    def worth(self, options: list[Option]) -> list[Option]:
        """Those that no other beats, of equal ones the first, largest first."""

        def size(option: Option) -> tuple[float, float]:
            return round(option.figures["diameter_mm"], 9), round(option.figures["width_mm"], 9)

        first = [option for index, option in enumerate(options) if size(option) not in map(size, options[:index])]
        kept = [
            option
            for option in first
            if not any(
                other is not option and size(other)[0] >= size(option)[0] and size(other)[1] >= size(option)[1]
                for other in first
            )
        ]
        return sorted(kept, key=size, reverse=True)

    def option(self, setting: list | None, left: list[int]) -> list[Option]:
        x, tool, limits = self.inputs, self.case["tool"], self.case.get("limits", {})
        if left and tool["kind"] == "slitting saw":
            return []
        rules = [rule for _, rule in setting] if setting else [lambda y: y["D"] / 2]
        unread = self.case["measured"].get("teeth_not_read", [])
        only_a_range = self.tir or (bool(setting) and all(tooth + 1 in unread for tooth, _ in setting))
        radius = rules[0](x)
        checks = {"diameter": [lambda y, r=r: 2 * r(y) for r in rules], "width": [lambda y: self.width(y, left)]}
        if "gullet_depth" in tool:
            checks["gullet_depth"] = [lambda y, r=r: y["gullet"] - (y["D"] / 2 - r(y)) for r in rules]
        if "neck_diameter" in tool:
            checks["reach"] = [lambda y, r=r: r(y) - mm(tool["neck_diameter"]) / 2 for r in rules]
        now = {name: alternatives[0](x) for name, alternatives in checks.items()}
        if any(value <= SAME for value in now.values()):
            return []
        surfaces = [side for side in ("left", "right") if any(self.marks[index]["surface"] == side for index in left)]
        option = Option(
            (["periphery"] if setting else []) + surfaces,
            {
                "diameter_mm": now["diameter"],
                "width_mm": now["width"],
                "removal_radial_mm": x["D"] / 2 - radius,
                "gullet_depth_mm": now.get("gullet_depth"),
                "reach_mm": now.get("reach"),
                **self.tooth(radius, bool(setting)),
                "setup": self.setup(radius) if setting else None,
            },
            checks,
        )
        if not only_a_range:
            option.hard = {"gullet_depth"}
        elif setting:
            option.line_asks = {name: ["measure_per_tooth"] for name in ("diameter", "gullet_depth", "reach")}
        if surfaces and "width" not in limits:
            option.asks.append("width_not_agreed")
        stock = mm(self.case.get("typical", {}).get("stock_radial"))
        fall = {"diameter": 2 * stock, "gullet_depth": stock, "reach": stock, "width": 0.0}
        option.after = lambda count: {name: value - count * fall[name] for name, value in now.items()}
        return [option]

    def width(self, x: Inputs, left: list[int]) -> float:
        after = x["W"]
        for side in ("left", "right"):
            deepest = [index for index in left if self.marks[index]["surface"] == side]
            if deepest:
                worst = max(deepest, key=lambda index: self.inputs[f"d{index}"])
                runout = mm(self.case["measured"].get(f"side_tir_{side}"))
                after -= x[f"d{worst}"] + runout + mm(self.case["allow"]["finish_side"])
        return after

    def tooth(self, radius: float, ground: bool) -> dict:
        tool, r = self.case["tool"], self.inputs["D"] / 2
        land = mm(tool["primary_land"]) if "primary_land" in tool else None
        rake = tool.get("rake_deg")
        if not ground:
            return {
                "primary_land_mm": land,
                "rake_deg": None if rake is None else float(rake),
                "secondary_needed": False,
            }
        if rake is None:
            return {"primary_land_mm": None, "rake_deg": None, "secondary_needed": None}
        edge = self.edge(math.radians(rake), r, radius)
        turned = None if edge is None else self.new_rake(edge, math.radians(rake))
        figures = {"primary_land_mm": None, "rake_deg": turned, "secondary_needed": None}
        if land is None or "primary_relief_deg" not in tool or "secondary_relief_deg" not in tool:
            return figures
        width = None if edge is None else self.land(edge, r, radius, land)
        widest = self.widest(2 * radius)
        needed = None if widest is None else width is None or width > widest + SAME
        return {**figures, "primary_land_mm": width, "secondary_needed": needed}

    def edge(self, rake: float, r: float, radius: float) -> np.ndarray | None:
        """Where the straight face, from the edge at (0, r) inwards, first comes down to `radius`."""

        def at(depth: float) -> np.ndarray:
            return np.array([-depth * math.sin(rake), r - depth * math.cos(rake)])

        nearest = r * math.cos(rake)
        if np.hypot(*at(nearest)) > radius:
            return None
        return at(least(lambda depth: bool(np.hypot(*at(depth)) <= radius), 0.0, nearest))

    def new_rake(self, edge: np.ndarray, rake: float) -> float:
        """From the radius through the new edge to the line of the face."""
        inward, face = -edge, np.array([-math.sin(rake), -math.cos(rake)])
        turned = inward[1] * face[0] - inward[0] * face[1]
        return math.degrees(math.atan2(turned, float(inward @ face)))

    def land(self, edge: np.ndarray, r: float, radius: float, land: float) -> float | None:
        """The new primary line from the new edge to the old secondary line."""
        first, second = (math.radians(self.case["tool"][f"{name}_relief_deg"]) for name in ("primary", "secondary"))
        tangent = np.array([-edge[1], edge[0]]) / radius
        inward = -edge / radius
        primary = tangent * math.cos(first) + inward * math.sin(first)
        heel = np.array([-land * math.cos(first), r - land * math.sin(first)])
        old = np.array([-math.cos(second), -math.sin(second)])
        crossed = np.linalg.det(np.column_stack([primary, old]))
        if crossed < 1e-12:
            return None
        along = np.linalg.solve(np.column_stack([primary, -old]), heel - edge)[0]
        return float(along) if along >= 0 else None

    def widest(self, diameter: float) -> float | None:
        rows = [
            row for row in table("01_relief_drop_radial_flat") if float(row["cutter_dia_in"]) * 25.4 <= diameter + SAME
        ]
        if not rows:
            return None
        return float(max(rows, key=lambda row: float(row["cutter_dia_in"]))["max_primary_land_in"]) * 25.4

    def setup(self, radius: float) -> dict | None:
        setup, tool = self.case.get("setup"), self.case["tool"]
        if setup is None:
            return None
        relief = math.radians(tool["primary_relief_deg"]) if "primary_relief_deg" in tool else None
        if setup["wheel"] == "cup":
            return {"tooth_rest_below_mm": None if relief is None else radius * math.cos(math.pi / 2 - relief)}
        wheel = mm(setup["wheel_diameter"]) / 2
        above = None if relief is None else wheel * math.cos(math.pi / 2 - relief)
        if "primary_land" not in tool or not 0 < mm(tool["primary_land"]) < 2 * wheel:
            return {"wheel_above_mm": above, "mean_relief_deg": None, "hollow_mm": None}
        # the wheel's circle through the edge at the origin; the heel is where it is a land away
        land = mm(tool["primary_land"])
        turn = least(lambda angle: 2 * wheel * math.sin(angle / 2) >= land, 0.0, math.pi)
        mean = None if relief is None else math.degrees(relief - turn / 2)
        return {"wheel_above_mm": above, "mean_relief_deg": mean, "hollow_mm": wheel * (1 - math.cos(turn / 2))}
