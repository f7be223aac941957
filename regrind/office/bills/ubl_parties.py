"""What an e-invoice says of seller, buyer and delivery, and what of it is still missing."""

from dataclasses import dataclass
from datetime import date

from django.utils.timezone import localdate

from ..bill_models import Bill, BillParcel
from .terms import newest_terms


@dataclass(frozen=True)
class Parties:
    """The countries of both, as written down by now, and the day of the last delivery (None where none is billed)."""

    seller_country: str
    buyer_country: str
    delivered: date | None = None


def parties_of(bill: Bill) -> Parties:
    """Countries from the newest terms of shop and customer; the delivery from the bill's parcels."""
    shop, customer = newest_terms(None), newest_terms(bill.customer)
    parcels = BillParcel.objects.filter(bill=bill.credits_bill or bill).select_related("parcel__event")
    days = [localdate(row.parcel.done_at) for row in parcels]
    return Parties(shop.country if shop else "", customer.country if customer else "", max(days, default=None))


def list_lacking(bill: Bill, parties: Parties) -> list[str]:
    """A sentence for each thing that EN 16931 asks for and that is not known."""
    asked = [
        (parties.seller_country, "The shop's country code is missing (BR-09)."),
        (parties.buyer_country, f"The country code of {bill.customer} is missing (BR-11)."),
        (bill.seller_tax_number, "The bill has no tax number of the shop: it needs one from the start (BR-CO-26)."),
    ]
    if bill.tax == "K":
        asked.append((str(parties.delivered or ""), "The day of delivery is missing (BR-IC-11)."))
    return [sentence for value, sentence in asked if not value]
