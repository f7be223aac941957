"""What stands on a setup in warning: against the customer's wish, or ground though the plan asked about it."""

from collections.abc import Mapping
from typing import Any

from regrind.record.kinds import RADIAL
from regrind.record.models import Customer, Line

from ..models import Plan
from ..planning.floors import name_floors
from ..planning.wishes import say_against_wish
from ..planning.words import say_reason
from .card import Card
from .prefill import option_of, radial_stock


def say_card_warning(card: Card) -> str:
    """What the plan asked about, and what the card takes off that the customer wants to keep; '' for neither."""
    aim, customer = card.aim, card.aim.piece.line.batch.customer
    wish = say_against_wish(customer.keep, aim.end_nm, aim.infeed_nm, customer.unit)
    return " ".join(filter(None, (say_confirmed(aim.plan, card.option, aim.piece.line), wish)))


def say_confirmed(plan: Plan | None, option: Mapping[str, Any], line: Line) -> str:
    """What the plan asked about, and the words by which it is ground all the same; '' where it asked nothing.

    option: the one that is ground, empty for one by hand.
    """
    if plan is None or plan.verdict != "ask":
        return ""
    reasons = name_floors(option, line).get("reasons", ())
    asked = "; ".join(map(say_reason, reasons)) or "it is decided by hand"
    return f"The plan asked: {asked}. Ground all the same: {plan.reason.rstrip('.') or 'no reason recorded'}."


def say_plan_against_wish(plan: Plan, customer: Customer) -> str:
    """The same of a plan that stands: '' of one that is not to be ground."""
    if plan.decision != "grind":
        return ""
    off_nm = radial_stock(plan, option_of(plan)) if set(RADIAL) & set(plan.grinds.split()) else None
    return say_against_wish(customer.keep, plan.cut_back_nm, off_nm, customer.unit)
