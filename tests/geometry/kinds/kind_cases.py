"""Makes random valid cases of each kind on grids of whole nanometres, ties and limits near their values among them."""

from __future__ import annotations

from random import Random

from tests.geometry.case_spelling import spell

THREADS = (
    "M3",
    "M4",
    "M5",
    "M6",
    "M8",
    "M8x1",
    "M10",
    "M10x1.25",
    "M12",
    "M16",
    "M20x1.5",
    "M24",
    "1/4-20",
    "1/4-28 UNF",
    "5/16-18",
    "3/8-16 UNC",
    "1/2-13",
    "1-8",
    "#10-32",
    "#8-32",
    "#6-32 UNC",
    "#4-40",
)


class KindCases:
    """One stream of cases; the same seed gives the same cases."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)

    def text(self, mm: float, step_nm: int = 1000) -> str:
        return spell(self.rng, max(0, round(mm * 1e6 / step_nm) * step_nm))

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def some(self, share: float, **keys: object) -> dict:
        """Each of `keys` with that chance."""
        return {key: value for key, value in keys.items() if self.chance(share)}

    def angle(self, low: float, high: float) -> float:
        return self.rng.choice((round(self.rng.uniform(low, high)), round(self.rng.uniform(low, high), 2)))

    def size(self, low: float, high: float) -> float:
        return round(low * (high / low) ** self.rng.random(), 3)

    def depths(self, most: float, count: int) -> list[float]:
        """Some of them equal, some of them 0."""
        found = [round(self.rng.uniform(0, most), 3) for _ in range(count)]
        if count > 1 and self.chance(0.25):
            found[1] = found[0]
        if count and self.chance(0.1):
            found[0] = 0.0
        return found

    def close(self, case: dict, damage: list[dict], typical: dict, spreads: tuple[str, ...]) -> dict:
        """The parts that all kinds have."""
        if self.chance(0.93):
            case["damage"] = [mark | self.some(0.3, what="chip") for mark in damage]
        if self.chance(0.7):
            case["uncertainty"] = {
                key: self.text(self.rng.choice((0.001, 0.0025, 0.01, 0.05)), 500) for key in spreads if self.chance(0.7)
            }
        if self.chance(0.8):
            case["typical"] = typical
        if self.chance(0.02):
            case["measured"]["cracked"] = True
        return case

    def limits(self, case: dict, option: dict | None, names: tuple[str, ...]) -> dict:
        """Limits about what the model leaves: well below, right at it, just above."""
        limits = {}
        for name in names:
            value = (option or {}).get(f"{name}_mm")
            if value is None or not self.chance(0.6):
                continue
            factor = self.rng.choice((0.5, 0.9, 0.97, 0.999, 1.0, 1.001))
            limits[name] = self.text(max(0.0, value * factor + self.rng.choice((0, 0, 0.002, -0.002))))
        return {**case, "limits": {**case.get("limits", {}), **limits}} if limits else case

    def drill(self) -> dict:
        rng, d = self.rng, self.size(1, 40)
        flute = round(d * rng.uniform(3, 14), 2)
        point = self.angle(90, 150)
        tool = {
            "kind": "drill",
            "nominal_diameter": self.text(d),
            "flute_length": self.text(flute),
            "point_angle_deg": point,
            "lip_relief_deg": self.angle(6, 26),
            **self.some(
                0.5,
                grind_point_angle_deg=self.angle(85, 160),
                helix_deg=self.angle(0, 45),
                back_taper=self.text(rng.uniform(0, 0.1)),
                web=self.text(d * rng.uniform(0.1, 0.2)),
                web_taper=self.text(rng.uniform(0, 2)),
                chisel_angle_deg=self.angle(95, 150),
                work=rng.choice(("hard", "general", "soft")),
                coolant_holes=self.chance(0.5),
            ),
        }
        marks = []
        for length in self.depths(0.12 * d, rng.randint(0, 5)):
            what = rng.choice(("worn_margin", "corner_chip", "lip_chip", "wear_land", "chisel_depth"))
            mark = {what: self.text(length), **self.some(0.5, lip=rng.choice((1, 2)))}
            if what == "lip_chip" and self.chance(0.7):
                mark["at"] = self.text(rng.uniform(0, 0.25 * d))
            if what == "worn_margin" and self.chance(0.1):
                mark[what] = self.text(flute * rng.uniform(0.3, 0.99))
            marks.append(mark)
        measured = {
            "diameter": self.text(d - rng.uniform(0, 0.02)),
            **self.some(0.6, diameter_at=self.text(rng.uniform(0, 0.2 * d))),
        }
        allow = {
            "finish": self.text(rng.uniform(0, 0.3)),
            **self.some(0.3, chip_room=self.text(rng.uniform(0.5, 2) * d), web_most=self.text(0.16 * d)),
        }
        case = {"tool": tool, "measured": measured, "allow": allow}
        if self.chance(0.4):
            case["limits"] = {"oversize": self.text(rng.uniform(0, 0.1))}
        return self.close(
            case, marks, {"cut_back": self.text(rng.uniform(0.2, 3))}, ("diameter", "damage", "flute_length")
        )

    def hole(self, d: float) -> dict:
        nominal = self.text(round(d, 1), 100_000)
        if self.chance(0.5):
            return {"nominal": nominal, "class": self.rng.choice(("H6", "H7", "H8", "H9", "H10"))}
        lower = self.rng.randint(-40, 30)
        upper = lower + self.rng.randint(5, 90)
        signed = [("-" if um < 0 else "") + self.text(abs(um) / 1000) for um in (lower, upper)]
        return {"nominal": nominal, "lower_deviation": signed[0], "upper_deviation": signed[1]}

    def reamer(self) -> dict:
        rng, d = self.rng, self.size(3, 60)
        d = round(d, 1)
        length = round(rng.uniform(0.3, 2), 2)
        angle = rng.choice((45, self.angle(2, 50)))
        tool = {
            "kind": "reamer",
            "nominal_diameter": self.text(d),
            "flute_length": self.text(d * rng.uniform(1.5, 4)),
            "chamfer_angle_deg": angle,
            "chamfer_length": self.text(min(length, 0.15 * d)),
            "chamfer_relief_deg": self.angle(3, 12),
            **self.some(0.5, back_taper=self.text(rng.uniform(0, 0.04))),
        }
        marks = []
        for depth in self.depths(0.8, rng.randint(0, 4)):
            marks.append({rng.choice(("worn_margin", "chip", "wear_land")): self.text(depth)})
        measured = {
            "diameter": self.text(d + rng.uniform(-0.02, 0.04), 500),
            **self.some(0.7, diameter_at=self.text(rng.uniform(0, 2))),
        }
        allow = {
            "finish": self.text(rng.uniform(0, 0.3)),
            **self.some(0.5, chamfer_most=self.text(rng.uniform(0.5, 3))),
        }
        case = {"tool": tool, "measured": measured, "allow": allow, **self.some(0.7, hole=self.hole(d))}
        if self.chance(0.5):
            sizes = [d, d, d - 0.1, d - 0.5, d * 0.8, d + 0.5]
            case["down_size_to"] = [self.hole(rng.choice(sizes)) for _ in range(rng.randint(1, 5))]
            allow["finish_radial"] = self.text(rng.uniform(0, 0.02))
        return self.close(
            case, marks, {"cut_back": self.text(rng.uniform(0.2, 3))}, ("diameter", "damage", "flute_length")
        )

    def cutter(self) -> dict:
        rng, d, teeth = self.rng, self.size(8, 250), self.rng.choice((2, 3, 6, 10, 16, 17, 24))
        width = round(d * rng.uniform(0.02, 0.2) + 0.5, 2)
        kind = rng.choice(("side-and-face cutter", "slitting saw", "keyseat cutter", "t-slot cutter"))
        primary = self.angle(2, 15)
        tool = {
            "kind": kind,
            "teeth": teeth,
            "nominal_diameter": self.text(d),
            "rake_deg": self.angle(-8, 18),
            "primary_relief_deg": primary,
            **self.some(
                0.6,
                gullet_depth=self.text(0.12 * d),
                neck_diameter=self.text(0.4 * d),
                secondary_relief_deg=primary + self.angle(3, 15),
                primary_land=self.text(0.012 * d),
                staggered=teeth % 2 == 0,
            ),
        }
        marks = self.cutter_marks(d, width, teeth)
        measured = {
            "diameter": self.text(d),
            "width": self.text(width),
            **self.some(0.4, side_tir_left=self.text(0.01), side_tir_right=self.text(0.02)),
        }
        way = rng.random()
        if way < 0.4:
            readings = [rng.choice((0, rng.randint(0, 40))) for _ in range(teeth)]
            readings[rng.randrange(teeth)] = 0
            unread = self.chance(0.4)
            lower = unread * rng.choice((0, 5))  # the highest may be one that nobody read
            readings = [um + lower for um in readings]
            measured["tooth_readings"] = [("-" if um else "") + self.text(um / 1000) for um in readings]
            if unread:  # they stand as low as they can be
                measured["teeth_not_read"] = sorted(rng.sample(range(1, teeth + 1), rng.randint(1, teeth - 1)))
        elif way < 0.7:
            measured["tir"] = self.text(rng.uniform(0, 0.06))
        allow = {"finish_radial": self.text(rng.choice((0.0, 0.02, 0.05))), "finish_side": self.text(0.02)}
        case = {"tool": tool, "measured": measured, "allow": allow}
        if self.chance(0.6):
            case["setup"] = rng.choice(({"wheel": "cup"}, {"wheel": "straight", "wheel_diameter": "150 mm"}))
        return self.close(
            case,
            marks,
            {"stock_radial": self.text(rng.uniform(0.1, 1))},
            ("diameter", "damage", "width", "tooth_reading", "gullet_depth"),
        )

    def cutter_marks(self, d: float, width: float, teeth: int) -> list[dict]:
        rng, marks = self.rng, []
        rim = self.depths(0.01 * d, rng.choice((0, 0, 1, 2, 3)))
        for depth in rim:
            marks.append(
                {
                    "surface": "periphery",
                    "tooth": rng.randint(1, teeth),
                    rng.choice(("depth", "wear_land")): self.text(depth),
                }
            )
        count = rng.choice((0, 0, 1, 2, 3, 4))
        for depth, reach in zip(self.depths(0.15 * width, count), self.depths(0.03 * d, count), strict=True):
            marks.append(
                {
                    "surface": rng.choice(("left", "right")),
                    "tooth": rng.randint(1, teeth),
                    "reach": self.text(reach),
                    "depth": self.text(depth),
                }
            )
        return marks

    def countersink(self) -> dict:
        rng, d = self.rng, self.size(4, 60)
        tool = {
            "kind": rng.choice(("countersink", "chamfer mill")),
            "teeth": rng.randint(1, 12),
            "nominal_diameter": self.text(d),
            "included_angle_deg": rng.choice((60, 82, 90, self.angle(25, 150))),
            **self.some(0.5, relief_deg=self.angle(2, 25), tooth_thickness=self.text(rng.uniform(0.05, 0.4) * d)),
        }
        marks = [
            {rng.choice(("wear_land", "face_depth")): self.text(depth)}
            for depth in self.depths(0.04 * d, rng.randint(0, 3))
        ]
        allow = {"finish": self.text(rng.uniform(0, 0.2))}
        case = {"tool": tool, "measured": {"diameter": self.text(d)}, "allow": allow}
        return self.close(
            case, marks, {"face_stock": self.text(rng.uniform(0.05, 0.5))}, ("diameter", "damage", "tooth_thickness")
        )

    def tap(self) -> dict:
        rng = self.rng
        tool = {
            "kind": "tap",
            "thread": rng.choice(THREADS),
            "thread_length": self.text(rng.uniform(8, 40)),
            "chamfer_length": self.text(rng.uniform(0.5, 7.5)),
            **self.some(0.5, chamfer_diameter="2 mm"),
            **self.some(0.5, spiral_point=self.chance(0.7)),
        }
        marks = [{"worn": self.text(depth)} for depth in self.depths(3, rng.randint(0, 3))]
        case = {"tool": tool, "measured": {}, "allow": {"finish": self.text(rng.uniform(0, 0.5))}}
        return self.close(case, marks, {"cut_back": self.text(rng.uniform(0.2, 3))}, ("damage",))
