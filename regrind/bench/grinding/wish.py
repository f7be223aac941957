"""What a setup takes off against what the customer wants to keep."""

from regrind.record.kinds import RADIAL
from regrind.record.models import Customer

from ..models import Plan
from ..planning.wishes import say_against_wish
from .card import Card
from .prefill import option_of, radial_stock


def say_card_against_wish(card: Card) -> str:
    """A sentence where the card takes off the length or the diameter that the customer wants to keep, else ''."""
    aim, customer = card.aim, card.aim.piece.line.batch.customer
    return say_against_wish(customer.keep, aim.end_nm, aim.infeed_nm, customer.unit)


def say_plan_against_wish(plan: Plan, customer: Customer) -> str:
    """The same of a plan that stands: '' of one that is not to be ground."""
    if plan.decision != "grind":
        return ""
    off_nm = radial_stock(plan, option_of(plan)) if set(RADIAL) & set(plan.grinds.split()) else None
    return say_against_wish(customer.keep, plan.cut_back_nm, off_nm, customer.unit)
