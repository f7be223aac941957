"""The demo shop: an invented scenario (shared/demo/shop.json), worked through by the same actions that the pages call.

The readings come from a seeded generator; none of them is anybody's measurement.
"""
import json
import random
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils import timezone

from regrind.bench.checking.actions import check
from regrind.bench.grinding.actions import grind, send_to_coater
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import Plan
from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces, revisions
from regrind.bench.rows import newest
from regrind.geometry.units import Typed, parse, show_with_unit
from regrind.office.actions import record_answer, send_parcel, set_prices
from regrind.receiving.actions import follow, log_line, open_batch
from regrind.receiving.said import understand
from regrind.record.actions import find_or_make_family, keep_customer
from regrind.record.models import Batch, Customer, Line, Piece
from regrind.shop.actions import keep_letterhead
from regrind.shop.models import Gauge, Holding, Letterhead, Person, Wheel

BATCHES, OPEN_FROM = 46, 40     # of these the last few are still in the shop
WEAR_MM = {"low": (0.02, 0.06), "mid": (0.04, 0.12), "high": (0.05, 0.2)}
SCENARIO = Path(settings.BASE_DIR) / "shared" / "demo" / "shop.json"


def nm(text: str) -> int:
    return parse(text).nm


def typed(mm: float, unit: str) -> Typed:
    """A reading as a bench hand would write it, at the gauge's resolution."""
    step = 2_540 if unit == "in" else 1_000
    whole = round(mm * 1_000_000 / step) * step
    return parse(show_with_unit(whole, unit))      # type: ignore[arg-type]


class Demo:
    """One pass through two years of the invented shop. (A class, because every step shares people and chance.)"""

    def __init__(self, now: datetime) -> None:
        self.data = json.loads(SCENARIO.read_text(encoding="utf-8"))
        self.chance, self.now = random.Random(417), now       # noqa: S311 (a scenario, not a secret)
        self.people: dict[str, Person] = {}

    def run(self) -> None:
        self.open_shop()
        customers = [self.customer(told) for told in self.data["customers"]]
        for n in range(BATCHES):
            days = 720 - n * 720 // BATCHES if n < OPEN_FROM else (BATCHES - n) * 2
            self.box(n, self.chance.choice(customers), self.now - timedelta(days=days, hours=3))

    def open_shop(self) -> None:
        for told in self.data["people"]:
            self.people[told["name"]] = Person.objects.create_user(
                told["name"], None, **{role: told.get(role, False) for role in ("owner", "bench", "front_desk")})
        oda, head = self.people["Oda"], dict(self.data["letterhead"])
        keep_letterhead(by=oda, rate_minor=int(float(head.pop("rate")) * 100), **head)
        for told in self.data["gauges"]:
            until = (self.now + timedelta(days=told["calibrated_days"])).date()
            Gauge.objects.create(name=told["name"], what=told["what"], resolution_nm=nm(told["resolution"]),
                                 uncertainty_nm=nm(told["uncertainty"]), calibrated_until=until)
        for told in self.data["wheels"]:
            Wheel.objects.create(name=told["name"], abrasive=told["abrasive"], shape=told["shape"], grit=told["grit"],
                                 bond=told["bond"], diameter_nm=nm(told["diameter"]), width_nm=nm(told["width"]),
                                 marked_maximum_rpm=told["rpm"], trued_runout_nm=nm(told["trued"]))
        Holding.objects.bulk_create([Holding(name=name) for name in self.data["holdings"]])

    def customer(self, told: dict[str, Any]) -> Customer:
        lengths: dict[str, Any] = {f"{name}_nm": nm(told[name])
                                   for name in ("under", "step", "shortest") if name in told}
        plain: dict[str, Any] = {name: told[name] for name in (
            "name", "contact", "mail", "phone", "unit", "keep", "scrap", "always_ask", "never_scrap_unasked",
            "prices_on_slip") if name in told}
        money: dict[str, Any] = {f"{name}_minor": int(float(told[name]) * 100)
                                 for name in ("batch_minimum", "rush_charge") if name in told}
        if "percent" in told:
            plain["under_hundredths_percent"] = int(float(told["percent"]) * 100)
        return keep_customer(by=self.people["Oda"], regrinds_left_on_report=told.get("regrinds_left", False),
                             **plain, **lengths, **money)

    def box(self, n: int, customer: Customer, at: datetime) -> None:
        fay = self.people["Fay"]
        batch = open_batch(by=fay, customer=customer, order_number=f"PO-{5200 + 7 * n}", received_at=at,
                           due=(at + timedelta(days=10)).date(), rush=n % 11 == 9)
        stage = 6 if n < OPEN_FROM else n - OPEN_FROM      # how far the newest boxes have come
        for told in self.chance.sample(self.data["lines"], 2):
            line = self.line(batch, told)
            self.work(line, told, at + timedelta(days=1), stage)
        if stage >= 6:
            released = list(batch.pieces.filter(whereabouts="released").select_related("batch"))
            kept = [p for p in released if p.result == "scrap" and customer.scrap == "recycle"]
            sent = [p for p in released if p not in kept]
            send_parcel(by=fay, batch=batch, pieces=sent, recycled=kept, sent_at=at + timedelta(days=6))

    def line(self, batch: Batch, told: dict[str, Any]) -> Line:
        said = understand(told["said"], "in")
        given = {name: getattr(said, name) for name in (
            "nominal_nm", "teeth", "material", "coating", "helix_cdeg", "corner_radius_nm", "point_angle_cdeg",
            "unequal_index", "flute_length_nm")}
        family = find_or_make_family(by=self.people["Fay"], kind=said.kind, **given)
        line = log_line(by=self.people["Fay"], batch=batch, family=family, count=said.count, said=said.text)
        set_prices(by=self.people["Fay"], prices={line: int(float(told["price"]) * 100)}, on=batch.received_at.date())
        return Line.objects.select_related("batch__customer", "family").get(pk=line.pk)

    def work(self, line: Line, told: dict[str, Any], at: datetime, stage: int) -> None:
        """Take a line as far as `stage` says: 0 arrived, 1 looked at, 2 decided, 3 ground, 4 away, 5 and 6 released."""
        at = min(at, self.now - timedelta(hours=2))
        pieces = list(line.pieces.select_related("batch__customer", "line__family", "line__batch__customer", "tool"))
        if self.chance.random() < 0.25:
            follow(by=self.people["Fay"], piece=pieces[0], elsewhere=self.chance.randint(0, 1))
        if stage < 1:
            return
        bea = self.people[self.chance.choice(["Bea", "Nils"])]
        self.look(line, told, pieces, bea, at)
        if stage >= 2:
            self.decide(line, pieces, bea, at + timedelta(minutes=20))
        waiting = [p for p in pieces if p.whereabouts == "waiting"]
        if stage >= 5 and waiting:
            self.answer(line, waiting, at + timedelta(minutes=40))
        mine = [p for p in pieces if p.whereabouts == "to_grind"]
        if stage >= 3 and mine:
            self.grind(line, mine, bea, at + timedelta(minutes=60), stage)

    def look(self, line: Line, told: dict[str, Any], pieces: list[Piece], by: Person, at: datetime) -> None:
        """Two halves of a longer line are looked at apart, so that they differ as real ones do."""
        halves = [pieces] if len(pieces) < 6 else [pieces[::2], pieces[1::2]]
        unit, nominal = line.batch.customer.unit, (line.family.nominal_nm or 6_000_000) / 1e6
        teeth = line.family.teeth or 2
        gauge = Gauge.objects.filter(what="v-anvil" if teeth % 2 else "micrometer").first()
        indicator = Gauge.objects.filter(what="indicator").first()
        for half in halves:
            low, high = WEAR_MM.get(told["wear"], (0.05, 0.2))
            readings = {"diameter": typed(nominal - self.chance.uniform(0.0, 0.03), unit),
                        "damage_depth": typed(self.chance.uniform(low, high), unit),
                        "reach": typed(nominal * self.chance.uniform(0.15, 0.5), unit),
                        "flute_length": typed(nominal * 2.6, unit)}
            if line.family.kind_data.computed and not line.family.unequal_index and self.chance.random() < 0.5:
                readings |= {f"tooth_{k}": typed(-0.003 * ((k * 2) % teeth if k > 1 else 0), unit)
                             for k in range(1, teeth + 1)}
            method = "swept" if line.family.unequal_index else "v-anvil" if teeth % 2 else "micrometer"
            inspect(by=by, pieces=half, seen={}, typed=readings, damage="depth", method=method, gauge=gauge,
                    indicator=indicator, done_at=at)

    def decide(self, line: Line, pieces: list[Piece], by: Person, at: datetime) -> None:
        for group in group_pieces(line, pieces):
            mine = [p for p in pieces if p in group.pieces]
            common: dict[str, Any] = {"by": by, "pieces": mine, "seen": revisions(mine), "done_at": at,
                                      "inspections": {p.pk: group.root for p in mine}}
            if not line.family.kind_data.computed and line.batch.customer.always_ask:
                decide(decision="ask", reason="worth grinding again: shall we?", **common)
            elif not line.family.kind_data.computed:
                decide(decision="grind", grinds=line.family.kind_data.grinds[0], **common)
            elif group.answer is None or group.answer["recommended"] is None:
                decide(decision="not_ground", result="as_it_came", reason="nothing clean would be left of it", **common)
            else:
                self.take_recommended(line, group, common)

    def take_recommended(self, line: Line, group: Any, common: dict[str, Any]) -> None:
        best = group.answer["recommended"]
        option = group.answer["options"][best]
        past = any(reason in ("outside_diameter", "outside_usable_length") for reason in option["reasons"])
        told = {"case": group.case, "answer": group.answer, "chosen": best, **common}
        if line.batch.customer.always_ask or (past and self.chance.random() < 0.3):
            decide(decision="ask", reason="it would leave smaller than agreed: grind it all the same?", **told)
        elif past or option["verdict"] == "scrap":
            decide(decision="not_ground", result="as_it_came", reason="worn past what was agreed", **told)
        else:
            decide(decision="grind", **told)

    def answer(self, line: Line, pieces: list[Piece], at: datetime) -> None:
        decision = "grind" if self.chance.random() < 0.7 else "as_it_came"
        agreed = "grind them, smaller is fine" if decision == "grind" else "leave them, we buy new ones"
        record_answer(by=self.people["Fay"], line=line, pieces=pieces, who=line.batch.customer.contact or "customer",
                      how="phone", agreed=agreed, decision=decision, answered_at=at)

    def grind(self, line: Line, pieces: list[Piece], by: Person, at: datetime, stage: int) -> None:
        computed = line.family.kind_data.computed
        names = ["sides", "end"] if computed else [line.family.kind_data.grinds[0]]
        wheel = Wheel.objects.filter(abrasive="CBN" if line.family.material.startswith("HSS") else "diamond").first()
        grind(by=by, pieces=pieces, seen={}, grinds=names, wheel=wheel, holding=Holding.objects.first(), done_at=at,
              minutes_hundredths=self.chance.randint(300, 700) * len(pieces) + 800, gashed=False)
        if stage == 4 and computed:
            send_to_coater(by=by, batch=line.batch, pieces=pieces, number="C-118", coater="Brightcoat", coating="AlTiN",
                           expected=(self.now + timedelta(days=4)).date(), sent_at=at + timedelta(hours=1))
        if stage >= 5:
            self.check(line, pieces, by, at + timedelta(minutes=30))

    def check(self, line: Line, pieces: list[Piece], by: Person, at: datetime) -> None:
        unit, plans = line.batch.customer.unit, newest(Plan, pieces)
        for group in _by_diameter(pieces, plans):
            aim = (plans[group[0].pk].diameter_nm or line.family.nominal_nm or 6_000_000) / 1e6
            readings = {"diameter": typed(aim - self.chance.uniform(-0.002, 0.004), unit),
                        "overall": typed(aim * 8, unit),
                        "runout_sides": typed(self.chance.uniform(0.002, 0.008), unit)}
            if line.family.kind_data.computed:
                readings |= {"drop": typed(0.055, unit), "drop_over": typed(0.381 if unit == "in" else 0.4, unit)}
            check(by=by, pieces=group, seen={}, typed=readings, done_at=at, relief_cdeg=self.chance.randint(900, 1200),
                  relief_how="tangent", corner="now square" if line.family.kind == "radius" else "sharp",
                  gauge=Gauge.objects.filter(what="micrometer").first(),
                  indicator=Gauge.objects.filter(what="indicator").first(),
                  coating="coating ground off on the flank" if line.family.coating else "")


def _by_diameter(pieces: list[Piece], plans: dict[int, Any]) -> list[list[Piece]]:
    groups: dict[int | None, list[Piece]] = {}
    for piece in pieces:
        groups.setdefault(plans[piece.pk].diameter_nm, []).append(piece)
    return list(groups.values())


def fill() -> int:
    """Fill an empty shop with the demo; return the number of pieces. A shop that holds anything is left alone."""
    if Person.objects.exists() or Batch.objects.exists() or Letterhead.objects.exists():
        return 0
    Demo(timezone.now()).run()
    return Piece.objects.count()

