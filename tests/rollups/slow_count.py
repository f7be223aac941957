"""The review's sums by plain Python over the raw rows, piece by piece: slow, and written apart from the program's."""

from collections import Counter, defaultdict
from datetime import UTC, date

from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.record.models import ComplaintEnd, Family, Piece, Rate
from regrind.shop.models import Event


def count_slowly() -> tuple[dict, dict]:
    """(columns, tallies): by (family, customer, month) a Counter of columns, and by what and of [n, good, sum, sq]."""
    columns: dict = defaultdict(Counter)
    tallies: dict = defaultdict(dict)
    setups: dict = defaultdict(lambda: defaultdict(list))
    for piece in Piece.objects.select_related("line__batch", "complaint_of"):
        month = piece.line.batch.received_at.astimezone(UTC).date().replace(day=1)
        cell = (piece.line.family_id, piece.line.batch.customer_id, month)
        told = _of_piece(piece)
        columns[cell].update(told.columns)
        for key, good, value in told.tallies:
            row = tallies[cell].setdefault(key, [0, 0, 0, 0])
            tallies[cell][key] = [row[0] + 1, row[1] + good, row[2] + value, row[3] + value**2]
        for setup, hundredths in told.setups:
            setups[cell][piece.line_id, setup].append(hundredths)
    for cell, found in setups.items():
        for shares in found.values():
            m, total = len(shares), sum(shares)
            columns[cell].update(
                setups=1, setup_pieces=m, setup_pieces_sq=m**2, setup_hundredths=total, setup_cross=m * total
            )
    for (family, _, month), row in columns.items():
        _price(row, _rate("wheel", family, month) or 0, _rate("new", family, month))
    return (
        {cell: {k: v for k, v in row.items() if v} for cell, row in columns.items()},
        {cell: rows for cell, rows in tallies.items() if rows},
    )


def add_years(columns: dict, tallies: dict) -> dict:
    """What years hold, from cells: by (family, year), (customer, family, year), and both with "all", a dict of figures;
    those of no customer with their tallies."""
    years: dict = defaultdict(Counter)
    for (family, customer, month), row in columns.items():
        for year in (month.year, "all"):
            for key in ((family, year), (customer, family, year)):
                years[key].update(row)
    for (family, _, month), rows in tallies.items():
        for name, values in rows.items():
            for key in ((family, month.year), (family, "all")):
                years[key].update({(*name, n): value for n, value in enumerate(values)})
    return {key: {k: v for k, v in row.items() if v} for key, row in years.items()}


def _rate(what: str, family: int, day: date) -> int | None:
    """The amount that held for a family on a day: its own, else its kind's, else the shop's."""
    kind = Family.objects.get(pk=family).kind
    undone = set(Event.objects.exclude(undoes=None).values_list("undoes", flat=True))
    for scope in ({"family": family}, {"family": None, "kind": kind}, {"family": None, "kind": ""}):
        said = [
            row
            for row in Rate.every.filter(what=what, from_day__lte=day, **scope).order_by("from_day", "pk")
            if row.event_id not in undone
        ]
        if said and said[-1].amount is not None:
            return said[-1].amount
    return None


def _price(columns: Counter, wheel: int, new: int | None) -> None:
    columns["wheel_minor"] = wheel * columns["ground"]
    columns["earned_minor"] = columns["earning_minor"] - wheel * columns["earning_ground"]
    if new is not None:
        decided = columns["ground"] + columns["returned_unground"] + columns["scrap"]
        columns["saved_minor"] = new * columns["replaced_n"] - columns["charged_minor"]
        columns["saved_n"] = columns["replaced_n"]
        columns["saved_of"] = decided - (columns["good"] - columns["replaced_n"])


class Told:
    def __init__(self) -> None:
        self.columns: Counter = Counter()
        self.tallies: list[tuple[tuple[str, str], int, int]] = []
        self.setups: list[tuple[str, int]] = []


def _of_piece(piece: Piece) -> Told:
    told = Told()
    complaints = list(piece.complaints.all())
    good = piece.result == "ground" and not complaints
    told.columns.update({"received": 1, piece.result or "open": 1})
    del told.columns["open"]
    told.columns["good"] += good
    told.columns["complained"] += piece.result == "ground" and not good
    told.columns["complaints"] += piece.complaint_of is not None
    if piece.result == "ground" and piece.complaint_of is None and piece.line.unit_price_minor is not None:
        told.columns.update(charged_n=1, charged_minor=piece.line.unit_price_minor)
    told.columns["replaced_n"] += good and (piece.complaint_of is not None or piece.line.unit_price_minor is not None)
    if None not in (piece.before_here, piece.before_elsewhere):
        told.columns.update(before_n=1, before_sum=piece.before_here + piece.before_elsewhere)
    if piece.result in ("returned_unground", "scrap") and piece.reason:
        told.tallies.append((("why", piece.reason), 0, 0))
    told.tallies += [(("complaint", back.complaint), 0, 0) for back in complaints]
    undone = set(Event.objects.exclude(undoes=None).values_list("undoes", flat=True))
    ends = [row for row in ComplaintEnd.every.filter(piece=piece).order_by("pk") if row.event_id not in undone]
    if ends and piece.complaint_of is not None:
        told.tallies.append((("ended", f"{ends[-1].outcome} {ends[-1].cause}"), 0, 0))
    _add_grinds(told, piece, undone)
    _add_checks(told, piece, undone)
    _add_plan(told, piece, undone)
    _add_wear(told, piece, undone, good)
    return told


def _add_grinds(told: Told, piece: Piece, undone: set) -> None:
    shares = [
        (row.setup, row.minutes_hundredths)
        for row in Grind.every.filter(piece=piece)
        if row.minutes_hundredths and row.event_id not in undone
    ]
    told.setups += shares
    told.columns["minutes_n"] += bool(shares)
    told.columns["minutes_hundredths"] += sum(share for _, share in shares)
    brings = piece.result == "ground" and piece.complaint_of_id is None
    if (
        shares
        and piece.result in ("ground", "returned_unground", "scrap")
        and not (brings and piece.line.unit_price_minor is None)
    ):
        told.columns["earning_n"] += 1
        told.columns["earning_hundredths"] += sum(share for _, share in shares)
        told.columns["earning_minor"] += piece.line.unit_price_minor if brings else 0
        told.columns["earning_ground"] += piece.result == "ground"


def _add_checks(told: Told, piece: Piece, undone: set) -> None:
    every = FinalCheck.every.filter(piece=piece).order_by("revision").select_related("grind__plan__inspection")
    rows = [row for row in every if row.event_id not in undone]
    failed = [row for row in rows if not row.passed]
    passed = [row for row in rows if row.passed]
    told.columns["sent_back"] += bool(failed)
    told.columns["released_first"] += bool(passed) and not failed
    if not passed:
        return
    check = passed[-1]
    plan = check.grind.plan if check.grind else None
    came = plan.inspection if plan else None
    sides = [
        row
        for row in Grind.every.filter(piece=piece).order_by("revision")
        if plan and row.plan_id == plan.pk and "sides" in row.grinds.split() and row.event_id not in undone
    ]
    if (
        came is None
        or came.diameter_nm is None
        or came.diameter_source != "measured"
        or check.diameter_nm is None
        or not sides
    ):
        return
    lost = came.diameter_nm - check.diameter_nm
    told.columns.update(stock_n=1, stock_sum_nm=lost, stock_sumsq=lost**2)
    told.tallies.append((("stock", str(lost - lost % 10_000)), 0, 0))
    if plan.diameter_nm is not None:
        predicted = came.diameter_nm - plan.diameter_nm
        more = lost - predicted
        told.columns.update(plan_n=1, plan_sum_nm=more, plan_sumsq=more**2, plan_above=more > 0, plan_below=more < 0)
        told.tallies.append((("predicted", str(predicted - predicted % 10_000)), 0, 0))
        if sides[-1].wheel_id:
            told.tallies.append((("wheel", str(sides[-1].wheel_id)), 0, more))


def _add_plan(told: Told, piece: Piece, undone: set) -> None:
    plans = [row for row in Plan.every.filter(piece=piece).order_by("revision") if row.event_id not in undone]
    plan = plans[-1] if plans else None
    if plan and plan.decision == "grind" and plan.regrinds_left is not None:
        told.columns.update(left_n=1, left_sum=plan.regrinds_left)


def _add_wear(told: Told, piece: Piece, undone: set, good: bool) -> None:
    looks = [row for row in Inspection.every.filter(piece=piece).order_by("revision") if row.event_id not in undone]
    if not looks or piece.result not in ("ground", "returned_unground", "scrap"):
        return
    first = looks[0]
    if first.damage != "depth":
        told.tallies.append((("wear", first.damage), good, 0))
    elif first.damage_nm is not None:
        told.tallies.append((("wear", str(first.damage_nm - first.damage_nm % 50_000)), good, 0))
