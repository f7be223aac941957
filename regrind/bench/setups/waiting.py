"""What waits to be ground, from the record: as jobs for the order, and back from a job to its pieces."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import astuple, dataclass
from datetime import date
from functools import cached_property

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from regrind.geometry.units import show_with_unit
from regrind.record.find import recent_lines
from regrind.record.kinds import is_radial
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Family, Line, Piece
from regrind.shop.models import Wheel, WorkHolding

from ..grinding.prefill import Aim, aim, next_part, of_part_first, suits, wrong_abrasive
from ..grinding.relief_target import relief_target_cdeg
from ..grinding.views import alike
from ..models import Grind, Plan
from ..revisions import newest
from .order import (
    RUSH,
    URGENCIES,
    Count,
    Job,
    Setup,
    Tray,
    count,
    find_band,
    first_come,
    make_trays,
    order,
    what_changes,
)

KEY_SIGNS = 10


@dataclass(frozen=True)
class UsualSetting:
    """The wheel and the work holding that a line's tools are taken to be ground with."""

    wheel: Wheel | None
    holding: WorkHolding | None


@dataclass(frozen=True)
class Lot:
    """Pieces of one line that are ground to the same figures: what a job stands for."""

    line: Line
    aim: Aim
    pieces: tuple[Piece, ...]
    usual: UsualSetting


@dataclass(frozen=True)
class Stage:
    """One tray in its place: what is set anew for it, and its lots in order."""

    number: int
    tray: Tray
    changes: tuple[str, ...]
    lots: tuple[Lot, ...]

    @property
    def key(self) -> str:
        return key_of(self.tray)

    @property
    def urgency(self) -> str:
        return URGENCIES[self.tray.urgency]

    @property
    def badge(self) -> str:
        """The badge's style of the urgency."""
        return "rush" if self.tray.urgency == RUSH else ""

    @property
    def facts(self) -> list[tuple[str, str]]:
        """What stands for all of the tray, by name."""
        setup = self.tray.setup
        of_sides = setup.relief_deg is not None and is_radial(setup.work.split())
        relief = [("Primary relief", f"{setup.relief_deg}°")] if of_sides else []
        return [
            ("Wheel", setup.wheel),
            ("Work holding", setup.holding),
            *relief,
            ("Hand of cut, of helix", setup.hand),
            ("Diameters served", f"{setup.band} mm" if setup.band else "not known"),
        ]

    @property
    def title(self) -> str:
        """`12 pieces, sides and end`."""
        count = f"{self.tray.pieces} piece{'s' if self.tray.pieces != 1 else ''}"
        return f"{count}, {self.work_words}" if self.work_words else count

    @property
    def work_words(self) -> str:
        """`sides and end`."""
        return " and ".join(self.tray.setup.work.split())


@dataclass
class Waiting:
    """All that is to grind, in order; `unplanned`: lots whose plan does not say what is ground."""

    stages: list[Stage]
    unplanned: list[Lot]
    standing: Setup | None
    as_received: Count
    in_order: Count

    @cached_property
    def pieces(self) -> int:
        return sum(stage.tray.pieces for stage in self.stages)

    def find(self, key: str) -> Stage | None:
        return next((stage for stage in self.stages if stage.key == key), None)


def key_of(tray: Tray) -> str:
    """What a tray's address calls it: the same for the same urgency and setup, whichever pieces wait."""
    return hashlib.sha256(repr((tray.urgency, astuple(tray.setup))).encode()).hexdigest()[:KEY_SIGNS]


def find_waiting(today: date | None = None) -> Waiting:
    """What waits to be ground, trays in the order of the rule: a fixed number of queries."""
    lots = _lots()
    planned = [lot for lot in lots if lot.aim.remaining]
    ranks = {
        line: n
        for n, line in enumerate(
            sorted(
                {lot.line for lot in lots}, key=lambda line: (line.batch.received_at, line.batch.number, line.number)
            ),
            1,
        )
    }
    jobs = {
        f"{lot.line} {n}": (lot, _job(f"{lot.line} {n}", lot, ranks[lot.line], lot.aim.remaining))
        for n, lot in enumerate(planned)
    }
    every, standing = [job for _, job in jobs.values()], find_standing()
    trays = order(make_trays(every, today or timezone.localdate()), standing)
    setups = [tray.setup for tray in trays]
    stages = [
        Stage(n, tray, what_changes(before, tray.setup), tuple(jobs[job.name][0] for job in tray.jobs))
        for n, (before, tray) in enumerate(zip([standing, *setups], trays, strict=False), 1)
    ]
    return Waiting(
        stages,
        [lot for lot in lots if not lot.aim.remaining],
        standing,
        count(first_come(every), standing),
        count(setups, standing),
    )


def _lots() -> list[Lot]:
    pieces = list(
        Piece.objects.filter(status="ready_to_grind").select_related(
            "batch", "line__batch__customer", "line__family", "tool"
        )
    )
    return make_lots(aim(pieces, newest(Plan, pieces)))


def make_lots(aims: Iterable[Aim]) -> list[Lot]:
    """Pieces of one line that are ground to the same figures, together, line by line: three queries."""
    by_line: dict[Line, list[Aim]] = {}
    for item in aims:
        by_line.setdefault(item.piece.line, []).append(item)
    usual = _usual_settings(by_line)
    return [
        Lot(line, item, tuple(pieces), usual[line.pk, next_part([item])])
        for line, aims in by_line.items()
        for item, pieces in alike(aims)
    ]


def group_by_setup(lots: Sequence[Lot]) -> list[tuple[Setup, list[Lot]]]:
    """Lots of one box by the setup that serves them, in the order in which least is set anew from one to the next.

    Nothing is taken to stand on the machine, and what was ground already counts with the setup that it had.
    """
    jobs = {str(n): (lot, _job(str(n), lot, n, lot.aim.remaining or lot.aim.parts)) for n, lot in enumerate(lots)}
    trays = order(make_trays([job for _, job in jobs.values()], date.min))
    return [(tray.setup, [jobs[job.name][0] for job in tray.jobs]) for tray in trays]


def _usual_settings(by_line: dict[Line, list[Aim]]) -> dict[tuple[int, str], UsualSetting]:
    """By line and the part that comes next, wheel and holding as `prefill.last_used` offers them for one line."""
    parts = sorted({next_part([item]) for aims in by_line.values() for item in aims})
    last = Family.objects.filter(pk__in={line.family_id for line in by_line})
    for n, part in enumerate(parts):
        of_family = of_part_first(
            Grind.objects.filter(piece__line__in=recent_lines(OuterRef(OuterRef("pk"))), wheel__in_use=True), part
        )
        last = last.annotate(**{f"{name}_{n}": Subquery(of_family.values(name)[:1]) for name in ("wheel", "holding")})
    families, holdings = {row.pk: row for row in last}, WorkHolding.objects.in_bulk()
    wheels = _wheels(parts)

    def choose(line: Line, n: int) -> UsualSetting:
        wheel, holding = (getattr(families[line.family_id], f"{name}_{n}") for name in ("wheel", "holding"))
        return _choose(tool_of(line), wheel, holding, wheels[parts[n]], holdings)

    return {(line.pk, part): choose(line, n) for line in by_line for n, part in enumerate(parts)}


def _wheels(parts: Sequence[str]) -> dict[str, list[Wheel]]:
    """By part, the wheels in use that ground it, the one used last first."""
    of_wheel = Grind.objects.filter(wheel=OuterRef("pk")).order_by("-pk").values("pk")
    uses = {f"used_{n}": Subquery(of_wheel.filter(grinds__startswith=part)[:1]) for n, part in enumerate(parts)}
    wheels = list(Wheel.objects.filter(in_use=True).annotate(**uses))

    def sort_used(name: str) -> list[Wheel]:
        return sorted((one for one in wheels if getattr(one, name)), key=lambda one: -getattr(one, name))

    return {part: sort_used(f"used_{n}") for n, part in enumerate(parts)}


def _choose(
    tool: Family, wheel: int | None, holding: int | None, wheels: Sequence[Wheel], holdings: dict[int, WorkHolding]
) -> UsualSetting:
    fitting = [item for item in wheels if suits(tool.material, item)]
    chosen = next((item for item in fitting if item.pk == wheel), fitting[0] if fitting else None)
    return UsualSetting(chosen, holdings.get(holding or 0))


def _job(name: str, lot: Lot, arrival: int, parts: Sequence[str]) -> Job:
    plan, batch, tool = lot.aim.plan, lot.line.batch, tool_of(lot.line)
    size = (plan and plan.diameter_nm) or tool.nominal_nm or 0
    stop = (plan.usable_nm or 0) + (plan.cut_back_nm or 0) if plan and "sides" in parts else 0
    relief = _relief_deg(plan, tool)
    setup = Setup(
        _holding(lot.usual.holding, tool, lot.line),
        _wheel(lot.usual.wheel, tool.material),
        " ".join(parts),
        relief,
        _hand(tool),
        find_band(size / 1e6),
    )
    return Job(name, setup, len(lot.pieces), arrival, batch.rush, batch.due, size, stop)


def _relief_deg(plan: Plan | None, tool: Family) -> int | None:
    """The primary relief in whole degrees, as the plan has it (given or by default), else as such a tool has it."""
    target = relief_target_cdeg(plan)
    cdeg = tool.primary_relief_cdeg if target is None else target
    return None if cdeg is None else round(cdeg / 100)


def _hand(tool: Family) -> str:
    return f"{tool.hand_of_cut}, {tool.hand_of_helix}"


def _wheel(wheel: Wheel | None, material: str) -> str:
    """The wheel's name, or what is known of the one that is needed."""
    wrong = wrong_abrasive(material)
    return str(wheel) if wheel else f"any but {wrong}" if wrong else "not recorded"


def _holding(holding: WorkHolding | None, tool: Family, line: Line) -> str:
    """The holding's name; before one was ever recorded, by the shank that it must take."""
    if holding:
        return str(holding)
    unit = line.batch.customer.unit
    return f"for a {show_with_unit(tool.shank_nm, unit)} shank" if tool.shank_nm else "not recorded"


def find_standing() -> Setup | None:
    """What stands on the machine: the setup of the newest grind, None before there is one."""
    last = (
        Grind.objects.order_by("-pk")
        .select_related("wheel", "holding", "plan__copied_from", "piece__line__family", "piece__line__batch__customer")
        .first()
    )
    if last is None:
        return None
    line, plan = last.piece.line, last.plan
    tool = tool_of(line)
    size = (plan and plan.diameter_nm) or tool.nominal_nm or 0
    return Setup(
        _holding(last.holding, tool, line),
        _wheel(last.wheel, tool.material),
        last.grinds,
        _relief_deg(plan, tool),
        _hand(tool),
        find_band(size / 1e6),
    )
