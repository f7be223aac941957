"""What an e-invoice says of seller, buyer and delivery, and what of it is still missing."""

from dataclasses import dataclass
from datetime import date

from django.utils.timezone import localdate

from regrind.record.contacts import address_for, country_of
from regrind.shop.owner.settings import shop_settings

from ..bill_models import Bill, BillParcel
from .codes import COUNTRIES, CURRENCIES, TAX_NUMBER_PREFIXES

NO_RATE = "O"  # what is outside the scope of tax has no rate and no tax number (BR-O-02, BR-O-05)
LEAST_MILLI = 500  # the published BR-CO-17 rounds a smaller rate to none, and then takes no tax


@dataclass(frozen=True)
class Parties:
    """The countries of both, as written down by now, and the day of the last delivery (None where none is billed)."""

    seller_country: str
    buyer_country: str
    delivered: date | None = None


def parties_of(bill: Bill) -> Parties:
    """The buyer's country as on the bill, else of the address by now; the delivery from the bill's parcels."""
    buyer_country = bill.buyer_country or country_of(address_for(bill.customer, "bills"))
    parcels = BillParcel.objects.filter(bill=bill.credits_bill or bill).select_related("parcel__event")
    days = [localdate(row.parcel.done_at) for row in parcels]
    return Parties(shop_settings().country, buyer_country, max(days, default=None))


def seller_address(bill: Bill, parties: Parties) -> list[tuple[str, str]]:
    """The lines of the bill's letterhead by the names of their elements, in the order of the schema."""
    _, *lines = bill.seller.split("\n")
    named = list(zip(("StreetName", "AdditionalStreetName"), lines, strict=False))
    more = [("AddressLine/Line", ", ".join(lines[2:]))] if lines[2:] else []
    return [*named, *more, ("Country/IdentificationCode", parties.seller_country)]  # BR-09


def buyer_address(bill: Bill, parties: Parties) -> list[tuple[str, str]]:
    """The same of the buyer, whose street, town and postcode are known apart."""
    named = [
        ("StreetName", bill.buyer_street),
        ("CityName", bill.buyer_town),
        ("PostalZone", bill.buyer_postcode),
        ("Country/IdentificationCode", parties.buyer_country),  # BR-11
    ]
    return [(element, text) for element, text in named if text]


def list_lacking(bill: Bill, parties: Parties) -> list[str]:
    """A sentence for each thing that EN 16931 asks for and that is not known, or is not as its rules take it."""
    taxed = bill.tax != NO_RATE
    asked = [
        (
            parties.seller_country in COUNTRIES,
            "The shop's country is missing (BR-09), in its settings.",
        ),
        (parties.buyer_country in COUNTRIES, f"The country of {bill.customer} is missing (BR-11), on its own page."),
        (bill.seller_tax_number, "The bill has no tax number of the shop: it needs one from the start (BR-CO-26)."),
        (not taxed or _has_prefix(bill.seller_tax_number), _say_prefix("the shop", bill.seller_tax_number)),
        (not taxed or _has_prefix(bill.buyer_tax_number), _say_prefix(str(bill.customer), bill.buyer_tax_number)),
        (bill.currency in CURRENCIES, f"“{bill.currency}” is no currency code of ISO 4217 (BR-CL-04)."),
        (bill.tax != "K" or parties.delivered, "The day of delivery is missing (BR-IC-11)."),
        (not 0 < bill.tax_milli < LEAST_MILLI, "The rules take no rate below 0.5 per cent (BR-CO-17)."),
    ]
    return [sentence for holds, sentence in asked if not holds]


def _has_prefix(number: str) -> bool:
    return not number or number[:2] in TAX_NUMBER_PREFIXES


def _say_prefix(whose: str, number: str) -> str:
    return f"The tax number of {whose}, “{number}”, does not begin with a country code, such as DE (BR-CO-09)."
