"""What becomes of a box: each line's pieces looked at, planned, ground, checked and sent back, all in one story."""

import random
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any, NamedTuple

from regrind.record.tags import SIGNS, check_sign

from .bulk import moment
from .draws import Buyer, Cutter, Kind
from .tables import Tables

SCRAP = ("chipped past the limit", "worn to the core", "broken off", "cracked")
AS_IT_CAME = ("too thin to be reground", "not worth it, the customer says", "sound as it is")
WRONG = ("chatter marks", "undersize", "runout", "chips early", "wrong relief")
STAGES = ("arrived", "inspected", "ready_to_grind", "ground", "released", "left")
KINDS = {
    "inspected": "inspected",
    "missing": "missing",
    "ready_to_grind": "planned",
    "ground": "ground",
    "released": "checked",
    "left": "sent",
}
FOLLOWED, MISSING, SENT_BACK, COMPLAINT, AGAIN = 0.12, 0.003, 0.03, 0.008, 0.6
Fate = tuple[str, str]  # result, reason


class Times(NamedTuple):
    """When a line was in each of STAGES, as the driver takes it."""

    arrived: Any
    inspected: Any
    ready_to_grind: Any
    ground: Any
    released: Any
    left: Any


@dataclass
class Years:
    """What the story of every box needs."""

    chance: random.Random
    tables: Tables
    by: int
    gauge: tuple[int, str, int]  # primary key, name, resolution
    wheels: list[int]

    def tag(self) -> str:
        """A tag numbered on: the years never run out of free ones."""
        number, body = self.tables.tools.last + 1, ""
        for _ in range(5):
            number, rest = divmod(number, len(SIGNS))
            body = SIGNS[rest] + body
        return body + check_sign(body)


@dataclass
class LineStory:
    """One line of one box: its times, and how far it has come (an index of STAGES)."""

    years: Years
    buyer: Buyer
    kind: Kind
    batch: int
    line: int
    number: int
    times: Times
    reached: int
    events: dict[str, int]  # whereabouts -> the event that led there
    inflation: float

    def tell(self, count: int) -> None:
        setup = f"{self.years.tables.pieces.last + 1}-{self.line}"
        known_cutters = self.buyer.cutters.setdefault(self.kind.pk, [])
        chance = self.years.chance
        cutters = [
            known_cutters.pop(chance.randrange(len(known_cutters)))
            if known_cutters and chance.random() < AGAIN
            else Cutter(self.kind.nominal - chance.randint(0, 20) * 1_000)
            for _ in range(count)
        ]
        minutes = self.kind.set_up // count + self.kind.minutes
        for n, cutter in enumerate(cutters, start=1):
            self._piece(n, cutter, setup, minutes + chance.randint(-60, 60))

    def _fate(self, cutter: Cutter, taken: int) -> Fate:
        """Worn out after its most regrinds or too thin; else by chance."""
        chance, worn = self.years.chance.random(), cutter.here >= self.kind.most
        if worn or cutter.diameter - taken < self.kind.nominal * 88 // 100:
            return ("scrap", "worn down after its regrinds") if chance < 0.6 else ("returned_unground", AS_IT_CAME[0])
        if chance < 0.05:
            return "scrap", self.years.chance.choice(SCRAP)
        if chance < 0.09:
            return "returned_unground", self.years.chance.choice(AS_IT_CAME)
        return "ground", ""

    def _piece(self, n: int, cutter: Cutter, setup: str, minutes: int) -> None:
        chance, tables = self.years.chance, self.years.tables
        depth = int(self.kind.stock * chance.uniform(0.2, 0.6) * (1 + cutter.here / 10)) // 1_000 * 1_000
        predicted = 2 * depth + 25_000
        taken = predicted + self.kind.bias + int(chance.gauss(0, 6)) * 1_000
        result, reason = self._fate(cutter, taken)
        if chance.random() < MISSING:
            result, reason = "missing", "not in the box"
        if cutter.tool is None and chance.random() < FOLLOWED and result != "missing":
            cutter.tool = tables.tools.add(self.years.tag(), self.buyer.pk, self.kind.pk, "")
        again = cutter.last_piece if cutter.last_piece and chance.random() < COMPLAINT else None
        path = self._path(result)
        known = result if len(path) > 1 and path[-1] in ("released", "left", "missing") else ""
        piece = tables.pieces.add(
            self.batch,
            self.number,
            n,
            self.line,
            cutter.tool,
            cutter.here if cutter.tool else None,
            0 if cutter.tool else None,
            again,
            chance.choice(WRONG) if again else "",
            path[-1],
            known,
            reason if known else "",
            len(path) - 1,
            self.events.get(path[-1]),
        )
        self._steps(piece, path, result, reason)
        if result != "missing":
            self._rows(piece, path, cutter, depth, predicted, taken, result, reason, setup, minutes)
        if known == "ground" and path[-1] == "left":
            self._home_again(cutter, piece, taken)

    def _path(self, result: str) -> list[str]:
        if result == "missing":
            return ["arrived", "missing"]
        stages = [s for s in STAGES if result == "ground" or s not in ("ready_to_grind", "ground")]
        return [s for s in stages if STAGES.index(s) <= self.reached]

    def _steps(self, piece: int, path: list[str], result: str, reason: str) -> None:
        for number, (was, now) in enumerate(pairwise(path), start=1):
            at_end = now in ("released", "left", "missing")
            reason_shown = reason if now in ("released", "missing") else ""
            self.years.tables.steps.add(
                self.events[now], piece, number, f"{was}>{now}", result if at_end else "", reason_shown
            )

    def _rows(
        self,
        piece: int,
        path: list[str],
        cutter: Cutter,
        depth: int,
        predicted: int,
        taken: int,
        result: str,
        reason: str,
        setup: str,
        minutes: int,
    ) -> None:
        """The bench's rows as far as the piece has come."""
        tables = self.years.tables
        if "inspected" not in path:
            return
        typed = {"diameter": cutter.diameter, "damage_depth": depth, "reach": 2 * depth}
        look = tables.inspections.add(self.events["inspected"], piece, 1, "measured", "v-anvil", "depth")
        self._read("inspected", look, None, **typed)
        if not {"ready_to_grind", "released"} & set(path):
            return
        regrinds_left = max(0, self.kind.most - cutter.here - 1)
        is_ground = result == "ground"
        planned = self.events["ready_to_grind" if is_ground else "released"]
        plan = tables.plans.add(
            planned,
            piece,
            1,
            look,
            "grind" if is_ground else "not_ground",
            "" if is_ground else result,
            reason,
            cutter.diameter - predicted if is_ground else None,
            regrinds_left if is_ground else None,
            self.kind.grinds if is_ground else "",
        )
        if "ground" in path:
            self._ground(piece, path, plan, cutter.diameter - taken, setup, minutes)

    def _ground(self, piece: int, path: list[str], plan: int, after: int, setup: str, minutes: int) -> None:
        tables, chance = self.years.tables, self.years.chance
        grind = tables.grinds.add(
            self.events["ground"],
            piece,
            1,
            plan,
            setup,
            self.kind.grinds,
            chance.choice(self.years.wheels),
            max(60, minutes),
        )
        if "released" not in path:
            return
        again = chance.random() < SENT_BACK
        if again:
            first = tables.checks.add(self.events["ground"], piece, 1, grind, "sharp", False, "not clean at the corner")
            self._read("ground", None, first, diameter=after, runout_sides=9_000)
        runout = chance.randint(2, 12) * 1_000
        check = tables.checks.add(self.events["released"], piece, 1 + again, grind, "sharp", True, "")
        self._read("released", None, check, diameter=after, runout_sides=runout)

    def _read(self, to: str, look: int | None, check: int | None, **lengths: int) -> None:
        pk, name, resolution = self.years.gauge
        for part, nm in lengths.items():
            self.years.tables.readings.add(
                self.events[to], look, check, part, nm, _text(nm), "mm", pk, name, resolution
            )

    def _home_again(self, cutter: Cutter, piece: int, taken: int) -> None:
        """It left: it will come again, thinner; and it went into the parcel."""
        cutter.diameter, cutter.here, cutter.last_piece = cutter.diameter - taken, cutter.here + 1, piece
        self.buyer.cutters[self.kind.pk].append(cutter)


def _text(nm: int) -> str:
    return f"{nm / 1_000_000:.3f}"


def times_of(chance: random.Random, came: datetime) -> list[datetime]:
    """When a line goes on, a few working hours or days apart."""
    hours = [0.0]
    for longest in (30, 20, 60, 20, 40):
        hours.append(hours[-1] + chance.uniform(1, longest))
    return [came + timedelta(hours=h) for h in hours]


def as_times(moments: list[datetime]) -> Times:
    return Times(*(moment(when) for when in moments))


def record_events(tables: Tables, by: int, times: Times, reached: int) -> dict[str, int]:
    """One event for each stage that a box has come to, in the order of the work."""
    events = {}
    for to, kind in KINDS.items():
        stage = "inspected" if to == "missing" else to
        if STAGES.index(stage) <= reached:
            when = times[STAGES.index(stage)]
            events[to] = tables.events.add(kind, by, when, when)
    return events
