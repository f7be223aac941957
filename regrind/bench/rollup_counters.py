"""What the bench adds to the review's sums: minutes, stock, planned against actual, final checks, wear as received.

A row whose event was undone does not stand, and is not counted.
"""

from collections import defaultdict
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Subquery

from regrind.record.figures import Figures
from regrind.record.models import Piece
from regrind.record.rollups import Lines

from .models import FinalCheck, Grind, Inspection, Plan
from .readings import diameter_before, length_reading
from .revisions import grind_of_sides

STOCK_STEP_NM = 10_000  # of diameter
WEAR_STEP_NM = 50_000  # of depth
DECIDED = ("ground", "returned_unground", "scrap")
# More than this off the diameter in one visit is a slip of the pen or another tool, no regrind; and with it the sum
# of squares of tens of thousands of pieces still fits the column.
MOST_STOCK_NM = 20_000_000


def count_bench(lines: Lines) -> None:
    """Add what the bench wrote about the pieces of these lines to the sums of their cells: four queries."""
    _count_grinds(lines)
    _count_checks(lines)
    _count_plans(lines)
    _count_wear(lines)


def _count_grinds(lines: Lines) -> None:
    """Minutes by piece, and the sums over setups that part a setup's own minutes from each piece's."""
    setups: dict[tuple[int, str], list[int]] = defaultdict(lambda: [0, 0])
    timed: dict[Timed, int] = defaultdict(int)
    stood = Grind.objects.filter(piece__line__in=list(lines), minutes_hundredths__gt=0)
    rows = stood.order_by().values_list(
        "piece",
        "piece__line",
        "piece__result",
        "piece__complaint_of",
        "piece__line__unit_price_minor",
        "setup",
        "minutes_hundredths",
    )
    for piece, line, result, again, price, setup, hundredths in rows:
        timed_piece = Timed(piece, line, result, again, price)
        timed[timed_piece] += hundredths
        setups[timed_piece.line, setup][0] += 1
        setups[timed_piece.line, setup][1] += hundredths
    for timed_piece, hundredths in timed.items():
        _add_timed(lines[timed_piece.line].figures, timed_piece, hundredths)
    for (line, _), (m, total) in setups.items():
        _add_setup(lines[line].figures, m, total)


def _add_setup(add: Figures, m: int, total: int) -> None:
    """A setup of m pieces that took `total` hundredths of a minute."""
    add.minutes_hundredths += total
    add.setups += 1
    add.setup_pieces += m
    add.setup_pieces_sq += m * m
    add.setup_hundredths += total
    add.setup_cross += m * total


class Timed(NamedTuple):
    """A piece with bench minutes, and what its price hangs on."""

    pk: int
    line: int
    result: str
    complaint_of: int | None  # the visit that it is a complaint about
    price: int | None


def _add_timed(add: Figures, piece: Timed, hundredths: int) -> None:
    """Earnings are over pieces whose minutes and whose price are both known, so that neither is set against others'
    of the other: what is still on the bench, or was not charged yet, has brought nothing so far."""
    add.minutes_n += 1
    brings = piece.result == "ground" and piece.complaint_of is None
    if piece.result not in DECIDED or (brings and piece.price is None):
        return
    add.earning_n += 1
    add.earning_hundredths += hundredths
    add.earning_minor += (piece.price or 0) if brings else 0
    add.earning_ground += piece.result == "ground"


class Check(NamedTuple):
    piece: int
    line: int
    passed: bool
    sides: bool  # ground under the plan that this check's grind followed
    wheel: int | None  # with which the sides were
    planned: int | None
    before: int | None  # measured on this very piece
    after: int | None

    @property
    def taken_nm(self) -> int | None:
        """What the diameter lost, where it was read on this very piece before and after its sides were ground."""
        if self.after is None or self.before is None or not self.sides:
            return None
        taken = self.before - self.after
        return taken if abs(taken) <= MOST_STOCK_NM else None


def _checks(lines: Lines) -> list[Check]:
    sides = grind_of_sides()
    rows = (
        FinalCheck.objects.filter(piece__line__in=list(lines))
        .order_by("piece", "revision")
        .values_list(
            "piece",
            "piece__line",
            "passed",
            Exists(sides),
            Subquery(sides.values("wheel")[:1]),
            "grind__plan__diameter_nm",
            diameter_before(),
            length_reading("diameter", final_check="pk"),
        )
    )
    return [Check(*row) for row in rows]


def _count_checks(lines: Lines) -> None:
    """Each piece's last check that stands gives its stock; any check that sent it back marks it so."""
    back: dict[int, int] = {}
    last: dict[int, Check] = {}
    for check in _checks(lines):
        if check.passed:
            last[check.piece] = check
        else:
            back[check.piece] = check.line
    for line in back.values():
        lines[line].figures.sent_back += 1
    for piece, check in last.items():
        if piece not in back:
            lines[check.line].figures.released_first += 1
        _add_stock(lines, check)


def _add_stock(lines: Lines, check: Check) -> None:
    taken, sums = check.taken_nm, lines[check.line]
    if taken is None:
        return
    add = sums.figures
    add.stock_n += 1
    add.stock_sum_nm += taken
    add.stock_sumsq += taken * taken
    sums.tally("stock", str(taken // STOCK_STEP_NM * STOCK_STEP_NM))
    predicted = None if check.planned is None else (check.before or 0) - check.planned
    if predicted is None or abs(predicted) > MOST_STOCK_NM:
        return
    more = taken - predicted
    add.plan_n += 1
    add.plan_sum_nm += more
    add.plan_sumsq += more * more
    add.plan_above += more > 0
    add.plan_below += more < 0
    sums.tally("predicted", str(predicted // STOCK_STEP_NM * STOCK_STEP_NM))
    if check.wheel is not None:
        sums.tally("wheel", str(check.wheel), value=more)


def _count_plans(lines: Lines) -> None:
    """Regrinds left, by the newest plan of each piece where it was to be ground."""
    newest: dict[int, tuple[int, str, int | None]] = {}
    rows = (
        Plan.objects.filter(piece__line__in=list(lines))
        .order_by("piece", "revision")
        .values_list("piece", "piece__line", "decision", "regrinds_left")
    )
    for piece, *plan in rows:
        newest[piece] = tuple(plan)  # type: ignore[assignment]  # a row of values_list
    for line, decision, regrinds_left in newest.values():
        if decision == "grind" and regrinds_left is not None:
            lines[line].figures.left_n += 1
            lines[line].figures.left_sum += regrinds_left


class Wear(NamedTuple):
    """A piece as its first inspection that stands found it, and what became of it."""

    line: int
    result: str
    damage: str
    depth: int | None  # read on this very piece
    came_back: bool


def _count_wear(lines: Lines) -> None:
    """How deep the damage was when it came, by the first inspection that stands, and whether it came good."""
    rows = (
        Inspection.objects.filter(piece__line__in=list(lines))
        .order_by("piece", "-revision")
        .values_list(
            "piece",
            "piece__line",
            "piece__result",
            "damage",
            length_reading("damage_depth", inspection="pk"),
            Exists(Piece.objects.filter(complaint_of=OuterRef("piece"))),
        )
    )
    for wear in {piece: Wear(*rest) for piece, *rest in rows}.values():
        if wear.result not in DECIDED or (wear.damage == "depth" and wear.depth is None):
            continue  # not known yet, or like the first piece: its own depth was not read
        key = str((wear.depth or 0) // WEAR_STEP_NM * WEAR_STEP_NM) if wear.damage == "depth" else wear.damage
        lines[wear.line].tally("wear", key, good=int(wear.result == "ground" and not wear.came_back))
