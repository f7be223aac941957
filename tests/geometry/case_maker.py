"""Makes random valid cases of the headless plan, common and at the edges, from a seeded generator.

Everything is chosen on grids of whole nanometres, so that both models read the same exact numbers. A case is
valid by the interface's own words. What they leave open is kept out: a wear land longer than a tooth of one
relief, damage of no depth or no length.
"""

from __future__ import annotations

from random import Random

from tests.geometry.case_spelling import spell
from tests.geometry.limit_maker import LimitMaker
from tests.geometry.slow_lengths import length_mm
from tests.geometry.slow_section import worn_depth, worn_past_heel

INCH_NOMINALS = (
    1_587_500,
    2_381_250,
    3_175_000,
    4_762_500,
    6_350_000,
    7_937_500,
    9_525_000,
    10_318_750,
    12_700_000,
    14_287_500,
    15_875_000,
    19_050_000,
    25_400_000,
    31_750_000,
    57_150_000,
)
MM_NOMINALS = (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 25, 32, 40)
MAY_BE_LEFT_OUT = (
    "core_diameter",
    "rake_deg",
    "primary_relief_deg",
    "secondary_relief_deg",
    "primary_land",
    "helix_deg",
    "material",
    "hand_of_cut",
    "hand_of_helix",
)


class CaseMaker(LimitMaker):
    """One stream of cases; the same seed gives the same cases."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)

    def case(self) -> dict:
        """A fully specified case."""
        self.inch = self.rng.random() < 0.5
        published = self.rng.random() < 0.3
        tool = self._tool()
        measured = self._measured(tool)
        allow = self._allow()
        case = {"tool": tool, "measured": measured, "allow": allow}
        if self.rng.random() < 0.93:
            case["damage"] = self._damage(measured)
        self._add_uncertainty(case)
        self._add_typical(case)
        self._add_limits(case, published)
        if self.rng.random() < 0.3:
            self._end_exactly(case)
        return self._spelled(case)

    def case_with_gaps(self) -> dict:
        """A case in which some of what may be left out of the tool is left out; its damage is shallow for any core."""
        case = self.case()
        tool, shallow = case["tool"], 0.05 * self.d
        dropped = [key for key in MAY_BE_LEFT_OUT if self.rng.random() < 0.35] or ["core_diameter"]
        for key in dropped:
            tool.pop(key, None)
        case["damage"] = [
            mark
            for mark in case.get("damage", [])
            if float(length_mm(mark.get("depth") or mark.get("wear_land") or "0 mm")) < shallow
        ]
        return case

    # Lengths are whole nanometres in dicts marked by their keys until the case is spelled.

    def grid(self, mm: float) -> int:
        """`mm` on a grid a bench would use: 0.0001 in (at times 0.00005 in) or 0.001 mm."""
        step = self.rng.choice((2540, 2540, 2540, 1270)) if self.inch else 1000
        return round(mm * 1e6 / step) * step

    def _tool(self) -> dict:
        rng = self.rng
        if self.inch:
            self.nominal = rng.choice(INCH_NOMINALS)
        else:
            self.nominal = rng.choice(MM_NOMINALS) * 1_000_000
        self.d = self.nominal / 1e6
        self.diameter = self._diameter()
        teeth = rng.choice((2, 3, 3, 4, 4, 4, 5, 6, 7, 8, 9, 12))
        tool = {"kind": "end mill", "teeth": teeth, "nominal_diameter": self.nominal}
        self._add_words(tool)
        tool |= self._section()
        self.flute = max(self.grid(self.d * rng.uniform(0.8, 4)), self.grid(2.0))
        tool["flute_length"] = self.flute
        if rng.random() < 0.2:
            tool["sides_ground_before"] = rng.random() < 0.7
        if rng.random() < 0.4:
            tool["new_flute_length"] = self.flute + rng.choice((0, self.grid(self.d * rng.uniform(0, 3))))
        if rng.random() < 0.1:
            tool["construction"] = "solid"
        return tool

    def _diameter(self) -> int:
        rng = self.rng
        share = rng.choice((0, 0, rng.uniform(0, 0.01), rng.uniform(0, 0.08), -0.0005))
        return self.grid(self.d * (1 - share))

    def _add_words(self, tool: dict) -> None:
        rng = self.rng
        tool["material"] = rng.choice(("carbide", "carbide", "HSS"))
        tool["hand_of_cut"] = rng.choice(("right", "right", "left"))
        tool["hand_of_helix"] = rng.choice(("right", "right", "left"))
        tool["helix_deg"] = rng.choice((0, 15, 30, 30, 35.5, 45, 60, 70))
        if rng.random() < 0.2:
            tool["unequal_index"] = rng.random() < 0.5

    def _section(self) -> dict:
        rng = self.rng
        share = rng.choice((rng.uniform(0.5, 0.65), rng.uniform(0.5, 0.65), rng.uniform(0.2, 0.8)))
        self.core = self.grid(self.diameter / 1e6 * share)
        self.rake = rng.choice((8, 12, 0, rng.randint(-50, 180) / 10, rng.randint(-300, 400) / 10))
        self.primary = rng.choice((12, rng.randint(50, 160) / 10, rng.randint(10, 300) / 10))
        self.secondary = min(round(self.primary + rng.choice((12, rng.randint(30, 150) / 10)), 1), 45)
        if rng.random() < 0.15:
            self.secondary = None
        widest = (0.1, 0.3) if self.secondary is None else (0.015, 0.07)
        self.land = self.grid(self.d * rng.uniform(*widest))
        section = {
            "core_diameter": self.core,
            "rake_deg": self.rake,
            "primary_relief_deg": self.primary,
            "secondary_relief_deg": self.secondary,
            "primary_land": self.land,
        }
        if rng.random() < 0.25:
            self._add_arc(section)
        return section

    def _add_arc(self, section: dict) -> None:
        """A measured arc: usual, too small to come down far, or so large that rake never falls to zero."""
        share = self.rng.uniform(*self.rng.choice(((0.3, 0.8), (0.04, 0.3), (0.8, 8))))
        section["face_arc_radius"] = max(self.grid(self.diameter / 2e6 * share), self.grid(0.01016))

    def _measured(self, tool: dict) -> dict:
        rng, teeth = self.rng, tool["teeth"]
        self.teeth = teeth
        fitting = "micrometer" if teeth % 2 == 0 else "v-anvil"
        method = "swept" if tool.get("unequal_index") else rng.choice((fitting, fitting, "swept"))
        measured = {"diameter": self.diameter, "method": method}
        self.depth_room = self.diameter / 2e6 - self.core / 2e6
        kind = rng.choice(("none", "alike", "spread", "spread", "spread", "steps", "steps", "tir", "tir"))
        if kind == "tir":
            measured["tir"] = self.grid(rng.choice((0, 0.005, rng.uniform(0, 0.03), rng.uniform(0, 0.1))))
        elif kind != "none":
            measured["tooth_readings"] = self._readings(kind, teeth)
        if rng.random() < 0.3:
            measured["shank_tir"] = self.grid(0.005)
        return measured

    def _readings(self, kind: str, teeth: int) -> list[int]:
        rng = self.rng
        size = {"alike": 0.0, "spread": rng.choice((0.01, 0.03, 0.1)), "steps": 0.005}[kind]
        shares = [rng.randint(0, 2) if kind == "steps" else rng.random() for _ in range(teeth)]
        drops = [self.grid(size * share) for share in shares]
        return [min(drops) - drop for drop in drops]

    def _allow(self) -> dict:
        rng = self.rng
        self.stylus = self.grid(rng.choice((0, 1.5, rng.uniform(0.3, 2.5))))
        finish = rng.choice((0, 0.0127, rng.uniform(0, 0.05)))
        if rng.random() < 0.04:
            finish = self.depth_room * rng.uniform(0.5, 1.2)
        return {
            "finish_radial": self.grid(finish),
            "stylus_distance": self.stylus,
            "finish_end": self.grid(rng.choice((0, 0.05, rng.uniform(0, 0.2)))),
        }

    def _damage(self, measured: dict) -> list[dict]:
        rng = self.rng
        damage = [self._mark() for _ in range(rng.choice((0, 1, 1, 2, 3, 4, 6, 10)))]
        for _ in range(rng.choice((0, 0, 1, 1, 2))):
            depth = self.grid(rng.choice((0.25, rng.uniform(0.01, 1.5))))
            damage.append({"end_depth": depth, "what": "end wear"})
        self.tir_room = measured.get("tir", 0) / 1e6
        if len(damage) > 1 and rng.random() < 0.25:
            self._make_equal(damage)
        rng.shuffle(damage)
        return [mark for mark in damage if self._fits(mark)]

    def _mark(self) -> dict:
        rng = self.rng
        start, to = self._along()
        mark = {"tooth": rng.randint(1, rng.choice((2, self.teeth))), "from": start, "to": to}
        mark["what"] = rng.choice(("chip", "wear land", "broken corner"))
        if rng.random() < 0.45:
            sizes = (0.1, rng.uniform(0.01, 0.3), rng.uniform(0.02, 0.06) * self.d)
            mark["wear_land"] = self.grid(rng.choice(sizes))
        else:
            sizes = (0.1, rng.uniform(0.005, 0.1), rng.uniform(0.005, 0.05) * self.d)
            deep = rng.uniform(0, rng.choice((0.2, 1)) * self.depth_room)
            mark["depth"] = self.grid(rng.choice((*sizes, deep)))
        return mark

    def _along(self) -> tuple[int, int]:
        rng, flute = self.rng, self.flute / 1e6
        reach = max(flute - self.stylus / 1e6, 0)
        start = rng.choice((0, 0, 0, 0, rng.uniform(0, reach), rng.uniform(0, reach / 2)))
        if rng.random() < 0.04:
            start = rng.choice((min(reach, flute), rng.uniform(reach, flute), flute))
        to = start + (flute - start) * rng.choice((1, rng.random(), rng.uniform(0, 0.4), rng.uniform(0, 0.1)))
        start_nm = min(self.grid(start), self.flute)
        return start_nm, max(start_nm, min(self.grid(to), self.flute), 2540 if self.inch else 1000)

    def _make_equal(self, damage: list[dict]) -> None:
        """Two marks alike in where they end, in depth or both, or a mark that ends where the end's wear does."""
        one, other = self.rng.sample(damage, 2)
        for key in self.rng.choice((("to",), ("depth", "wear_land"), ("to", "depth", "wear_land"))):
            if key in one and key in other:
                other[key] = max(one[key], other["from"]) if key == "to" else one[key]
        if "end_depth" in one and "to" in other and other["from"] <= one["end_depth"] <= self.flute:
            other["to"] = one["end_depth"]

    def _fits(self, mark: dict) -> bool:
        """Within the room between the cutting circle and the core, and within a lone relief's land."""
        if "end_depth" in mark:
            return 0 < mark["end_depth"] <= self.flute
        if "depth" in mark:
            return 0 < mark["depth"] / 1e6 < self.depth_room - self.tir_room - 0.001
        width, room = mark["wear_land"] / 1e6, self.depth_room - self.tir_room - 0.001
        past = worn_past_heel(width, self.land / 1e6, self.primary, self.rake)
        if past and self.secondary is None:
            return False
        secondary = self.secondary if past else None
        return 0 < worn_depth(width, self.land / 1e6, self.primary, secondary, self.rake) < room

    def _add_uncertainty(self, case: dict) -> None:
        rng = self.rng
        sizes = {
            "diameter": 0.0025,
            "tooth_reading": 0.001,
            "depth": 0.005,
            "wear_land": 0.01,
            "core_diameter": 0.02,
            "rake_deg": 0.5,
            "flute_length": 0.05,
        }
        share = rng.choice((0, 0.4, 1))
        given = {name: sizes[name] * rng.choice((0, 0.5, 1, 1, 2)) for name in sizes if rng.random() < share}
        if given or rng.random() < 0.5:
            case["uncertainty"] = {
                name: size if name == "rake_deg" else self.grid(size) for name, size in given.items()
            }

    def _add_typical(self, case: dict) -> None:
        rng = self.rng
        kind = rng.choice(("absent", "zero", "both", "both", "both", "stock", "cut"))
        if kind == "absent":
            return
        parts = {"stock_radial": 0, "cut_back": 0}
        if kind in ("both", "stock"):
            parts["stock_radial"] = self.grid(self.d * rng.uniform(0.002, 0.03))
        if kind in ("both", "cut"):
            parts["cut_back"] = self.grid(rng.uniform(0.1, 1.5))
        case["typical"] = {key: value for key, value in parts.items() if value or rng.random() < 0.5}

    def _spelled(self, node: object, key: str = "") -> object:
        if isinstance(node, dict):
            return {k: self._spelled(v, k) for k, v in node.items()}
        if isinstance(node, list):
            return [self._spelled(v, key) for v in node]
        if isinstance(node, bool | str) or node is None or key.endswith("_deg") or key in ("teeth", "tooth"):
            return node
        return spell(self.rng, node)
