"""Deciding what is done with inspected pieces: the only writer of plans and common sizes.

What is stored was worked out here, from the record as it stands in the same transaction; where a page showed figures,
they are held against these first.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Unpack, cast

from django.db.models import Max

from regrind.geometry.edition import EDITION
from regrind.record.models import Line, Piece
from regrind.record.moves import move
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Person

from ..models import CommonSize, Inspection, Plan
from ..revisions import add_revisions, canonical, newest, revisions
from .by_hand import why_not_ground
from .decision import Decision, Details
from .groups import Group, each_inspection, group_meant, refuse_changed
from .parts import list_parts
from .terms import refuse_against_terms

GOES_TO = {"grind": "ready_to_grind", "ask": "waiting", "not_ground": "released"}


def decide(
    *,
    by: Person,
    pieces: Sequence[Piece],
    expected: Mapping[int, int],
    decision: str,
    chosen: int | None = None,
    group: str = "",
    shown: Mapping[int, int] | None = None,
    done_at: datetime | None = None,
    **details: Unpack[Details],
) -> list[Plan]:
    """Work out the plan of these pieces, store what is decided with the case and answer it rests on, and send them on.

    decision, details: see `Decision`. chosen: the index of the option that was shown, of the group of that key; to
    grind by it all pieces must be of that group, asked about or not ground any other group takes its preferred option.
    Without it, to grind is by hand, with no case. expected: plan revisions the page saw; shown: the marks of the
    figures that it showed, by piece id. Each group's first piece holds case and answer; the others point to it.
    Refusal where the customer's terms ask first, or the decision lacks what it needs; Conflict on a clash, or where
    the figures are not those that were shown.
    """
    if not pieces:
        raise Refusal("Tick the pieces that are meant.")
    decided = Decision(decision, **details)
    with event(by, "planned", why=decided.reason, done_at=done_at) as planning:
        groups = group_meant(pieces)
        refuse_changed(groups, pieces, shown or {})
        if decision == "grind" and (never := why_not_ground(pieces[0].line)):
            raise Refusal(f"Such a tool is not reground: {never}. Return it unground.")
        inspections = each_inspection(groups)
        rows = [
            row
            for part in _split(pieces, groups, decided, chosen, group)
            for row in store_plans(planning, part, decided, expected, inspections)
        ]
        result = decided.result if decision == "not_ground" else None
        move(pieces=pieces, to=GOES_TO[decision], by=by, reason=decided.reason, result=result)
    return rows


@dataclass(frozen=True)
class Part:
    """Like pieces, what was worked out for them (None where nothing was), and the index of the option taken."""

    pieces: Sequence[Piece]
    group: Group | None = None
    chosen: int | None = None


def _split(
    pieces: Sequence[Piece], groups: Sequence[Group], decision: Decision, chosen: int | None, key: str
) -> list[Part]:
    if decision.decision == "grind" and chosen is None:
        return [Part(pieces, next((group for group in groups if group.by_hand), None))]
    if decision.decision == "grind":
        return [Part(pieces, _one_group(pieces, groups, key), chosen)]
    uninspected = [piece for piece in pieces if not any(piece.pk in group.inspections for group in groups)]
    parts = [Part(uninspected)] if uninspected else []
    for group in groups:
        members = [piece for piece in pieces if piece.pk in group.inspections]
        option = chosen if chosen is not None and key in ("", group.key) else group.preferred
        parts += [Part(members, group, option)] if members else []
    return parts


def _one_group(pieces: Sequence[Piece], groups: Sequence[Group], key: str) -> Group:
    """The group that an option belongs to; Refusal where the pieces are not all of it."""
    if pieces[0].line.matched and len(groups) > 1:
        raise Refusal("This line is kept matched: take one size for the set.")
    for group in groups:
        if key in ("", group.key) and all(piece.pk in group.inspections for piece in pieces):
            return group
    raise Refusal("An option belongs to one group of like pieces: tick only pieces of that group.")


def store_plans(
    planning: Event, part: Part, decision: Decision, expected: Mapping[int, int], inspections: Mapping[int, Inspection]
) -> list[Plan]:
    """Store one decision for like pieces under its event; nothing is moved.

    expected: plan revisions the page saw; inspections: each piece's own; both by piece id. The first piece's row holds
    case and answer; the others point to it.
    """
    group = part.group
    option = _option(group, part.chosen)
    refuse_against_terms(part.pieces, decision, option)
    answered = group is not None and group.answer is not None
    columns = {"event": planning, "chosen": part.chosen, "edition": EDITION if answered else ""}
    columns |= _columns(decision, option)
    rows = [
        Plan(piece=piece, revision=expected.get(piece.pk, 0) + 1, inspection=inspections.get(piece.pk), **columns)
        for piece in part.pieces
    ]
    if group is not None and answered:
        rows[0].case, rows[0].answer = canonical(group.case), canonical(group.answer)
    for row in rows[1:]:
        row.copied_from = rows[0]
    return add_revisions(rows)


def _columns(decision: Decision, option: Mapping[str, Any]) -> dict[str, Any]:
    """The figures of a plan: as they were set apart, else the option's."""

    def nm(apart: int | None, key: str) -> int | None:
        return apart if apart is not None or option.get(key) is None else round(option[key] * 1_000_000)

    return {
        "decision": decision.decision,
        "result": decision.result,
        "reason": decision.reason,
        "verdict": option.get("verdict", ""),
        "grinds": decision.grinds or " ".join(list_parts(option)),
        "diameter_nm": nm(decision.diameter_nm, "diameter_mm"),
        "regrinds_left": option.get("regrinds_left"),
        "cut_back_nm": nm(decision.cut_back_nm, "cut_back_mm"),
        "usable_nm": nm(decision.usable_nm, "usable_length_mm"),
    }


@dataclass(frozen=True)
class Agreed:
    """What the customer agreed to: the words, and of the options of one plan (its primary key) the index, if named."""

    words: str
    plan: int | None = None
    chosen: int | None = None


def store_agreed(answering: Event, pieces: Sequence[Piece], agreed: Agreed) -> list[Plan]:
    """Store under the event of an answer that pieces that were asked about are ground; nothing is moved.

    Each plan keeps its figures, or takes those of the option that was named. Refusal where that is not an option of
    each piece's plan.
    """
    last, numbers = newest(Plan, pieces), revisions(Plan, pieces)
    if agreed.plan is not None and any(_root(last.get(piece.pk)).pk != agreed.plan for piece in pieces):
        raise Refusal("That way to grind is of other pieces: tick only those that it names.")
    first: dict[int, Plan] = {}
    rows = []
    for piece in pieces:
        if (asked := last.get(piece.pk)) is not None:
            row = _agree(answering, asked, agreed, numbers[piece.pk] + 1)
            rows.append(_follow(row, first.setdefault(_root(asked).pk, row), _root(asked)))
    return add_revisions(rows)


def _root(plan: Plan | None) -> Plan:
    """The row that holds case and answer; an empty one where there is no plan."""
    return cast(Plan, plan.copied_from or plan) if plan else Plan()


def _agree(answering: Event, asked: Plan, agreed: Agreed, revision: int) -> Plan:
    """The plan that was asked about, to be ground, without its case and answer."""
    option = {} if agreed.chosen is None else _list_options(asked)[agreed.chosen]
    columns = _columns(Decision("grind", reason=agreed.words), option) if option else _keep(asked, agreed.words)
    chosen = asked.chosen if agreed.chosen is None else agreed.chosen
    return Plan(
        piece=asked.piece,
        event=answering,
        revision=revision,
        inspection=asked.inspection,
        chosen=chosen,
        edition=asked.edition,
        **columns,
    )


def _keep(asked: Plan, words: str) -> dict[str, Any]:
    names = ("verdict", "grinds", "diameter_nm", "regrinds_left", "cut_back_nm", "usable_nm")
    return {"decision": "grind", "reason": words} | {name: getattr(asked, name) for name in names}


def _follow(row: Plan, first: Plan, root: Plan) -> Plan:
    """The first row of like pieces takes case and answer of what was asked, the others point to it."""
    if row is first:
        row.case, row.answer = root.case, root.answer
    else:
        row.copied_from = first
    return row


def _list_options(plan: Plan) -> list[dict[str, Any]]:
    answer = _root(plan).answer
    return json.loads(answer)["options"] if answer else []


def _option(group: Group | None, chosen: int | None) -> dict[str, Any]:
    """The option taken; of tools that are decided by hand only the verdict, to ask; else nothing."""
    if group is not None and group.by_hand:
        return {"verdict": "ask"}
    if group is None or group.answer is None or chosen is None:
        return {}
    if not 0 <= chosen < len(group.options):
        raise Refusal("That option is not among those worked out: open the page again.")
    return group.options[chosen]


def store_common_size(*, by: Person, line: Line, sizes: Sequence[dict[str, Any]]) -> CommonSize:
    """Store the one or two sizes that the bench took for a line, with their pieces and those left out."""
    with event(by, "planned") as planning:
        last = CommonSize.every.filter(line=line).aggregate(m=Max("revision"))["m"] or 0
        row: CommonSize = CommonSize.objects.create(
            event=planning, line=line, revision=last + 1, sizes=canonical(list(sizes))
        )
        return row
