"""The demo's bench: a line is inspected, planned, ground, coated again and checked, as far as the story goes."""

import random
from datetime import timedelta
from typing import Any

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import count_back, grind, send_to_coater
from regrind.bench.grinding.prefill import aim
from regrind.bench.inspecting.actions import inspect
from regrind.bench.kinds.registry import is_planned
from regrind.bench.models import Plan
from regrind.bench.photographs.actions import add_photo
from regrind.bench.planning.actions import decide
from regrind.bench.planning.floors import name_floors
from regrind.bench.planning.groups import Group, group_pieces
from regrind.bench.planning.terms import is_past_terms
from regrind.bench.revisions import newest, revisions
from regrind.geometry.units import NARROW_SPACE, Typed
from regrind.receiving.actions import count_marks
from regrind.record.models import Line, Piece
from regrind.record.names import size_name
from regrind.shop.files.photos import redraw_photo, store
from regrind.shop.models import Person, Wheel, WorkHolding

from .clock import Clock
from .kinds import CHECKED, READ, gauge, has_plan, read_angle, read_as_its_kind, read_corner
from .pictures import worn_edge
from .relief import read_drop
from .shop import COATER, nm, typed, worth_at

# Depth of the wear on the radius, as a share of the nominal diameter; invented, of the size that is usual.
WEAR = {
    "slight": (0.0025, 0.004),
    "low": (0.005, 0.008),
    "mid": (0.007, 0.012),
    "high": (0.011, 0.02),
    "deep": (0.045, 0.06),
}
TAKEN = 0.02  # of the nominal diameter, by one regrind before
SURE = "read twice, and ground as at the last visit"


class Bench:
    """One line's way over the bench, by one bench hand. (A class, because every step shares line, hand and chance.)"""

    def __init__(self, line: Line, entry: dict[str, Any], by: Person, chance: random.Random, clock: Clock) -> None:
        self.line, self.entry, self.by, self.chance, self.clock = line, entry, by, chance, clock
        self.unit, self.family, self.kind = line.batch.customer.unit, line.family, line.family.kind_data
        self.nominal_mm = (line.family.nominal_nm or 6_000_000) / 1e6
        self.came_mm: dict[int, float] = {}

    def wait(self, minutes: int) -> None:
        self.clock.set(self.clock.time + timedelta(minutes=minutes))

    def look(self, pieces: list[Piece]) -> None:
        """Two halves of a longer line are looked at apart, so that they differ as real ones do."""
        halves = [pieces] if len(pieces) < 5 or self.line.matched else [pieces[::2], pieces[1::2]]
        for half in halves:
            earlier = self.entry.get("before", self.chance.choice((0, 0, 1, 1, 2)))
            before = half[0].before_here if half[0].tool_id else earlier
            if not half[0].tool_id and self.kind.computed and before:
                count_marks(by=self.by, pieces=[p for p in half if not p.tool_id], here=before, elsewhere=0)
            came = self.entry.get("came_mm") or self.nominal_mm * (
                1 - (before or 0) * TAKEN * self.kind.computed
            ) - self.chance.uniform(0.0, 0.008) + self.entry.get("over_mm", 0.0)
            self.came_mm |= {piece.pk: came for piece in half}
            self.record(half, came)
            self.wait(12)

    def record(self, pieces: list[Piece], came_mm: float) -> None:
        readings = {"diameter": typed(came_mm, self.unit)}
        if self.kind.computed:
            wear = "deep" if self.chance.random() < 0.1 and "reach" not in self.entry else self.entry["wear"]
            reach = self.entry.get("reach") or self.chance.uniform(0.3, 1.6)
            depth = self.nominal_mm * self.chance.uniform(*WEAR[wear])
            readings |= {
                "damage_depth": typed(depth, self.unit),
                "flute_length": typed(self.nominal_mm * 2.6, self.unit),
                "reach": typed(self.nominal_mm * (2.2 if wear == "deep" else reach), self.unit),
            }
            readings |= {"gash_length": typed(nm(self.entry["gash"]) / 1e6, self.unit)} if "gash" in self.entry else {}
            readings = read_as_its_kind(self.family, readings, depth, self.unit)
        elif has_plan(self.family):
            chance = random.Random(pieces[0].pk)  # noqa: S311 (a scenario)
            readings |= READ[self.kind.code](self.family, chance, self.unit)
        inspect(
            by=self.by,
            pieces=pieces,
            expected={},
            typed=readings,
            each_tooth=self.each_tooth(),
            damage="depth" if is_planned(self.family) else "",
            diameter_place="unworn",
            method=self.method,
            gauge=gauge(self.by_micrometer),
            indicator=gauge("indicator"),
            observations={}
            if is_planned(self.family)
            else {self.kind.inspected[-1]: self.entry.get("seen", "worn, no cracks")},
        )

    @property
    def off_mm(self) -> float:
        """How far below the planned diameter this kind of tool always comes out at this shop."""
        return nm(self.entry["off"]) / 1e6 if "off" in self.entry else 0.0

    @property
    def by_micrometer(self) -> str:
        return "v-anvil" if (self.family.teeth or 2) % 2 else "micrometer"

    @property
    def method(self) -> str:
        if not self.kind.computed:
            return ""
        return "swept" if self.family.unequal_index else self.by_micrometer

    def each_tooth(self) -> list[Typed]:
        """On half of the lines every tooth is read with the indicator, from tooth 1."""
        teeth = self.family.teeth or 2
        if not self.kind.computed or self.family.unequal_index or self.chance.random() < 0.5:
            return []
        return [typed(-0.003 * ((k * 2) % teeth if k > 1 else 0), self.unit) for k in range(1, teeth + 1)]

    def plan(self, pieces: list[Piece]) -> None:
        for group in group_pieces(self.line, pieces):
            chosen_pieces = [p for p in pieces if p in group.pieces]
            common: dict[str, Any] = {
                "by": self.by,
                "pieces": chosen_pieces,
                "expected": revisions(Plan, chosen_pieces),
            }
            if group.answer is not None and group.preferred is not None:
                self.decide_by(group, group.preferred, common)
            elif self.kind.computed and not group.by_hand and not group.lacks:
                decide(
                    decision="not_ground",
                    result="returned_unground",
                    reason="nothing clean would be left of it",
                    **common,
                )
            elif self.line.batch.customer.always_ask:
                decide(decision="ask", reason=worth_at(self.entry["price"]), **common)
            else:
                decide(decision="grind", grinds=self.kind.grinds[0], reason=SURE if group.by_hand else "", **common)

    def decide_by(self, group: Group, best: int, common: dict[str, Any]) -> None:
        """As a bench hand decides who knows the customer's terms."""
        customer, option = self.line.batch.customer, group.options[best]
        past = is_past_terms(name_floors(option, self.line))
        common_values = {"chosen": best, "group": group.key, **common}
        kept_here = customer.scrap == "recycle" and not customer.never_scrap_unasked
        surely = self.entry.get("asks") or "answer" in self.entry
        goes = "scrap" if kept_here else "returned_unground"
        for words in self.entry.get("photos", ()):
            self.photograph(common["pieces"][0], words, about="damage")
        if option["verdict"] == "scrap":
            reason = "chipped too deep: no tool that cuts would be left"
            decide(decision="not_ground", result=goes, reason=reason, **common_values)
            self.photograph(common["pieces"][0], "chipped into the flute")
        elif past and (surely or (not (kept_here and self.entry["wear"] == "deep") and self.chance.random() < 0.5)):
            decide(
                decision="ask", reason="it would come out smaller than agreed: grind it all the same?", **common_values
            )
        elif past:
            decide(decision="not_ground", result=goes, reason="worn past the smallest size agreed", **common_values)
            self.photograph(common["pieces"][0], "worn at the corner")
        elif customer.always_ask or self.entry.get("asks"):
            decide(decision="ask", reason=worth_at(self.entry["price"]), **common_values)
        else:
            decide(decision="grind", reason=SURE if option["verdict"] == "ask" else "", **common_values)

    def photograph(self, piece: Piece, words: str, about: str = "not_ground") -> None:
        photo = redraw_photo(worn_edge(self.chance))
        add_photo(by=self.by, line=self.line, piece=piece, photo=photo, sha256=store(photo), about=about, caption=words)

    def grind(self, pieces: list[Piece]) -> None:
        """One setup for what is alike: ground as planned."""
        plans = newest(Plan, pieces)
        groups: dict[str, list[Piece]] = {}
        for piece in pieces:
            groups.setdefault(plans[piece.pk].grinds or self.kind.grinds[0], []).append(piece)
        for names, chosen_pieces in groups.items():
            grind(
                by=self.by,
                pieces=chosen_pieces,
                expected={},
                grinds=names.split(),
                gashed=True if "end" in names else None,
                wheel=self.wheel(names),
                holding=self.holding(),
                planned=self.planned(chosen_pieces, plans),
                minutes_hundredths=self.chance.randint(350, 650) * len(chosen_pieces) + 900,
            )
            self.wait(15 + 5 * len(chosen_pieces))

    def planned(self, pieces: list[Piece], plans: dict[int, Plan]) -> dict[int, tuple[int | None, int | None]]:
        """The infeed and the cut off the end that the program planned, by piece."""
        if not is_planned(self.family):
            return {piece.pk: (None, None) for piece in pieces}
        return {one.piece.pk: (one.infeed_nm, one.end_nm) for one in aim(pieces, plans)}

    def wheel(self, names: str) -> Wheel:
        if self.family.material.startswith("HSS"):
            return Wheel.objects.get(name__startswith="B91")
        return Wheel.objects.get(name__startswith="D64" if "sides" in names else "D46")

    def holding(self) -> WorkHolding | None:
        """Between centres, or in the collet of its size where the shop has one."""
        between = self.kind.code in ("sidecutter", "reamer")
        size = size_name(self.family.nominal_nm, self.unit).replace(NARROW_SPACE, " ")
        wanted = "Between" if between else "Drill" if self.kind.code == "drill" else f" {size} collet"
        return WorkHolding.objects.filter(name__contains=wanted).first()

    def coat(self, pieces: list[Piece], number: str, back_in_days: int) -> None:
        expected = (self.clock.started + timedelta(days=back_in_days)).date()
        send_to_coater(
            by=self.by,
            batch=self.line.batch,
            pieces=pieces,
            number=number,
            **COATER,
            price_minor=len(pieces) * 650,
            coating=self.family.coating or "AlTiN",
            expected=expected,
        )

    def bring_back(self, pieces: list[Piece]) -> None:
        count_back(by=self.by, pieces=pieces)

    def check(self, pieces: list[Piece], coated: bool) -> None:
        plans = newest(Plan, pieces)
        groups: dict[tuple[int | None, str], list[Piece]] = {}
        for piece in pieces:
            plan = plans[piece.pk]
            groups.setdefault((plan.diameter_nm, plan.grinds), []).append(piece)
        for (aim_nm, names), group in groups.items():
            self.check_like(group, aim_nm, names, coated)
            self.wait(10)

    def check_like(self, pieces: list[Piece], aim_nm: int | None, names: str, coated: bool) -> None:
        left_mm = aim_nm / 1e6 if aim_nm is not None else self.came_mm[pieces[0].pk]
        if aim_nm is not None and self.kind.computed and "sides" in names:
            left_mm -= self.chance.uniform(-0.002, 0.002) + self.off_mm
        readings = {"diameter": typed(left_mm, self.unit)}
        more = self.agreed_smaller(pieces, readings["diameter"])
        if self.kind.computed:
            more |= self.read_drop(pieces[0], readings)
            overall_mm = round(self.nominal_mm * 4 + 38) - (0.5 if "end" in names else 0.0)
            readings |= {
                "overall": typed(overall_mm, self.unit),
                "runout_sides": typed(self.chance.uniform(0.002, 0.008), self.unit),
                **read_corner(pieces[0], names, self.unit, self.chance),
            }
        elif has_plan(self.family):
            more |= {"angles": read_angle(pieces[0])}
            readings |= CHECKED[self.kind.code](pieces[0], self.unit)
        check(
            by=self.by,
            pieces=pieces,
            expected={},
            typed=readings,
            gauge=gauge(self.by_micrometer),
            indicator=gauge("indicator"),
            corner=self.corner(names),
            coating=self.coating(names, coated),
            **more,
        )

    def agreed_smaller(self, pieces: list[Piece], diameter: Typed) -> dict[str, Any]:
        """Where the customer said yes to less than was agreed: that reason, and each piece measured for it."""
        smallest = self.line.smallest_diameter_nm()
        if smallest is None or diameter.nm >= smallest:
            return {}
        reason = "smaller than agreed: the customer was asked and said yes"
        return {"released_because": reason, "diameters": {piece.pk: diameter for piece in pieces[1:]}}

    def read_drop(self, piece: Piece, readings: dict[str, Any]) -> dict[str, Any]:
        """Add the indicator's drop to the readings; returns how its distance was taken."""
        gauges = {"indicator": gauge("indicator"), "gauge": gauge(self.by_micrometer)}
        plan = newest(Plan, [piece])[piece.pk]
        reading = read_drop(piece, plan, readings["diameter"], self.unit, self.chance, **gauges)
        readings |= {"drop": reading.drop, "drop_over": reading.over}
        return {"drop_way": reading.way}

    def corner(self, names: str) -> str:
        if not self.kind.computed:
            return ""
        if {"corner", "ball"} & set(names.split()):
            return "clipped" if self.kind.code == "square" else "re-formed"
        return "sharp" if self.kind.code == "square" else "as it was"

    def coating(self, names: str, coated: bool) -> str:
        if not self.family.coating:
            return ""
        if coated:
            return self.family.coating
        return f"coating ground off on the {'flank' if 'sides' in names else 'end'}"
