"""What of a box is not asked in its quote, each tool under words that are true of it.

"By the limits that you gave us" stands only over tools whose plan asks nothing and whose line has such a limit.
"""

import json
from collections.abc import Sequence
from typing import Any, cast

from regrind.bench.models import Plan
from regrind.bench.planning.words import join_words, say_reason
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.record.piece_names import spans

from ..proposals import PriceList
from ..questions import NO_LIMIT, say_limit
from ..worth import choices_of

Shown = dict[str, Any]

BY_LIMITS = "Settled already, by the limits that you gave us"
AGREED = "Agreed with you already"
NO_LIMIT_GIVEN = "Planned by us: you gave us no limit for these"
PLANNED = "Planned by us without asking: please read why, and tell us if you want it otherwise"
NOT_GROUND = "Not ground, with reason"
ORDER = (BY_LIMITS, AGREED, NO_LIMIT_GIVEN, PLANNED)

INSIDE = ("grind", "sound")
LIMIT_REASONS = ("outside_", "too_close_")


def settled_rows(pieces: Sequence[Piece], plans: dict[int, Plan], asked: PriceList) -> list[Shown]:
    """What is ground without asking, like pieces together, each with the heading under which it stands."""
    groups: dict[tuple[int, int, int | None, str], list[Piece]] = {}
    for piece in pieces:
        plan = plans.get(piece.pk)
        if plan and plan.decision == "grind" and piece.status != "waiting" and piece.result in ("", "ground"):
            key = (piece.line_id, root_of(plan).pk, plan.chosen, plan.event.kind)
            groups.setdefault(key, []).append(piece)
    rows = [_settled_row(same, plans[same[0].pk], asked) for same in groups.values()]
    return sorted(rows, key=lambda row: ORDER.index(row["heading"]))


def not_ground_rows(pieces: Sequence[Piece]) -> list[Shown]:
    """What goes back or to scrap, like pieces together, with the reason."""
    groups: dict[tuple[int, str, str], list[Piece]] = {}
    for piece in pieces:
        if piece.result in ("returned_unground", "scrap"):
            groups.setdefault((piece.line_id, piece.get_result_display(), piece.reason), []).append(piece)
    return [
        {
            **tool_shown(same[0].line),
            "pieces": spans(same),
            "count": len(same),
            "heading": NOT_GROUND,
            "words": words,
            "reason": reason,
        }
        for (_, words, reason), same in groups.items()
    ]


def root_of(plan: Plan) -> Plan:
    """The row that holds what was worked out."""
    return cast(Plan, plan.copied_from or plan)


def way_of(plan: Plan) -> str:
    """The way that a plan itself takes: `grind:PLAN:OPTION`; `grind` where nothing was worked out."""
    return "grind" if plan.chosen is None else f"grind:{root_of(plan).pk}:{plan.chosen}"


def tool_shown(line: Line) -> Shown:
    """A line's number, its tool in words and the customer's number of it."""
    name = tool_of(line, with_assumed=False).name(line.batch.customer.unit)
    return {"line": line.number, "tool": name, "part_number": line.customer_tool_number}


def _settled_row(same: Sequence[Piece], plan: Plan, asked: PriceList) -> Shown:
    line = same[0].line
    choices = choices_of(line, [plan], asked)[plan.pk]
    choice = next((one for one in choices if one.way == way_of(plan)), None)
    free = all(piece.complaint_of_id for piece in same)
    heading = _heading(line, plan)
    return {
        **tool_shown(line),
        "pieces": spans(same),
        "count": len(same),
        "heading": heading,
        "words": choice.words if choice else plan.grinds.replace(" ", ", "),
        "after": choice.after if choice else "",
        "reason": _why_asking(line, plan) if heading == PLANNED else "",
        "price_minor": 0 if free else choice.price_minor if choice else line.unit_price_minor,
    }


def _heading(line: Line, plan: Plan) -> str:
    if plan.event.kind == "answered":
        return AGREED
    if plan.verdict not in INSIDE or _is_too_small(line, plan):
        return PLANNED
    return NO_LIMIT_GIVEN if say_limit(line, line.batch.customer.unit) == NO_LIMIT else BY_LIMITS


def _is_too_small(line: Line, plan: Plan) -> bool:
    """Whether a size that was set apart, for a set or by hand, goes under the customer's smallest."""
    smallest = line.smallest_diameter_nm()
    return bool(smallest and plan.diameter_nm and plan.diameter_nm < smallest)


def _why_asking(line: Line, plan: Plan) -> str:
    """Why the plan would have asked: each limit that it passes or comes too close to; else that a person decided."""
    if _is_too_small(line, plan):
        return say_reason("outside_diameter")
    answer = root_of(plan).answer
    options = json.loads(answer)["options"] if answer else []
    reasons = options[plan.chosen]["reasons"] if options and plan.chosen is not None else []
    limits = [say_reason(code) for code in reasons if code.startswith(LIMIT_REASONS)]
    return join_words(limits or [say_reason(code) for code in reasons]) or "decided by hand"
