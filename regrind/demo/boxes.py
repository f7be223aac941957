"""The demo's boxes: two years of closed ones, one tool that keeps coming back, and those that are in the shop now."""

import random
from datetime import datetime, timedelta
from typing import Any

from regrind.office.actions import record_answer, send_parcel, set_prices
from regrind.office.tool_page.codes import make_code
from regrind.receiving.actions import (
    change_batch,
    complain,
    follow,
    log_line,
    name_missing,
    note_foreign_item,
    open_batch,
)
from regrind.receiving.line_parser import parse_line
from regrind.record.actions import find_or_make_family
from regrind.record.contacts import contact_for
from regrind.record.models import Batch, Customer, Line, Piece, Tool
from regrind.shop.models import Person

from . import letters, rates
from .bench import Bench
from .clock import Clock
from .shop import make_customer, minor, nm, open_shop

STAGES = ("arrived", "inspected", "waiting", "ready_to_grind", "ground", "at_coater", "released", "left")
ANSWERS = (
    ("grind", "smaller is fine, grind them"),
    ("grind", "go ahead"),
    ("grind", "go ahead"),
    ("returned_unground", "leave them, we buy new ones"),
)


class Story:
    """One pass through two years of the invented shop. (A class, because every step shares people and chance.)"""

    def __init__(self, data: dict[str, Any], clock: Clock) -> None:
        self.data, self.clock = data, clock
        self.chance = random.Random(417)  # noqa: S311 (a scenario, not a secret)
        self.people: dict[str, Person] = {}
        self.customers: dict[str, Customer] = {}

    def tell(self) -> None:
        """History and the followed tool's visits in the order of their days, then the boxes that are open."""
        days = self.data["history"]["days"]
        self.clock.set(self.days_ago(days + 3))
        self.people = open_shop(self.data, self.clock.started)
        rates.keep_all(self.data["rates"], self.people["Oda"], self.clock)
        self.customers = {entry["name"]: make_customer(entry, self.people["Oda"]) for entry in self.data["customers"]}
        boxes = self.data["history"]["boxes"]
        past = [self.usual_box(days - (days - 30) * n // boxes) for n in range(boxes)]
        for entry in sorted([*past, *self.data["visits"], *self.data["open"]], key=lambda entry: -entry["days_ago"]):
            self.box(entry)

    def days_ago(self, days: float) -> datetime:
        """Days ago at ten past nine, or, for today, an hour or more before now."""
        day = self.clock.started - timedelta(days=days)
        return day if days < 1 else day.replace(hour=9, minute=10, second=0, microsecond=0)

    def usual_box(self, days_ago: int) -> dict[str, Any]:
        """A box of the past: one or two lines of what its customer usually sends; all of it left."""
        entry = self.chance.choice(self.data["customers"])
        lines = self.chance.sample(entry["sends"], min(len(entry["sends"]), self.chance.choice((1, 2, 2))))
        return {
            "customer": entry["name"],
            "days_ago": days_ago,
            "rush": self.chance.random() < 0.08,
            "lines": [line | {"to": "left"} for line in lines],
        }

    def box(self, entry: dict[str, Any]) -> None:
        fay, came = self.people["Fay"], self.clock.set(self.days_ago(entry["days_ago"]))
        customer = self.customers[entry["customer"]]
        due = self.clock.started + timedelta(days=entry["due_in"]) if "due_in" in entry else came + timedelta(days=10)
        batch = open_batch(
            by=fay,
            customer=customer,
            rush=entry.get("rush", False),
            their_count=entry.get("their_count"),
            order_number=entry.get("order", self.order_number()),
            due=due.date(),
        )
        if "difference" in entry:
            change_batch(by=fay, batch=batch, difference=entry["difference"])
        if "stray" in entry:
            note_foreign_item(by=fay, batch=batch, description=entry["stray"])
        if "mail" in entry:
            letters.mail(batch, entry["mail"], fay, self.clock)
        lines = [self.line(batch, line) for line in entry["lines"]]
        for line, how in zip(lines, entry["lines"], strict=True):
            self.clock.set(came + timedelta(days=entry.get("works_after", 1)))
            self.work(line, how)
        if "quote" in entry:
            letters.ask(batch, entry["quote"], fay, self.clock)
        if all(line["to"] == "left" for line in entry["lines"]):
            self.send(batch)

    def order_number(self) -> str:
        """Orders of the past lie below those that the scenario names."""
        return f"PO-{5100 + 11 * Batch.objects.count() + self.chance.randint(0, 9)}"

    def send(self, batch: Batch) -> None:
        self.clock.set(self.clock.time.replace(hour=15) + timedelta(days=self.chance.randint(1, 3)))
        released = list(batch.pieces.filter(status="released").select_related("batch"))
        recycled = [p for p in released if p.result == "scrap" and batch.customer.scrap == "recycle"]
        send_parcel(
            by=self.people["Fay"], batch=batch, pieces=[p for p in released if p not in recycled], recycled=recycled
        )

    def line(self, batch: Batch, entry: dict[str, Any]) -> Line:
        parsed, fay = parse_line(entry["said"], "in"), self.people["Fay"]
        stated = {name: getattr(parsed, name) for name in rates.KNOWN}
        family = find_or_make_family(by=fay, kind=parsed.kind, **stated)
        within = nm(entry["matched"]) if "matched" in entry else None
        line = log_line(
            by=fay,
            batch=batch,
            family=family,
            count=parsed.count,
            wording=parsed.text,
            hole=parsed.hole,
            stated=stated,
            matched=bool(within),
            match_tolerance_nm=within,
            customer_tool_number=entry.get("number", ""),
        )
        set_prices(by=fay, prices={line: minor(entry["price"])})
        self.know(line, entry)
        return Line.objects.select_related("batch__customer", "family").get(pk=line.pk)

    def know(self, line: Line, entry: dict[str, Any]) -> None:
        """Which tool it is, what is missing of it, and what they complain of."""
        fay, pieces = self.people["Fay"], pieces_of(line)
        if "follow" in entry:
            known = Tool.objects.filter(customer_number=entry["follow"]).first()
            follow(
                by=fay,
                piece=pieces[0],
                customer_number=entry["follow"],
                tool=known,
            )
            if known is None:
                make_code(by=fay, tool=Tool.objects.get(customer_number=entry["follow"]))
        if "missing" in entry:
            name_missing(by=fay, pieces=pieces[-1:], reason=entry["missing"])
        if "complaint" in entry:
            before = Piece.objects.filter(
                line__family=line.family,
                batch__customer=line.batch.customer,
                status="left",
                result="ground",
                tool=None,
            )
            complain(
                by=fay,
                piece=pieces[0],
                earlier=before.select_related("batch").order_by("-pk")[0],
                reason=entry["complaint"],
            )

    def work(self, line: Line, entry: dict[str, Any]) -> None:
        """Take a line as far as `to` says; what waits for an answer gets it where the line is to go on."""
        far = STAGES.index(entry["to"])
        if far < STAGES.index("inspected"):
            return
        hand = self.people[self.chance.choice(("Bea", "Nils"))]
        bench = Bench(line, entry | came_as(line), hand, self.chance, self.clock)
        bench.look(there(line, "arrived"))
        if far < STAGES.index("waiting"):
            return
        bench.plan(there(line, "inspected"))
        if far > STAGES.index("waiting") and (waiting := there(line, "waiting")):
            self.answer(line, waiting, entry.get("answer"))
        if far >= STAGES.index("ground"):
            self.grind(line, entry, bench, far)

    def answer(self, line: Line, pieces: list[Piece], how: str | None) -> None:
        self.clock.set(self.clock.time + timedelta(hours=5))
        decision, agreed = ("grind", how) if how else self.chance.choice(ANSWERS)
        if decision == "returned_unground" and line.batch.customer.scrap == "recycle":
            decision, agreed = "scrap", "scrap them, new ones are on order"
        record_answer(
            by=self.people["Fay"],
            line=line,
            pieces=pieces,
            who=str(contact_for(line.batch.customer, "quotes") or "customer"),
            how="phone",
            agreed=agreed,
            decision=decision,
        )

    def grind(self, line: Line, entry: dict[str, Any], bench: Bench, far: int) -> None:
        if not (ready := there(line, "ready_to_grind")):
            return
        self.clock.set(self.clock.time + timedelta(minutes=50))
        bench.grind(ready)
        coats = "slip" in entry
        if coats:
            bench.coat(there(line, "ground"), entry["slip"], entry["back_in"])
        if coats and far > STAGES.index("at_coater"):
            self.clock.set(self.clock.time + timedelta(days=5))
            bench.bring_back(there(line, "at_coater"))
        if far >= STAGES.index("released"):
            bench.check(there(line, "ground"), coats)


def came_as(line: Line) -> dict[str, float]:
    """A followed tool comes as it left, a little worn on the diameter."""
    last = [piece.tool.last_diameter_nm for piece in pieces_of(line) if piece.tool]
    return {"came_mm": last[0] / 1e6 - 0.005} if last and last[0] else {}


def pieces_of(line: Line) -> list[Piece]:
    return list(line.pieces.select_related("batch__customer", "line__family", "line__batch__customer", "tool"))


def there(line: Line, status: str) -> list[Piece]:
    return [piece for piece in pieces_of(line) if piece.status == status]
