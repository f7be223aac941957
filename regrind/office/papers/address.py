"""The address label of a parcel: where it went when it left, from the shop of today."""

from datetime import date

from regrind.paper import text, values
from regrind.record.contacts import address_for, address_lines
from regrind.shop.countries import country_names
from regrind.shop.events import Refusal
from regrind.shop.owner.settings import shop_settings

from ..models import Parcel


def address_label(parcel: Parcel, dated: date) -> values.AddressLabel:
    """The label of a parcel. Refusal where it was undone, or no address is known.

    A parcel that left while its customer had no address goes to the one written down since.
    """
    if hasattr(parcel.event, "undone_by"):
        raise Refusal(f"Parcel {parcel} was undone: it has no address label.")
    batch, shop = parcel.batch, shop_settings()
    to = parcel.address.splitlines() or address_lines(address_for(batch.customer, "delivery"))
    if not to:
        raise Refusal(f"{batch.customer} has no address. Write it on the customer's page first.")
    abroad = to[-1] in country_names().values()
    home = [country_names()[shop.country]] if abroad and shop.country else []
    pieces = text.plural(parcel.pieces.filter(piece__status="left").count(), "piece")
    order = f"Your order {batch.order_number}" if batch.order_number else ""
    facts = (" · ".join(filter(None, (f"Parcel {parcel}", order, pieces))), parcel.carried)
    return values.AddressLabel(
        str(parcel),
        dated,
        (shop.name, *shop.address.splitlines(), *home),
        (batch.customer.name, *to),
        tuple(filter(None, facts)),
    )
