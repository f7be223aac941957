"""What the record holds of a family's newest pieces, one value object a piece: what the pictures of its page draw on.

The figures of a page come from the roll-ups and count everything; a picture draws the newest MOST pieces, so that its
cost does not grow with the years, and says how many it drew.
"""

import json
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef

from regrind.bench.checking.findings import CORNERS
from regrind.bench.models import FinalCheck, Grind, Inspection, Plan
from regrind.bench.readings import diameter_before, length_reading
from regrind.bench.revisions import before_grinding, grind_of_sides
from regrind.bench.rollup_counters import MOST_STOCK_NM
from regrind.record.kinds import is_radial
from regrind.record.models import Family, Piece

from .filters import ReviewFilter
from .pieces import pieces_of

MOST = 500
DONE = ("ground", "returned_unground", "scrap")


@dataclass(slots=True)
class Fact:
    """One piece, filled in by `read_facts` alone. Lengths in nm; None where nobody said. came, left: its own measured
    diameters, not those of the piece it follows. predicted: the diameter that its plan set, from the diameter the plan
    started from (`from_nm`)."""

    key: int
    number: str
    tool: int | None
    before: int | None
    result: str
    good: bool
    again: bool
    price_minor: int | None
    customer: int = 0
    came_nm: int | None = None
    planned_nm: int | None = None
    planned_at: datetime | None = None
    past_limit: bool = False  # not ground, because its plan went past what the customer allows
    left_nm: int | None = None
    taken_nm: int | None = None  # off the diameter, where it was itself measured before and after
    predicted_nm: int | None = None  # the same, as the plan that was followed predicted it
    end_nm: int | None = None  # taken off the end, as recorded
    end_predicted_nm: int | None = None
    corner_nm: int | None = None  # radius of its corner or ball, where its check compared it with the plan
    corner_planned_nm: int | None = None
    hundredths: int = 0  # bench minutes
    wheel: int | None = None
    ground_at: datetime | None = None

    @property
    def decided(self) -> bool:
        return self.result in DONE

    @property
    def earning(self) -> bool:
        """Its minutes and what they brought are both known: the rule of `bench.counts`."""
        return (
            self.hundredths > 0
            and self.decided
            and (self.result != "ground" or self.again or self.price_minor is not None)
        )

    @property
    def off_nm(self) -> int | None:
        """Real minus predicted, off the diameter."""
        return None if self.taken_nm is None or self.predicted_nm is None else self.taken_nm - self.predicted_nm

    @property
    def end_off_nm(self) -> int | None:
        return None if self.end_nm is None or self.end_predicted_nm is None else self.end_nm - self.end_predicted_nm


@dataclass(frozen=True)
class Setup:
    """One setup of a family's pieces: minutes in hundredths, pieces, wheel, when."""

    hundredths: int
    pieces: int
    wheel: int | None
    ground_at: datetime


@dataclass(frozen=True)
class Facts:
    """The newest pieces, newest first, whether there are older ones that were not drawn, and their setups, oldest
    first."""

    pieces: tuple[Fact, ...]
    cut: bool
    setups: tuple[Setup, ...] = ()


def read_facts(family: Family, look: ReviewFilter) -> Facts:
    """Five queries, whatever the family holds."""
    back = Exists(Piece.objects.filter(complaint_of=OuterRef("pk")))
    rows = list(
        pieces_of(family, look)
        .annotate(back=back)
        .values_list(
            "line",
            "pk",
            "batch__number",
            "original_line",
            "number",
            "tool",
            "before_here",
            "before_elsewhere",
            "result",
            "back",
            "complaint_of",
            "line__unit_price_minor",
            "batch__customer",
        )[: MOST + 1]
    )
    cut, rows = len(rows) > MOST, rows[:MOST]
    facts = {row[1]: _fact(*row[1:]) for row in rows}
    lines = sorted({row[0] for row in rows})
    if not facts:
        return Facts((), cut)
    _add_inspections(lines, facts)
    _add_plans(lines, facts)
    _add_checks(lines, facts)
    setups = _add_grinds(lines, facts)
    return Facts(tuple(facts.values()), cut, tuple(sorted(setups, key=lambda setup: setup.ground_at)))


def _fact(
    key: int,
    batch: int,
    line: int,
    number: int,
    tool: int | None,
    here: int | None,
    elsewhere: int | None,
    result: str,
    back: bool,
    complaint_of: int | None,
    price: int | None,
    customer: int,
) -> Fact:
    before = None if here is None or elsewhere is None else here + elsewhere
    return Fact(
        key,
        f"{batch}-{line}-{number}",
        tool,
        before,
        result,
        result == "ground" and not back,
        complaint_of is not None,
        price,
        customer,
    )


def _add_inspections(lines: list[int], facts: dict[int, Fact]) -> None:
    """The newest that stands from before it was ground, as far as it was read on this very piece."""
    came = before_grinding(Inspection.objects.filter(piece__line__in=lines))
    for piece, nm, how in came.order_by("revision", "pk").values_list(
        "piece", length_reading("diameter", inspection="pk"), "diameter_source"
    ):
        if piece in facts:
            facts[piece].came_nm = nm if how == "measured" else None


def _add_plans(lines: list[int], facts: dict[int, Fact]) -> None:
    for piece, nm, planned_at, verdict in (
        Plan.objects.filter(piece__line__in=lines)
        .order_by("revision", "pk")
        .values_list("piece", "diameter_nm", "event__done_at", "verdict")
    ):
        if fact := facts.get(piece):
            fact.planned_nm, fact.planned_at = nm, planned_at
            fact.past_limit = verdict == "ask" and fact.result in ("returned_unground", "scrap")


def _add_checks(lines: list[int], facts: dict[int, Fact]) -> None:
    """The newest passed check that stands; what it took counts where the sides were ground."""
    checks = (
        FinalCheck.objects.filter(piece__line__in=lines, passed=True)
        .order_by("revision", "pk")
        .values_list(
            "piece",
            length_reading("diameter", final_check="pk"),
            Exists(grind_of_sides()),
            "grind__plan__diameter_nm",
            diameter_before(),
            "findings",
        )
    )
    for piece, nm, sides, planned, came, findings in checks:
        fact = facts.get(piece)
        if fact is None:
            continue
        measured = sides and nm is not None and came is not None and abs(came - nm) <= MOST_STOCK_NM
        fact.left_nm, fact.taken_nm = nm, came - nm if measured else None
        fact.predicted_nm = came - planned if measured and planned is not None else None
        fact.corner_nm, fact.corner_planned_nm = _corner_of(findings)


def _corner_of(findings: str) -> tuple[int | None, int | None]:
    """A corner's radius as it was read and as it was planned, the middle of its tolerance; None where none was."""
    for finding in json.loads(findings):
        if finding["what"] in CORNERS.values():
            return finding["nm"], (finding["least_nm"] + finding["most_nm"]) // 2
    return None, None


def _add_grinds(lines: list[int], facts: dict[int, Fact]) -> list[Setup]:
    """Minutes add up over all that stand; the wheel is that of the sides, the end of the last one that names it. Their
    setups."""
    grinds = (
        Grind.objects.filter(piece__line__in=lines)
        .order_by("revision", "pk")
        .values_list(
            "piece",
            "minutes_hundredths",
            "wheel",
            "event__done_at",
            "end_taken_nm",
            "plan__cut_back_nm",
            "setup",
            "grinds",
        )
    )
    setups: dict[str, Setup] = {}
    for piece, hundredths, wheel, ground_at, end, predicted, name, parts in grinds:
        fact, setup = facts.get(piece), setups.get(name, Setup(0, 0, wheel, ground_at))
        if fact is None:
            continue
        setups[name] = Setup(setup.hundredths + hundredths, setup.pieces + 1, wheel, max(ground_at, setup.ground_at))
        fact.hundredths += hundredths
        fact.ground_at = ground_at
        if is_radial(parts.split()):
            fact.wheel = wheel
        if end is not None:
            fact.end_nm, fact.end_predicted_nm = end, predicted
    return list(setups.values())
