"""Shops made by chance, by the shop's own actions alone: what a rule refuses is left undone and the day goes on."""

import random
from collections.abc import Callable
from datetime import timedelta

from django.utils import timezone

from regrind.bench.checking.actions import Again, check
from regrind.bench.grinding.actions import grind
from regrind.bench.inspecting.actions import inspect
from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.bench.planning.actions import decide
from regrind.bench.revisions import revisions
from regrind.geometry.units import Typed
from regrind.office.actions import send_parcel, set_prices
from regrind.office.complaints.actions import end_complaint
from regrind.office.models import Parcel
from regrind.receiving.actions import boxes, counts, lines, tools
from regrind.record.actions import merge_families, take_apart
from regrind.record.models import Batch, Customer, Family, FamilyMerge, Line, Piece
from regrind.record.moves import move
from regrind.record.rate_changes import keep_rates
from regrind.record.rates import SHOP, newest_pk
from regrind.shop.events import Conflict, Refusal
from regrind.shop.models import Person, Wheel
from regrind.shop.undo import undo
from tests.events import undo_newest

REASONS = ("chipped too deep", "worn down", "not worth it")
WRONG = ("chatter marks", "undersize", "runout")


def length(nm: int) -> Typed:
    return Typed(nm, f"{nm / 1_000_000} mm", "mm")


class Shop:
    """A shop under a seed; `run(n)` lets n things happen in it."""

    def __init__(self, seed: int, by: Person, weights: dict[str, int] | None = None) -> None:
        self.chance, self.second_thoughts, self.by = random.Random(seed), random.Random(seed), by
        self.customers = [Customer.objects.create(name=f"Customer {k} of {seed}", unit="mm") for k in range(2)]
        self.families = [
            Family.objects.create(kind="square", nominal_nm=6_000_000 + k * 1_000_000, teeth=4) for k in range(3)
        ]
        self.wheels = [
            Wheel.objects.create(name=f"Cup {k} of {seed}", abrasive="diamond", diameter_nm=100_000_000)
            for k in range(2)
        ]
        events: dict[str, tuple[Callable[[], object], int]] = {
            "box": (self.box, 3),
            "line": (self.line, 5),
            "look": (self.look, 10),
            "plan": (self.plan, 10),
            "grind": (self.grind, 10),
            "check": (self.check, 10),
            "undo": (self.undo, 4),
            "send": (self.send, 4),
            "unsend": (self.unsend, 2),
            "price": (self.price, 3),
            "complain": (self.complain, 4),
            "withdraw": (self.withdraw, 1),
            "recount": (self.recount, 2),
            "miss": (self.miss, 2),
            "find": (self.find, 1),
            "split": (self.split, 2),
            "join": (self.join, 2),
            "retell": (self.retell, 2),
            "merge": (self.merge, 1),
            "apart": (self.apart, 1),
            "date": (self.date, 1),
            "marks": (self.marks, 2),
            "tag": (self.tag, 2),
            "end": (self.end, 3),
            "rates": (self.rates, 2),
        }
        self.events = [(event, (weights or {}).get(name, often)) for name, (event, often) in events.items()]
        self.done: dict[str, int] = {}

    def run(self, times: int) -> None:
        kinds, often = zip(*self.events, strict=True)
        for event in self.chance.choices(kinds, often, k=times):
            try:
                event()
            except (Refusal, Conflict):
                continue
            self.done[event.__name__] = self.done.get(event.__name__, 0) + 1

    def pick(self, rows):
        rows = list(rows.order_by("pk"))
        if not rows:
            raise Refusal("There is none.")
        return self.chance.choice(rows)

    def some(self, *where: str) -> list[Piece]:
        """A few pieces of one line that are at a place."""
        line = self.pick(Line.objects.filter(pieces__status__in=where).distinct())
        pieces = list(
            line.pieces.filter(status__in=where).select_related(
                "batch__customer", "line__family", "line__batch__customer", "tool"
            )
        )
        return pieces[: self.chance.randint(1, len(pieces))]

    def box(self) -> None:
        came = timezone.now() - timedelta(days=self.chance.choice((1, 20, 45, 400, 401)))
        boxes.open_batch(by=self.by, customer=self.chance.choice(self.customers), received_at=came)

    def line(self) -> None:
        lines.log_line(
            by=self.by,
            batch=self.pick(Batch.objects),
            family=self.chance.choice(self.families),
            count=self.chance.randint(1, 6),
        )

    def look(self) -> None:
        pieces, depth = self.some("arrived", "inspected"), self.chance.randint(1, 400) * 1_000
        damage = self.chance.choice(("depth", "depth", "corners", "nothing"))
        typed = {"diameter": length(6_000_000 - self.chance.randint(0, 500) * 100)}
        inspect(
            by=self.by,
            pieces=pieces,
            expected=_seen(Inspection, pieces),
            damage=damage,
            typed=typed | ({"damage_depth": length(depth)} if damage == "depth" else {}),
            diameter_source=self.chance.choice(("measured", "measured", "marked")),
        )

    def plan(self) -> None:
        pieces = self.some("inspected")
        decision = self.chance.choice(("grind", "grind", "grind", "ask", "not_ground"))
        not_ground = {
            "result": self.chance.choice(("returned_unground", "scrap")),
            "reason": self.chance.choice(REASONS),
        }
        decide(
            by=self.by,
            pieces=pieces,
            expected=_seen(Plan, pieces),
            decision=decision,
            grinds=self.chance.choice(("sides", "sides end", "end")),
            diameter_nm=self.chance.choice((None, 6_000_000 - self.chance.randint(100, 400) * 1_000)),
            **(not_ground if decision == "not_ground" else {}),
        )

    def grind(self) -> None:
        pieces = self.some("ready_to_grind")
        grind(
            by=self.by,
            pieces=pieces,
            expected=_seen(Grind, pieces),
            minutes_hundredths=self.chance.randint(0, 9_999),
            grinds=self.chance.choice((["sides"], ["sides", "end"], ["end"])),
            follows=(follows := self.chance.random() < 0.2),
            wheel=self.chance.choice((None, *self.wheels)),
        )
        if follows and self.second_thoughts.random() < 0.5:
            undo_newest(pieces, self.by)

    def check(self) -> None:
        pieces, passed = self.some("ground"), self.chance.random() < 0.7
        share = self.chance.choice((0.5, 1, 1))  # what is released outside a limit needs every piece measured
        own = {
            p.pk: length(5_900_000 - self.chance.randint(0, 300) * 1_000)
            for p in pieces[1:]
            if self.chance.random() < share
        }
        again = Again("nothing") if not passed and self.chance.random() < 0.3 else None
        check(
            by=self.by,
            pieces=pieces,
            expected=_seen(FinalCheck, pieces),
            diameters=own,
            passed=passed,
            again=again,
            typed={"diameter": length(5_900_000 - self.chance.randint(0, 300) * 1_000)},
            sent_back="" if passed else "not clean",
            corner="sharp",
            released_because="the customer agreed" if passed else "",
            exceptions={pieces[-1].pk: "a nick"} if passed and len(pieces) > 2 else None,
        )

    def undo(self) -> None:
        pieces = self.some(
            "inspected", "waiting", "ready_to_grind", "ground", "at_coater", "released", "missing", "left"
        )
        undo_newest(pieces, self.by, why="on second thoughts")

    def send(self) -> None:
        pieces = self.some("released")
        send_parcel(by=self.by, batch=pieces[0].batch, pieces=pieces)

    def unsend(self) -> None:
        undo(by=self.by, done=self.pick(Parcel.objects).event)

    def price(self) -> None:
        set_prices(by=self.by, prices={self.pick(Line.objects): self.chance.choice((None, 750, 980, 1_250))})

    def complain(self) -> None:
        of = self.pick(Piece.objects.filter(status="left").select_related("batch", "tool"))
        piece = self.pick(
            Piece.objects.filter(batch__customer=of.batch.customer)
            .exclude(batch=of.batch)
            .select_related("batch__customer", "line__family")
        )
        tools.complain(by=self.by, piece=piece, earlier=of, reason=self.chance.choice(WRONG))

    def withdraw(self) -> None:
        tools.withdraw_complaint(by=self.by, piece=self.pick(Piece.objects.filter(complaint_of__isnull=False)))

    def recount(self) -> None:
        line = self.pick(Line.objects)
        counts.recount(by=self.by, line=line, count=line.pieces.count() + self.chance.choice((-1, 1)), reason="again")

    def miss(self) -> None:
        counts.name_missing(by=self.by, pieces=self.some("arrived", "inspected", "ground"), reason="not in the box")

    def find(self) -> None:
        counts.name_found(by=self.by, pieces=self.some("missing"))

    def split(self) -> None:
        pieces = self.some("arrived", "ready_to_grind", "ground", "released")
        lines.split_line(by=self.by, line=pieces[0].line, pieces=pieces)

    def join(self) -> None:
        line = self.pick(Line.objects)
        lines.merge_lines(by=self.by, line=line, into=self.pick(Line.objects.filter(batch=line.batch)))

    def retell(self) -> None:
        lines.change_family(
            by=self.by, line=self.pick(Line.objects), family=self.chance.choice(self.families), reason="looked at again"
        )

    def merge(self) -> None:
        merge_families(by=self.by, family=self.chance.choice(self.families), into=self.chance.choice(self.families))

    def apart(self) -> None:
        take_apart(by=self.by, merge=self.pick(FamilyMerge.objects))

    def date(self) -> None:
        boxes.change_batch(
            by=self.by,
            batch=self.pick(Batch.objects),
            received_at=timezone.now() - timedelta(days=self.chance.randint(0, 60)),
        )

    def marks(self) -> None:
        pieces = self.some("arrived", "inspected", "ready_to_grind")
        tools.count_marks(by=self.by, pieces=pieces, here=self.chance.randint(0, 5), elsewhere=0)

    def tag(self) -> None:
        tools.give_tags(by=self.by, pieces=self.some("arrived", "inspected")[:1])

    def end(self) -> None:
        piece = self.pick(Piece.objects.filter(complaint_of__isnull=False))
        outcome, cause = self.chance.choice(("credited", "refused", "ground")), self.chance.choice(("use", "runout"))
        end_complaint(by=self.by, piece=piece, outcome=outcome, cause=cause)

    def rates(self) -> None:
        """A wheel or a new tool costs another from some day on, before what came or after it; or as the wider scope."""
        family = self.chance.choice(self.families)
        scope = self.chance.choice(((family.pk, ""), (None, family.kind), SHOP))
        amounts = {(what, ""): self.chance.choice((None, 40, 60, 3_000)) for what in ("wheel", "new")}
        since = timezone.localdate() - timedelta(days=self.chance.choice((-40, 0, 30, 60, 402, 900)))
        keep_rates(by=self.by, scope=scope, amounts=amounts, from_day=since, seen=newest_pk(scope))


def _seen(model, pieces) -> dict[int, int]:
    return revisions(model, pieces)


def answered(by: Person) -> None:
    """What waits for an answer goes to the grinder, so that no piece of the shop stands still for good."""
    waiting = list(Piece.objects.filter(status="waiting"))
    move(pieces=waiting, to="ready_to_grind", by=by)
