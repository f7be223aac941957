"""Deciding what is done with looked-at pieces: the only writer of plans and common sizes."""
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db.models import Max

from regrind.geometry.edition import EDITION
from regrind.record.models import AnswerPiece, Customer, Line, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Person

from ..inspecting.actions import canonical
from ..models import CommonSize, Inspection, Plan
from ..rows import add

GOES_TO = {"grind": "to_grind", "ask": "waiting", "not_ground": "released"}


def decide(*, by: Person, pieces: Sequence[Piece], seen: dict[int, int], decision: str,
           inspections: dict[int, Inspection] | None = None, case: dict | None = None, answer: dict | None = None,
           chosen: int | None = None, diameter_nm: int | None = None, cut_back_nm: int | None = None,
           usable_nm: int | None = None, grinds: str = "", result: str = "", reason: str = "",
           done_at: datetime | None = None) -> list[Plan]:
    """Store one decision for like pieces, with the case and answer it rests on, and send them on.

    decision: grind, ask or not_ground (with result as_it_came or scrap and a reason). chosen: the option's index in
    the answer; diameter_nm, cut_back_nm, usable_nm: set these apart from the option (a common size, a plain kind).
    seen: plan revisions the page saw. The first piece's row holds case and answer; the others point to it. Raises
    Refusal where
    the customer's terms ask first, or the decision lacks what it needs; Conflict on a clash.
    """
    if not pieces:
        raise Refusal("Tick the pieces that are meant.")
    option = _option(answer, chosen)
    _refuse_against_terms(pieces, decision, result, reason, option)
    columns: dict[str, Any] = {
        "decision": decision, "result": result, "reason": reason, "chosen": chosen,
        "edition": EDITION if answer else "", "verdict": option.get("verdict", ""), "grinds": grinds or _grinds(option),
        "diameter_nm": diameter_nm or _nm(option.get("diameter_mm")), "regrinds_left": option.get("regrinds_left"),
        "cut_back_nm": _nm(option.get("cut_back_mm")) if cut_back_nm is None else cut_back_nm,
        "usable_nm": _nm(option.get("usable_length_mm")) if usable_nm is None else usable_nm}
    with event(by, "planned", why=reason, done_at=done_at) as planning:
        rows = [Plan(event=planning, piece=piece, revision=seen.get(piece.pk, 0) + 1,
                     inspection=(inspections or {}).get(piece.pk), **columns) for piece in pieces]
        if case and answer:
            rows[0].case, rows[0].answer = canonical(case), canonical(answer)
        first = add(rows[:1])[0]
        for row in rows[1:]:
            row.like = first
        others = add(rows[1:])
        move(pieces=pieces, to=GOES_TO[decision], by=by, reason=reason,
             result=result if decision == "not_ground" else None)
    return [first, *others]


def _option(answer: dict | None, chosen: int | None) -> dict[str, Any]:
    if answer is None or chosen is None:
        return {}
    if not 0 <= chosen < len(answer["options"]):
        raise Refusal("That option is not among those worked out: open the page again.")
    return answer["options"][chosen]


def _grinds(option: dict[str, Any]) -> str:
    return " ".join(name for name in ("sides", "end") if option.get(name))


def _nm(mm: float | None) -> int | None:
    return None if mm is None else round(mm * 1_000_000)


TERMS = ("outside_diameter", "outside_usable_length")


def _refuse_against_terms(pieces: Sequence[Piece], decision: str, result: str, reason: str,
                          option: dict[str, Any]) -> None:
    if decision == "not_ground" and (result not in ("as_it_came", "scrap") or not reason):
        raise Refusal("Say how it goes back and why it is not ground.")
    rule = _rule_that_asks(pieces[0].batch.customer, decision, result, option)
    if not rule:
        return
    answered = set(AnswerPiece.objects.filter(piece__in=pieces, answer__decision=result or "grind")
                   .values_list("piece", flat=True))
    unasked = [piece.short for piece in pieces if piece.pk not in answered]
    if unasked:
        named = ", ".join(unasked[:12]) + (" and others" if len(unasked) > 12 else "")
        raise Refusal(f"{rule}: ask the customer first about {named}.")


def _rule_that_asks(customer: Customer, decision: str, result: str, option: dict[str, Any]) -> str:
    """Why the customer's word is needed before this, '' where it is not."""
    if decision == "not_ground" and result == "scrap" and customer.never_scrap_unasked:
        return f"{customer} wants to be asked before anything is scrapped"
    if decision != "grind":
        return ""
    if customer.always_ask:
        return f"{customer} always wants to be asked before grinding"
    if any(reason in TERMS for reason in option.get("reasons", [])):
        return f"That goes past what {customer} allows"
    return "That would leave it no tool that cuts" if option.get("verdict") == "scrap" else ""


def keep_common_size(*, by: Person, line: Line, sizes: Sequence[dict[str, Any]]) -> CommonSize:
    """Write down the one or two sizes that the bench took for a line, with their pieces and those left out."""
    with event(by, "planned") as planning:
        last = CommonSize.every.filter(line=line).aggregate(m=Max("revision"))["m"] or 0
        return CommonSize.objects.create(event=planning, line=line, revision=last + 1, sizes=canonical(list(sizes)))
