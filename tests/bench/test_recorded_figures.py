"""Over shops made by chance: every stored plan holds what the pure module gives for the record of its piece."""

import json
import math
import random
from contextlib import suppress

import pytest

from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import Grind, Inspection, Plan
from regrind.bench.planning import sizes
from regrind.bench.planning.actions import decide
from regrind.bench.planning.groups import group_pieces
from regrind.bench.planning.size_table import tabulate
from regrind.bench.readings import Mark
from regrind.bench.revisions import newest
from regrind.geometry.case import read
from regrind.geometry.plan import work_out, work_out_at
from regrind.geometry.result import Answer, as_dict
from regrind.geometry.units import Typed
from regrind.record.models import Customer, Family, Line
from regrind.shop.events import Refusal

from .tray import pieces_of

pytestmark = pytest.mark.django_db
SEEDS = range(24)


def length(mm: float) -> Typed:
    return Typed(round(mm * 1e6), f"{mm:.6f} mm", "mm")


class Chance:
    """Families, terms and worn pieces under one seed."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def family(self) -> Family:
        pick, nominal = self.random.choice, self.random.choice([3, 6, 6.35, 10, 12.7, 25])
        known = self.random.random() < 0.5
        return Family.objects.create(
            kind=pick(["square"] * 6 + ["ball", "radius"]),
            nominal_nm=round(nominal * 1e6),
            teeth=pick([2, 3, 4, 5, 6]),
            material=pick(["carbide", "HSS", "HSS-Co", "tipped", "carbide", ""]),
            helix_cdeg=pick([None, 3000, 4000]),
            core_nm=round(nominal * 0.6e6) if known else 0,
            rake_cdeg=800 if known else None,
            flute_length_nm=round(nominal * pick([2, 3]) * 1e6) if self.random.random() < 0.7 else 0,
        )

    def customer(self) -> Customer:
        pick = self.random.choice
        return Customer.objects.create(
            name=f"Customer {self.random.random()}",
            unit=pick(["in", "mm"]),
            keep=pick(["", "diameter", "length"]),
            under_nm=pick([None, 500_000]),
            step_nm=pick([0, 50_000, 127_000]),
        )

    def inspect(self, piece, by) -> None:
        nominal = piece.line.family.nominal_nm / 1e6
        uniform = self.random.uniform
        depth, reach = nominal * uniform(0.002, 0.05), nominal * uniform(0.05, 1.2)
        typed = {"diameter": length(nominal * uniform(0.9, 1.0))}
        damage = self.random.choice(["depth"] * 6 + ["corners", "nothing"])
        typed |= {"reach": length(reach)} if damage != "nothing" else {}
        typed |= {"damage_depth": length(depth)} if damage == "depth" else {}
        typed |= {"end_depth": length(nominal * 0.01)} if self.random.random() < 0.3 else {}
        typed |= {"gash_length": length(nominal * 0.15)} if self.random.random() < 0.3 else {}
        marks = [self.mark(n, piece, depth, reach) for n in range(1, self.random.randint(0, 3) + 1)]
        inspect(by=by, pieces=[piece], expected={}, typed=typed, damage=damage, marks=marks)

    def mark(self, n: int, piece, depth: float, reach: float) -> Mark:
        tooth = self.random.randint(1, piece.line.family.teeth)
        share = self.random.choice([0.4, 1.0])
        to = length(reach * self.random.choice([0.5, 1.0]))
        if self.random.random() < 0.3:
            return Mark(n, tooth, to, None, None, length(depth * 3 * share), "wear land")
        return Mark(n, tooth, to, None, length(depth * share), None, "chip")


def decide_all(chance: Chance, line: Line, by) -> None:
    """One size where there is one, else each group by its own; what a rule refuses is left undone."""
    groups = group_pieces(line, pieces_of(line, "inspected"))
    table = tabulate(line, groups)
    if table.sizes and chance.random.random() < 0.6:
        chosen = [chance.random.choice(table.sizes).diameter_nm]
        try_to(
            sizes.take, line=line, pieces=pieces_of(line, "inspected"), chosen_nm=chosen, by=by, expected={}, reason="x"
        )
    for group in group_pieces(line, pieces_of(line, "inspected")):
        options = range(len(group.options))
        chosen = chance.random.choice([*options, group.preferred]) if options else None
        try_to(
            decide,
            by=by,
            pieces=group.pieces,
            expected={},
            decision=chance.random.choice(["grind", "grind", "ask"]),
            chosen=chosen,
            group=group.key,
            reason=chance.random.choice(["", "by phone"]),
            grinds="" if options else "end",
        )


def try_to(action, **typed) -> None:
    with suppress(Refusal):
        action(**typed)


def check(plan: Plan) -> None:
    """The plan's case is the record's, its answer the case's, its figures the option's."""
    root = plan.copied_from or plan
    if not root.case:
        assert (plan.diameter_nm, plan.cut_back_nm, plan.usable_nm, plan.regrinds_left) == (None,) * 4
        return
    case, answer = read(json.loads(root.case)), json.loads(root.answer)
    fresh = as_dict(work_out(case))
    taken = answer["options"][len(fresh["options"]) :]
    assert answer | {"options": answer["options"][: len(fresh["options"])]} == fresh
    for option in taken:
        there = work_out_at(case, round(option["cut_back_mm"] * 1e6), round(option["diameter_mm"] * 1e6))
        assert as_dict(Answer((there,), 0, there.verdict, (), ()))["options"] == [option]
    if plan.chosen is None:
        return
    option = answer["options"][plan.chosen]
    figures = (plan.diameter_nm, plan.cut_back_nm, plan.usable_nm)
    assert figures == tuple(round(option[name] * 1e6) for name in ("diameter_mm", "cut_back_mm", "usable_length_mm"))
    assert (plan.verdict, plan.regrinds_left) == (option["verdict"], option["regrinds_left"])
    ball = option["corner_form"] == "ball"
    of_end = ["ball"] if ball and option["corner"] else ["end"] if option["end"] and not ball else []
    corner = ["corner"] if option["corner"] and not ball else []
    assert plan.grinds.split() == [*(["sides"] if option["sides"] else []), *of_end, *corner]


def check_damage(plan: Plan, inspection: Inspection) -> None:
    """What stands recorded of the damage is in the case: as deep, and as far back."""
    root = plan.copied_from or plan
    if not root.case or inspection.damage == "nothing":
        return
    case = read(json.loads(root.case))
    ends = [mark.depth_axial_nm for mark in case.end_marks]
    radius = inspection.diameter_nm / 2
    on_arc = [radius * (1 - math.cos(math.radians(mark.arc_deg[1]))) for mark in case.marks if mark.arc_deg]
    reaches = [mark.to_nm for mark in case.marks] + on_arc + ends
    assert max(reaches) >= inspection.reach_nm - 1
    if inspection.damage_nm:
        deepest = max((mark.depth_radial_nm or mark.wear_land_nm or 0) for mark in case.marks)
        assert deepest >= inspection.damage_nm


@pytest.mark.parametrize("seed", SEEDS)
def test_every_plan_holds_what_the_pure_module_gives_for_the_record(make_batch, bench_hand, seed):
    chance = Chance(seed)
    line = make_batch(6, of=chance.family(), owner=chance.customer()).lines.get()
    for piece in pieces_of(line):
        chance.inspect(piece, bench_hand)
    decide_all(chance, line, bench_hand)
    pieces = pieces_of(line)
    plans, inspections = newest(Plan, pieces), newest(Inspection, pieces)
    grounds = [piece for piece in pieces if piece.status == "ready_to_grind"]
    assert all(piece.pk in plans for piece in grounds)
    assert Grind.objects.count() == 0
    for piece in pieces:
        if piece.pk in plans:
            check(plans[piece.pk])
            check_damage(plans[piece.pk], inspections[piece.pk])


def test_the_shops_made_by_chance_are_planned_in_every_way(make_batch, bench_hand):
    """Sizes taken, options taken, asked about, by hand: the property is not held by doing nothing."""
    ways = set()
    for seed in SEEDS:
        chance = Chance(seed)
        line = make_batch(6, of=chance.family(), owner=chance.customer()).lines.get()
        for piece in pieces_of(line):
            chance.inspect(piece, bench_hand)
        decide_all(chance, line, bench_hand)
    for plan in Plan.objects.all():
        root = plan.copied_from or plan
        options = len(as_dict(work_out(read(json.loads(root.case))))["options"]) if root.case else 0
        way = "by hand" if not root.case else "size" if plan.chosen is not None and plan.chosen >= options else "option"
        ways.add((plan.decision, way))
    assert {("grind", "size"), ("grind", "option"), ("ask", "option"), ("grind", "by hand")} <= ways
