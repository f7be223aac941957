"""A drill by points of its lips: whether a new point lies wholly in sound metal, asked again and again."""

from __future__ import annotations

import math

from tests.geometry.kinds.slow_common import SAME, Inputs, Option, answer, least, mm, table, wear_depth

BANDS_IN = (0.039, 0.096, 0.120, 0.25, 0.34375, 0.5, 0.75, math.inf)
WORK = {"hard": "hard", "general": "general", "soft": "soft"}


class SlowDrill:
    def __init__(self, case: dict) -> None:
        self.case, tool, measured = case, case["tool"], case["measured"]
        self.old = math.radians(tool["point_angle_deg"] / 2)
        self.new = math.radians(tool.get("grind_point_angle_deg", tool["point_angle_deg"]) / 2)
        self.finish, self.at = mm(case["allow"]["finish"]), mm(measured.get("diameter_at"))
        given = case.get("uncertainty", {})
        self.inputs: Inputs = {"D": mm(measured["diameter"]), "F": mm(tool["flute_length"])}
        self.spread: Inputs = {"D": mm(given.get("diameter")), "F": mm(given.get("flute_length"))}
        self.marks: list[tuple[str, str]] = []
        for number, mark in enumerate(case.get("damage", [])):
            (what,) = set(mark) - {"lip", "what", "at"}
            self._add(f"{number}", mm(mark[what]), given)
            if what == "lip_chip":
                self._add(f"{number}at", mm(mark.get("at")), given)
            self.marks.append((what, f"{number}"))
        self._usual("taper", tool.get("back_taper"), 0.05, 0.03 / math.sqrt(3))
        self.inputs["helix"] = float(tool.get("helix_deg", 30))
        self.spread["helix"] = 0.0 if "helix_deg" in tool else 2.6

    def _add(self, name: str, value: float, given: dict) -> None:
        self.inputs[name], self.spread[name] = value, mm(given.get("damage"))

    def _usual(self, name: str, text: str | None, usual: float, spread: float) -> None:
        self.inputs[name], self.spread[name] = (usual, spread) if text is None else (mm(text), 0.0)

    def lip(self, half: float, corner: float, radius: float, r: float) -> float:
        """Height back of a lip at `radius`, its corner at `corner` back and `r` out: a straight line to the tip."""
        return corner - (r - radius) * math.cos(half) / math.sin(half)

    def clears(self, cut: float, x: Inputs, marks: list[tuple[str, str]]) -> bool:
        r = x["D"] / 2
        for step in range(9):
            radius = r * step / 8
            if self.lip(self.new, cut, radius, r) < self.lip(self.old, 0.0, radius, r):
                return False
        return all(self.clears_mark(cut, x, what, name, r) for what, name in marks)

    def clears_mark(self, cut: float, x: Inputs, what: str, name: str, r: float) -> bool:
        if what in ("worn_margin", "corner_chip"):
            return cut >= x[name]
        if what == "wear_land":
            relief = math.radians(self.case["tool"]["lip_relief_deg"])
            return cut >= wear_depth(x[name], relief, math.radians(x["helix"]))
        if what == "chisel_depth":
            return self.lip(self.new, cut, 0.0, r) >= self.lip(self.old, 0.0, 0.0, r) + x[name]
        # the bottom of a chip square to the lip
        radius = r - x[name + "at"] - x[name] * math.cos(self.old)
        height = self.lip(self.old, 0.0, r - x[name + "at"], r) + x[name] * math.sin(self.old)
        return self.lip(self.new, cut, radius, r) >= height

    def cut(self, x: Inputs, marks: list[tuple[str, str]]) -> float:
        return least(lambda cut: self.clears(cut, x, marks), -5.0, 500.0) + self.finish

    def answer(self) -> dict:
        x, hurt = self.inputs, any(self.inputs[name] for _, name in self.marks)
        alone = [[mark] for mark in self.marks if x[mark[1]]] + [[]]
        most = max(self.cut(x, [*marks]) for marks in alone)
        most = max(most, self.finish)
        setting = [marks for marks in alone if most - max(self.cut(x, marks), self.finish) <= SAME]

        def rule(marks: list) -> object:
            return (lambda y: max(self.cut(y, marks), self.finish)) if hurt else (lambda y: 0.0)

        options = self.options(hurt, [rule(marks) for marks in (setting if hurt else [[]])])
        return answer(options, self.case, x, self.spread, "cut_back")

    def options(self, hurt: bool, cuts: list) -> list[Option]:
        tool, allow, limits, x = self.case["tool"], self.case["allow"], self.case.get("limits", {}), self.inputs
        room = None if "chip_room" not in allow else mm(allow["chip_room"])
        rules: dict = {
            "usable_length": [lambda y, c=c: y["F"] - c(y) for c in cuts],
            "diameter": [lambda y, c=c: y["D"] + y["taper"] * (self.at - c(y)) / 100 for c in cuts],
            "hole_depth": [lambda y, c=c: y["F"] - c(y) - (1.5 * y["D"] if room is None else room) for c in cuts],
        }
        cut, half = cuts[0](x), self.new if hurt else self.old
        now = {name: alternatives[0](x) for name, alternatives in rules.items()}
        if now["usable_length"] <= SAME:
            return []
        tip = now["diameter"] / 2 * math.cos(half) / math.sin(half)
        web = None if "web" not in tool else mm(tool["web"]) + mm(tool.get("web_taper"), 1.6) * cut / 100
        chisel = tool.get("chisel_angle_deg")
        r = x["D"] / 2
        lost = self.lip(self.new, cut, 0.0, r) - self.lip(self.old, 0.0, 0.0, r) if hurt else 0.0
        option = Option(
            ["point"] if hurt else [],
            {
                "cut_back_mm": cut,
                "length_lost_mm": lost,
                "diameter_mm": now["diameter"],
                "usable_length_mm": now["usable_length"],
                "point_length_mm": tip,
                "hole_depth_mm": now["hole_depth"],
                "web_mm": web,
                "chisel_edge_mm": None if web is None or chisel is None else web / math.sin(math.radians(chisel)),
                "thin_web": None if web is None else web > mm(allow.get("web_most"), 0.15 * x["D"]) + SAME,
                "lip_relief_deg": self.lip_relief(now["diameter"]),
                "lip_height_most_mm": None if "oversize" not in limits else mm(limits["oversize"]) / math.tan(half),
            },
            rules,
        )
        self.reasons(option, cut, room is None)
        typical = mm(self.case.get("typical", {}).get("cut_back"))
        option.after = lambda count: {
            name: value - count * (x["taper"] * typical / 100 if name == "diameter" else typical)
            for name, value in now.items()
        }
        return [option]

    def lip_relief(self, diameter: float) -> float:
        work = {"hard": "hard and tough", "general": "general purpose", "soft": "soft and free machining"}[
            self.case["tool"].get("work", "general")
        ]
        values = [
            float(row["low"])
            for row in table("07_drill_geometry")
            if row["item"].startswith("lip relief at periphery") and work in row["condition"]
        ]
        return next(value for value, end in zip(values, BANDS_IN, strict=True) if round(end * 25.4 - diameter, 9) >= 0)

    def reasons(self, option: Option, cut: float, usual_room: bool) -> None:
        worn = max((self.inputs[name] for what, name in self.marks if what == "worn_margin"), default=0.0)
        if "back_taper" not in self.case["tool"] and abs(self.at - cut) > SAME:
            option.line_asks["diameter"] = ["rests_on_default_back_taper"]
        if usual_room:
            option.line_asks["hole_depth"] = ["rests_on_default_chip_room"]
        if round(worn - self.at, 9) > 0:
            option.asks.append("diameter_read_on_wear")
        if round(2 * cut - self.inputs["F"], 9) > 0:
            option.asks.append("most_of_the_flute")
        if round(cut - 6.35, 9) >= 0:
            option.tells.append("cut_off_first")
        if self.case["tool"].get("coolant_holes"):
            option.tells.append("coolant_holes")
