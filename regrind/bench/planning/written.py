"""Why a doubtful tool of a line was ground before: words that need not be written twice."""

from collections.abc import Mapping, Sequence
from typing import Any

from regrind.record.models import Line, Piece

from ..grinding.prefill import option_of
from ..models import Plan

NEWEST = 5  # of the reasons written last, those that are compared


def find_written(line: Line, option: Mapping[str, Any]) -> Plan | None:
    """The newest plan of this line to grind what it asked about for the same reasons as `option`; None for none.

    An undone one counts: the words were written all the same. One query.
    """
    rows = Plan.every.filter(piece__line=line, decision="grind", verdict="ask").exclude(reason="")
    newest = rows.select_related("piece", "copied_from", "event__by").order_by("-pk")[:NEWEST]
    doubts = set(option.get("reasons", ()))
    return next((plan for plan in newest if set(option_of(plan).get("reasons", ())) == doubts), None)


def is_of_these(plan: Plan | None, pieces: Sequence[Piece]) -> bool:
    """Whether the words were written for one of these very pieces, which are planned again."""
    return plan is not None and plan.piece_id in {piece.pk for piece in pieces}
