"""The sentences of a quote."""

from regrind.shop.models import ShopSettings


def say_where_to_answer(shop: ShopSettings, number: str) -> str:
    """`Or tell us: telephone 555 0134, or write to desk@shop.example. Name the number 417/1.`"""
    ways = [f"telephone {shop.phone}" if shop.phone else "", f"write to {shop.mail}" if shop.mail else ""]
    named = " or ".join(filter(None, ways))
    return f"Tick your answers and send this sheet back, or {named or 'call us'}. Name the number {number}."
