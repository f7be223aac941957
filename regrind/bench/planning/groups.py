"""The inspected pieces of a line, like ones together, each group worked out; and the size they may share."""

import hashlib
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field
from typing import Any, cast

from django.db.models import Q

from regrind.geometry.errors import DamageAtCore, Refused
from regrind.geometry.inputs import Case
from regrind.geometry.plan import work_out
from regrind.geometry.result import Answer, Option, as_dict
from regrind.geometry.snapshot import take_snapshot
from regrind.geometry.verdict import keeps_floors
from regrind.record.models import Line, Piece

from ..kinds.registry import is_planned, kind_of
from ..models import Grind, Inspection
from ..readings import fetch_readings
from ..revisions import conflict_with, newest
from .allowances import usual_of
from .by_hand import why_by_hand, why_not_ground
from .case import build_case
from .kind_plan import KindAnswer, answer_kind
from .words import say_fault

AT_CORE = "damaged down to the core"
SHOWN = ("diameter_mm", "cut_back_mm", "usable_length_mm", "verdict", "sides", "end")


@dataclass
class Group:
    """Pieces that share one inspection, with the case built from it and its answer, or why there is none.

    case, answer: as they are stored and drawn, in JSON; inputs, plan: the same as values, where
    it was worked out here.
    """

    root: Inspection
    pieces: list[Piece]
    inspections: dict[int, Inspection] = field(default_factory=dict)  # each piece's own, by its id
    inputs: Case | None = None
    case: dict[str, Any] = field(default_factory=dict)
    answer: dict[str, Any] | None = None
    plan: Answer | None = None
    assumed: Sequence[str] = ()
    lacks: tuple[str, ...] = ()
    refused: str = ""
    by_hand: str = ""  # why nothing is worked out for this kind or make of tool
    never: str = ""  # why such a tool is never ground
    wreck: str = ""  # why nothing that grinds the damage away leaves a tool
    unmarked: str = ""  # the stated damage that no mark shows, in words
    shop_step_nm: int = 0  # the shop's own step of sizes
    preferred: int | None = None  # the plan's recommendation, or the like of it that keeps what the customer keeps
    why: str = ""

    @property
    def key(self) -> str:
        return str(self.root.pk)

    @property
    def mark(self) -> int:
        """A number that changes with the inspection, and with any figure of the options that rest on it."""
        figures = [[o.get(name) for name in SHOWN] for o in self.options]
        return int(hashlib.sha256(repr((self.root.pk, figures)).encode()).hexdigest()[:12], 16)

    @property
    def read(self) -> Piece:
        """The piece that was read; where it has gone on, the first of those that follow it."""
        return next((piece for piece in self.pieces if piece.pk == self.root.piece_id), self.pieces[0])

    @property
    def title(self) -> str:
        """Its first piece, and how many more."""
        more = len(self.pieces) - 1
        return self.pieces[0].short + (f" and {more} more" if more else "")

    @property
    def options(self) -> list[dict[str, Any]]:
        return self.answer["options"] if self.answer else []


def group_meant(pieces: Sequence[Piece]) -> list[Group]:
    """The groups of a line's inspected pieces, those with one of `pieces` worked out as its page works them out."""
    line, by_id = pieces[0].line, {piece.pk: piece for piece in pieces}
    everyone = line.pieces.filter(Q(status="inspected") | Q(pk__in=by_id))
    return group_pieces(line, [by_id.get(piece.pk, piece) for piece in everyone], set(by_id))


def group_pieces(line: Line, pieces: Sequence[Piece], meant: Set[int] | None = None) -> list[Group]:
    """The groups of `pieces` (inspected), worked out where the kind is computed: a fixed number of queries.

    meant: the ids of pieces whose groups alone are worked out.
    """
    newest_rows = newest(Inspection, pieces)
    groups: dict[int, Group] = {}
    for piece in pieces:
        row = newest_rows.get(piece.pk)
        if row is not None:
            root = cast(Inspection, row.copied_from or row)
            group = groups.setdefault(root.pk, Group(root, []))
            group.pieces.append(piece)
            group.inspections[piece.pk] = row
    chosen = [group for group in groups.values() if meant is None or meant & group.inspections.keys()]
    fetch_readings(group.root for group in chosen)
    for group in chosen:
        group.never, group.wreck = why_not_ground(line), _say_unmeasurable(group.root)
        group.by_hand = why_by_hand(line)
    if is_planned(line.family):
        _work_out(line, [group for group in chosen if not (group.never or group.wreck or group.by_hand)])
    return list(groups.values())


def _work_out(line: Line, groups: list[Group]) -> None:
    if not groups:
        return
    usual, ground = usual_of(line.family), grinds_before(groups)
    planner = kind_of(line.family).planner
    for group in groups:
        before = ground.get(group.key, ())
        reground = bool(group.read.before_here or group.read.before_elsewhere)
        if planner:
            _take_answer(group, answer_kind(line, group.root, planner, usual, before, reground))
            continue
        built = build_case(line, group.root, usual, before, reground)
        group.inputs, group.assumed, group.lacks = built.case, built.assumed, built.lacks
        group.shop_step_nm, group.unmarked = usual.size_step_nm, built.unmarked
        if built.case:
            _answer(group, built.case, line.batch.customer.keep)


def _take_answer(group: Group, worked_out: KindAnswer) -> None:
    """What a kind with a plan of its own came to."""
    group.assumed, group.lacks, group.refused = worked_out.assumed, worked_out.lacks, worked_out.refused
    group.case, group.answer = worked_out.case, worked_out.answer
    group.preferred = worked_out.answer["recommended"] if worked_out.answer else None


def _say_unmeasurable(inspection: Inspection) -> str:
    """Why the damage could not be measured, '' where it was."""
    return inspection.get_unmeasurable_reason_display() if inspection.damage == "unmeasurable" else ""


def _answer(group: Group, case: Case, keep: str) -> None:
    """The answer with the option to offer first, or why there is none."""
    try:
        group.case = take_snapshot(case)
        group.plan = work_out(case)
        group.answer = as_dict(group.plan)
        group.preferred, group.why = prefer(group.plan, keep)
    except Refused as refused:
        group.refused = say_fault(refused)
        group.wreck = AT_CORE if isinstance(refused, DamageAtCore) else ""


def each_inspection(groups: Sequence[Group]) -> dict[int, Inspection]:
    """Each piece's own inspection, by its id."""
    return {pk: row for group in groups for pk, row in group.inspections.items()}


def refuse_changed(groups: Sequence[Group], pieces: Sequence[Piece], shown: Mapping[int, int]) -> None:
    """Conflict where a page showed other figures of a piece than are worked out now. shown: marks by piece id."""
    marks = {pk: group.mark for group in groups for pk in group.inspections}
    changed = [piece for piece in pieces if shown.get(piece.pk, marks.get(piece.pk)) != marks.get(piece.pk)]
    if changed:
        raise conflict_with(
            f"While this page was open {changed[0].short} was inspected again, or a limit or an "
            "allowance changed: the figures are not those that you decided on.",
            newest(Inspection, changed),
        )


def grinds_before(groups: Sequence[Group]) -> dict[str, list[Grind]]:
    """By group, the grinds of the piece that was read, and of its tool's earlier visits, before it was inspected.

    A piece whose only step was its inspection was not ground at this visit. One query, none where no piece can have
    been ground.
    """
    by_piece = {group.read.pk: group for group in groups if group.read.steps_taken > 1}
    by_tool = {group.read.tool_id: group for group in groups if group.read.tool_id}
    grinds: dict[str, list[Grind]] = {}
    if not by_piece and not by_tool:
        return grinds
    rows = Grind.objects.filter(Q(piece__in=by_piece) | Q(piece__tool__in=by_tool)).select_related("plan", "piece")
    for row in rows.order_by("event__done_at", "revision"):
        group = by_piece.get(row.piece_id) or by_tool[row.piece.tool_id or 0]
        if row.event_id < group.root.event_id:
            grinds.setdefault(group.key, []).append(row)
    return grinds


KEEPS = {
    "diameter": ("diameter_mm", "the customer keeps the diameter"),
    "length": ("usable_length_mm", "the customer keeps the length"),
}


def prefer(plan: Answer, keep: str) -> tuple[int | None, str]:
    """The option to offer first and why: of those as good as the recommended one, what the customer wants kept.

    As good is: the same verdict, past no limit and inside the floors where the recommended one is, and the tool's own
    corner where it has that. The plan looks at the floors alone: among options that are asked about, one past no limit
    goes first here, so that nobody asks for less than the customer's diameter where a cut only comes close to a floor.
    """
    if plan.recommended is None:
        return None, ""
    options = plan.options
    best, within = _find_best(plan, plan.recommended)
    if keep in KEEPS:
        name, why = KEEPS[keep]
        goal = _standing(options[best])
        alike = [i for i, option in enumerate(options) if _standing(option) == goal]
        return max(alike, key=lambda i: (getattr(options[i], name), i == best)), why
    if within:
        return best, within
    if options[best].regrinds_left is not None:
        return best, "the best verdict, and the most regrinds left after it"
    return best, "the best verdict, and of those the least off the end"


def _standing(option: Option) -> tuple[str, bool, bool, bool]:
    """What an option is as good by: its verdict, whether it is past a limit, whether it keeps the floors, whether it is
    the usual way."""
    return option.verdict, _is_past(option), keeps_floors(option.limits), option.usual


def _is_past(option: Option) -> bool:
    return any(line.verdict == "outside" for line in option.limits)


def _find_best(plan: Answer, best: int) -> tuple[int, str]:
    """The recommended option, or where it is past a limit one of its verdict that is past none; then also why."""
    verdict = plan.options[best].verdict
    within = [i for i, option in enumerate(plan.options) if option.verdict == verdict and not _is_past(option)]
    if not within or best in within:
        return best, ""
    return min(within, key=lambda i: plan.options[i].cut_back_mm), "the best verdict, and past no limit"
