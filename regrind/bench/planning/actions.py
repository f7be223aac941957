"""Deciding what is done with looked-at pieces: the only writer of plans and common sizes.

What is stored was worked out here, from the record as it stands in the same transaction; where a page showed figures,
they are held against these first.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Max

from regrind.geometry.edition import EDITION
from regrind.record.models import AnswerPiece, Customer, Line, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Person

from ..models import CommonSize, Inspection, Plan
from ..revisions import add_revisions, canonical
from .groups import Group, group_meant, own_inspections, refuse_changed

GOES_TO = {"grind": "ready_to_grind", "ask": "waiting", "not_ground": "released"}


@dataclass(frozen=True)
class Decision:
    """What is decided: grind, ask or not_ground (with result returned_unground or scrap and a reason).

    diameter_nm, cut_back_nm, usable_nm, grinds: set these apart from the option (a common size, a plain kind).
    """

    what: str
    result: str = ""
    reason: str = ""
    grinds: str = ""
    diameter_nm: int | None = None
    cut_back_nm: int | None = None
    usable_nm: int | None = None


def decide(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: Mapping[int, int],
    decision: str,
    chosen: int | None = None,
    group: str = "",
    shown: Mapping[int, int] | None = None,
    diameter_nm: int | None = None,
    cut_back_nm: int | None = None,
    usable_nm: int | None = None,
    grinds: str = "",
    result: str = "",
    reason: str = "",
    done_at: datetime | None = None,
) -> list[Plan]:
    """Work out the plan of these pieces, store what is decided with the case and answer it rests on, and send them on.

    decision, diameter_nm …: see `Decision`. chosen: the index of the option that was shown, of the group of that key;
    to grind by it all pieces must be of that group, asked about or not ground any other group keeps its preferred
    option. Without it, to grind is by hand, with no case. expected: plan revisions the page saw; shown: the marks of
    the figures that it showed, by piece id. Each group's first piece holds case and answer; the others point to it.
    Refusal where the customer's terms ask first, or the decision lacks what it needs; Conflict on a clash, or where
    the figures are not those that were shown.
    """
    if not pieces:
        raise Refusal("Tick the pieces that are meant.")
    made = Decision(decision, result, reason, grinds, diameter_nm, cut_back_nm, usable_nm)
    with event(by, "planned", why=reason, done_at=done_at) as planning:
        groups = group_meant(pieces)
        refuse_changed(groups, pieces, shown or {})
        common: dict[str, Any] = {
            "planning": planning,
            "expected": expected,
            "made": made,
            "inspections": own_inspections(groups),
        }
        rows = [
            row
            for some, of, option in _parts(pieces, groups, made, chosen, group)
            for row in keep_plan(pieces=some, group=of, chosen=option, **common)
        ]
        move(
            pieces=pieces,
            to=GOES_TO[decision],
            by=by,
            reason=reason,
            result=result if decision == "not_ground" else None,
        )
    return rows


Part = tuple[Sequence[Piece], Group | None, int | None]  # like pieces, their group, the option taken


def _parts(
    pieces: Sequence[Piece], groups: Sequence[Group], made: Decision, chosen: int | None, key: str
) -> list[Part]:
    if made.what == "grind" and chosen is None:
        return [(pieces, None, None)]
    if made.what == "grind":
        return [(pieces, _one_group(pieces, groups, key), chosen)]
    alike = [([piece for piece in pieces if piece.pk in group.own], group) for group in groups]
    unseen = [piece for piece in pieces if not any(piece.pk in group.own for group in groups)]
    parts: list[Part] = [(unseen, None, None)] if unseen else []
    return parts + [
        (some, group, chosen if chosen is not None and key in ("", group.key) else group.preferred)
        for some, group in alike
        if some
    ]


def _one_group(pieces: Sequence[Piece], groups: Sequence[Group], key: str) -> Group:
    """The group that an option belongs to; Refusal where the pieces are not all of it."""
    if pieces[0].line.matched and len(groups) > 1:
        raise Refusal("This line is kept matched: take one size for the set.")
    for group in groups:
        if key in ("", group.key) and all(piece.pk in group.own for piece in pieces):
            return group
    raise Refusal("An option belongs to one group of like pieces: tick only pieces of that group.")


def keep_plan(
    *,
    planning: Event,
    pieces: Sequence[Piece],
    expected: Mapping[int, int],
    made: Decision,
    group: Group | None,
    chosen: int | None,
    inspections: Mapping[int, Inspection],
) -> list[Plan]:
    """Store one decision for like pieces under its event; nothing is moved.

    group: what was worked out for them, None where nothing was; inspections: each piece's own, by its id. The first
    piece's row holds case and answer; the others point to it.
    """
    option = _option(group.answer if group else None, chosen)
    _refuse_against_terms(pieces, made, option)
    answered = group is not None and group.answer is not None
    columns = {"event": planning, "chosen": chosen, "edition": EDITION if answered else "", **_columns(made, option)}
    rows = [
        Plan(piece=piece, revision=expected.get(piece.pk, 0) + 1, inspection=inspections.get(piece.pk), **columns)
        for piece in pieces
    ]
    if group is not None and answered:
        rows[0].case, rows[0].answer = canonical(group.case), canonical(group.answer)
    for row in rows[1:]:
        row.copied_from = rows[0]
    return add_revisions(rows)


def _columns(made: Decision, option: Mapping[str, Any]) -> dict[str, Any]:
    """The figures of a plan: as they were set apart, else the option's."""

    def nm(apart: int | None, key: str) -> int | None:
        return apart if apart is not None or option.get(key) is None else round(option[key] * 1_000_000)

    return {
        "decision": made.what,
        "result": made.result,
        "reason": made.reason,
        "verdict": option.get("verdict", ""),
        "grinds": made.grinds or " ".join(name for name in ("sides", "end") if option.get(name)),
        "diameter_nm": nm(made.diameter_nm, "diameter_mm"),
        "regrinds_left": option.get("regrinds_left"),
        "cut_back_nm": nm(made.cut_back_nm, "cut_back_mm"),
        "usable_nm": nm(made.usable_nm, "usable_length_mm"),
    }


def _option(answer: dict[str, Any] | None, chosen: int | None) -> dict[str, Any]:
    if answer is None or chosen is None:
        return {}
    if not 0 <= chosen < len(answer["options"]):
        raise Refusal("That option is not among those worked out: open the page again.")
    option: dict[str, Any] = answer["options"][chosen]
    return option


TERMS = ("outside_diameter", "outside_usable_length")


def _refuse_against_terms(pieces: Sequence[Piece], made: Decision, option: dict[str, Any]) -> None:
    if made.what == "not_ground" and (made.result not in ("returned_unground", "scrap") or not made.reason):
        raise Refusal("Say how it goes back and why it is not ground.")
    rule = _rule_that_asks(pieces[0].batch.customer, made, option)
    if not rule:
        return
    answered = set(
        AnswerPiece.objects.filter(piece__in=pieces, answer__decision=made.result or "grind").values_list(
            "piece", flat=True
        )
    )
    unasked = [piece.short for piece in pieces if piece.pk not in answered]
    if unasked:
        named = ", ".join(unasked[:12]) + (" and others" if len(unasked) > 12 else "")
        raise Refusal(f"{rule}: ask the customer first about {named}.")


def _rule_that_asks(customer: Customer, made: Decision, option: dict[str, Any]) -> str:
    """Why the customer's word is needed before this, '' where it is not."""
    if made.what == "not_ground" and made.result == "scrap" and customer.never_scrap_unasked:
        return f"{customer} wants to be asked before anything is scrapped"
    if made.what != "grind":
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
        kept: CommonSize = CommonSize.objects.create(
            event=planning, line=line, revision=last + 1, sizes=canonical(list(sizes))
        )
        return kept
