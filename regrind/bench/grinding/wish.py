"""What a setup takes off against what the customer wants to keep."""

from ..planning.wishes import say_against_wish
from .card import Card


def say_card_against_wish(card: Card) -> str:
    """A sentence where the card takes off the length or the diameter that the customer wants to keep, else ''."""
    aim, customer = card.aim, card.aim.piece.line.batch.customer
    return say_against_wish(customer.keep, aim.end_nm, aim.infeed_nm, customer.unit)
