"""Where a customer's terms ask for their word before a decision stands."""

from collections.abc import Mapping, Sequence
from typing import Any

from regrind.record.models import AnswerPiece, Line, Piece
from regrind.shop.events import Refusal

from .decision import Decision
from .floors import name_floors
from .words import say_reason

AGREED = (
    *("diameter", "usable_length", "hole_depth", "hole_lower", "reamer_upper"),
    *("width", "gullet_depth", "reach", "tooth_thickness"),
)  # limits that are the customer's own
# What the customer has to agree to first, by the reason that says so.
TO_AGREE = {
    "corner_not_agreed": "another corner",
    "new_size_to_agree": "a smaller hole",
    "width_not_agreed": "a narrower cutter",
}
FLOORS = ("diameter_floor", "flute_floor", "tooth_width_floor", "published_reduction")
PAST_FLOOR = "That leaves less of the tool than is usual. Write why, or else"
DOUBTFUL = "The plan says ask: {}. Write why it is ground all the same, or else"
MOST_NAMED = 12


class ReasonWanted(Refusal):
    """A doubtful tool may be ground where a reason says why, or where the customer agreed."""


def refuse_against_terms(pieces: Sequence[Piece], decision: Decision, option: Mapping[str, Any]) -> None:
    """Refusal where a decision lacks its reason, or where the customer is to be asked first and was not.

    What is past a limit of the customer's by its figure needs their answer, however sure the figure is. What is
    doubtful otherwise, or leaves less than is usual of a tool, needs a reason or their answer: ReasonWanted.

    option: the answer's option that it takes, empty where there is none.
    """
    incomplete = decision.result not in ("returned_unground", "scrap") or not decision.reason
    if decision.decision == "not_ground" and incomplete:
        raise Refusal("Say how it goes back and why it is not ground.")
    option = name_floors(option, pieces[0].line)
    _refuse_unasked(pieces, decision, _rule_that_asks(pieces[0].line, decision, option), Refusal)
    if decision.decision == "grind" and not decision.reason:
        _refuse_unasked(pieces, decision, _say_doubt(option), ReasonWanted)


def _refuse_unasked(pieces: Sequence[Piece], decision: Decision, rule: str, refusal: type[Refusal]) -> None:
    """Refusal with the rule, '' for none, where a customer has not answered about each of the pieces."""
    unasked = _find_unasked(pieces, decision.result or "grind") if rule else []
    if unasked:
        names = ", ".join(unasked[:MOST_NAMED]) + (" and others" if len(unasked) > MOST_NAMED else "")
        raise refusal(f"{rule}: ask the customer first about {names}.")


def _say_doubt(option: Mapping[str, Any]) -> str:
    """Why an option needs a reason before it is ground, '' where it does not."""
    if is_past_floor(option):
        return PAST_FLOOR
    if option.get("verdict") != "ask":
        return ""
    return DOUBTFUL.format("; ".join(map(say_reason, option.get("reasons", ()))) or "it is decided by hand")


def is_past_floor(option: Mapping[str, Any]) -> bool:
    """Whether an option leaves less than what is usually left, or may."""
    return any(
        f"{state}_{floor}" in option.get("reasons", []) for state in ("outside", "too_close") for floor in FLOORS
    )


def _find_unasked(pieces: Sequence[Piece], decision: str) -> list[str]:
    """The short numbers of pieces about which the customer has not answered so."""
    answers = AnswerPiece.objects.filter(piece__in=pieces, answer__decision=decision)
    answered = set(answers.values_list("piece", flat=True))
    return [piece.short for piece in pieces if piece.pk not in answered]


def _rule_that_asks(line: Line, decision: Decision, option: Mapping[str, Any]) -> str:
    """Why the customer's word is needed before this, '' where it is not."""
    customer = line.batch.customer
    if decision.decision == "not_ground" and decision.result == "scrap" and customer.never_scrap_unasked:
        return f"{customer} wants to be asked before anything is scrapped"
    if decision.decision != "grind":
        return ""
    if customer.always_ask:
        return f"{customer} always wants to be asked before grinding"
    if is_past_terms(option) or 0 < (decision.diameter_nm or 0) < (line.smallest_diameter_nm() or 0):
        return f"That goes past what {customer} allows"
    for change in (words for reason, words in TO_AGREE.items() if reason in option.get("reasons", [])):
        return f"{customer} has not agreed to {change}"
    return "That would leave it no tool that cuts" if option.get("verdict") == "scrap" else ""


def is_past_terms(option: Mapping[str, Any]) -> bool:
    """Whether a figure lies past a limit of the customer's, whatever its uncertainty."""
    return any(limit["limit"] in AGREED and limit["margin"] < 0 for limit in option.get("limits", ()))
