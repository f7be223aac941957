"""The review counted from the raw rows in plain Python: no grouping, no join, no roll-up, one list at a time."""

from collections import defaultdict
from datetime import UTC, date

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan, Reading
from regrind.record.models import Batch, Line, Piece, Rate
from regrind.shop.models import Event
from regrind.shop.owner.settings import shop_settings

DONE = ("ground", "returned_unground", "scrap")


def rows_of(model):
    """Every raw row, undone ones too."""
    return list(getattr(model, "every", model.objects).order_by("pk").values())


class Record:
    """Every row of the tables that the review rests on, read once, and what follows from them by looking."""

    def __init__(self) -> None:
        self.pieces = rows_of(Piece)
        self.batches = {row["id"]: row for row in rows_of(Batch)}
        self.lines = {row["id"]: row for row in rows_of(Line)}
        self.undone = {row["undoes_id"] for row in rows_of(Event) if row["undoes_id"]}
        self.diameters = {
            (row["inspection_id"], row["final_check_id"]): row["nm"]
            for row in rows_of(Reading)
            if row["quantity"] == "diameter"
        }
        self.plans = {row["id"]: row for row in rows_of(Plan) if self.stands(row)}
        self.inspections = {row["id"]: row for row in rows_of(Inspection)}
        self.grinds = {row["id"]: row for row in rows_of(Grind) if self.stands(row)}
        self.rates = sorted(filter(self.stands, rows_of(Rate)), key=lambda row: (row["from_day"], row["id"]))
        self.came_back = {row["complaint_of_id"] for row in self.pieces if row["complaint_of_id"]}

    def stands(self, row) -> bool:
        return row["event_id"] not in self.undone

    def family(self, piece) -> int:
        return self.lines[piece["line_id"]]["family_id"]

    def customer(self, piece) -> int:
        return self.batches[piece["batch_id"]]["customer_id"]

    def month(self, piece) -> date:
        return self.batches[piece["batch_id"]]["received_at"].astimezone(UTC).date().replace(day=1)

    def good(self, piece) -> bool:
        return piece["result"] == "ground" and piece["id"] not in self.came_back

    def price(self, piece) -> int | None:
        """What was charged for it: nothing for what is ground again on a complaint."""
        charged = piece["result"] == "ground" and not piece["complaint_of_id"]
        return self.lines[piece["line_id"]]["unit_price_minor"] if charged else None

    def minutes(self) -> dict[int, int]:
        """Hundredths by piece, over the grinds that stand."""
        found: dict[int, int] = defaultdict(int)
        for row in self.grinds.values():
            if row["minutes_hundredths"] and self.stands(row):
                found[row["piece_id"]] += row["minutes_hundredths"]
        return found

    def taken(self) -> dict[int, tuple[int, int | None]]:
        """By piece, off the diameter as measured before and after, and as planned, by its last good check."""
        last: dict[int, dict] = {}
        for row in sorted(rows_of(FinalCheck), key=lambda row: row["revision"]):
            if row["passed"] and self.stands(row):
                last[row["piece_id"]] = row
        found = {}
        for piece, check in last.items():
            grind = self.grinds.get(check["grind_id"])
            plan = self.plans.get(grind["plan_id"]) if grind else None
            seen = self.inspections.get(plan["inspection_id"]) if plan else None
            sides = [
                row
                for row in self.grinds.values()
                if grind
                and row["piece_id"] == piece
                and row["plan_id"] == grind["plan_id"]
                and "sides" in row["grinds"]
                and self.stands(row)
            ]
            before = self.diameters.get((seen["id"], None)) if seen and seen["diameter_source"] == "measured" else None
            after = self.diameters.get((None, check["id"]))
            if sides and None not in (before, after):
                found[piece] = (before - after, None if plan["diameter_nm"] is None else before - plan["diameter_nm"])
        return found

    def rate(self, what: str, family, month: date) -> int | None:
        """The last said of the family, else of its kind, else of the shop, that holds on the first of a month."""
        for key, kind in ((family.pk, ""), (None, family.kind), (None, "")):
            told = [
                row
                for row in self.rates
                if (row["what"], row["family_id"], row["kind"], row["operation"]) == (what, key, kind, "")
                and row["from_day"] <= month
            ]
            if told and told[-1]["amount"] is not None:
                return told[-1]["amount"]
        return shop_settings().rate_minor if what == "hourly" else None

    def of(self, **wanted) -> list[dict]:
        """The pieces of a family, a customer, from a month, until one."""
        return [
            piece
            for piece in self.pieces
            if wanted.get("family") in (None, self.family(piece))
            and wanted.get("customer") in (None, self.customer(piece))
            and (wanted.get("since") is None or self.month(piece) >= wanted["since"])
            and (wanted.get("until") is None or self.month(piece) <= wanted["until"])
        ]


def count_of(pieces, test) -> int:
    return sum(bool(test(piece)) for piece in pieces)


def mean(values) -> float | None:
    told = list(values)
    return sum(told) / len(told) if told else None


def figures(record: Record, family, **wanted) -> dict:
    """Every figure of one family's row, by the names the page uses."""
    mine, minutes, taken = record.of(family=family.pk, **wanted), record.minutes(), record.taken()
    ground = [p for p in mine if p["result"] == "ground"]
    decided = count_of(mine, lambda p: p["result"] in DONE)
    charged = [price for p in mine if (price := record.price(p)) is not None]
    spent = [minutes[p["id"]] for p in mine if p["id"] in minutes]
    earning = [
        p
        for p in mine
        if p["id"] in minutes
        and p["result"] in DONE
        and (p["result"] != "ground" or p["complaint_of_id"] or record.price(p) is not None)
    ]
    wheel = sum(record.rate("wheel", family, record.month(p)) or 0 for p in ground)
    off = [taken[p["id"]][0] for p in mine if p["id"] in taken]
    earned = sum(
        (record.price(p) or 0) - (record.rate("wheel", family, record.month(p)) or 0) * (p["result"] == "ground")
        for p in earning
    )
    worked, reasons = sum(minutes[p["id"]] for p in earning), defaultdict(int)
    for p in mine:
        if p["result"] in ("returned_unground", "scrap") and p["reason"]:
            reasons[p["reason"]] += 1
    known = [p for p in mine if None not in (p["before_here"], p["before_elsewhere"])]
    good = count_of(mine, record.good)
    return {
        "received": len(mine),
        "decided": decided,
        "ground": len(ground),
        "good": good,
        "complained": count_of(ground, lambda p: p["id"] in record.came_back),
        "good_share": good / decided if decided else None,
        "minutes_hundredths": mean(spent),
        "price_minor": mean(charged),
        "earns_minor": earned * 100 / worked if charged and worked else None,
        "earning_n": len(earning),
        "saves_minor": _saves(record, family, mine),
        "wheel_each_minor": wheel / len(ground) if wheel else None,
        "stock_nm": mean(off),
        "stock_n": len(off),
        "off_plan_nm": mean(
            real - predicted
            for real, predicted in (taken[p["id"]] for p in mine if p["id"] in taken)
            if predicted is not None
        ),
        "regrinds_before": mean(p["before_here"] + p["before_elsewhere"] for p in known),
        "regrinds_left": mean(_left(record, mine)),
        "reasons": dict(reasons),
    }


def _saves(record: Record, family, pieces) -> float | None:
    """Saved by a tool that was decided on while a new one had a price; a good one that was not charged is left out."""
    total, over, good = 0, 0, 0
    for piece in pieces:
        new, price = record.rate("new", family, record.month(piece)), record.price(piece)
        if new is None or piece["result"] not in DONE:
            continue
        stands_for_one = record.good(piece) and (price is not None or piece["complaint_of_id"])
        over += bool(stands_for_one or not record.good(piece))
        good += bool(stands_for_one)
        total += (new if stands_for_one else 0) - (price or 0)
    return total / over if good else None


def _left(record: Record, pieces) -> list[int]:
    newest = {}
    for row in sorted(record.plans.values(), key=lambda row: row["revision"]):
        newest[row["piece_id"]] = row
    plans = [newest[p["id"]] for p in pieces if p["id"] in newest]
    return [
        plan["regrinds_left"] for plan in plans if plan["decision"] == "grind" and plan["regrinds_left"] is not None
    ]


def saved(record: Record, families: dict, **wanted) -> tuple[int, int]:
    """What good tools saved, and over how many: piece by piece, at the new price of the first of its month. What was
    charged is what it cost; a good tool stands for a new one where it was charged or made good a complaint."""
    total, over = 0, 0
    for piece in record.of(**wanted):
        new = record.rate("new", families[record.family(piece)], record.month(piece))
        if new is None:
            continue
        price = record.price(piece)
        if record.good(piece) and (price is not None or piece["complaint_of_id"]):
            total, over = total + new, over + 1
        total -= price or 0
    return total, over
