"""What stands in the way of a release: a finding outside its limit goes only for a reason, and only where measured."""

import json
from collections.abc import Sequence

from regrind.shop.events import Refusal

from ..models import FinalCheck
from . import findings

NAMED = 6


def refuse_release(rows: Sequence[FinalCheck], because: str) -> None:
    """Name what stands in the way of those that would be released for no reason, and whom a reason does not reach."""
    unit = rows[0].piece.line.batch.customer.unit
    wrong = [
        f"{row.piece.short}, {findings.say(item, unit)}"
        for row in rows
        if row.passed
        for item in json.loads(row.findings)
        if findings.objects(item)
    ]
    if wrong and not because:
        more = f"; and {len(wrong) - NAMED} more" if len(wrong) > NAMED else ""
        raise Refusal(f"{'; '.join(wrong[:NAMED])}{more}.")
    unread = [row.piece.short for row in rows if row.passed and not row.readings]
    if wrong and unread:
        raise Refusal(say_unread(unread))
    for row in rows:
        if not _is_outside(row) and not _is_outside(rows[0], findings.MATCHED):
            row.released_because = ""


def _is_outside(row: FinalCheck, only: str = "") -> bool:
    """Whether a finding stands in the way of the row's release. only: that one, '' for any."""
    return any(findings.objects(item) and only in ("", item["what"]) for item in json.loads(row.findings))


def say_unread(shorts: Sequence[str]) -> str:
    """Why pieces that were not measured are not released with one that is outside a limit."""
    names = ", ".join(shorts[:NAMED]) + (f" and {len(shorts) - NAMED} more" if len(shorts) > NAMED else "")
    which, them = ("were", "them") if len(shorts) > 1 else ("was", "it")
    return (
        f"{names} {which} not measured. A release outside a limit holds for measured pieces alone: "
        f"untick {them}, and check {them} by {'themselves' if len(shorts) > 1 else 'itself'}."
    )
