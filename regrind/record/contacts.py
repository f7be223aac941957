"""Whom a customer's papers and mails go to, and where: chosen here and nowhere else."""

from collections.abc import Iterable
from typing import Any, Literal

from django.db.models import Max

from regrind.shop.countries import country_names, town_line
from regrind.shop.events import Refusal, event
from regrind.shop.models import Event, Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.undo import Change, before_undo, depends_on

from .models import Address, Contact, Customer

MailUse = Literal["quotes", "ready", "bills"]
AddressUse = Literal["delivery", "bills"]
ADDRESS_USES: tuple[AddressUse, ...] = ("delivery", "bills")
MOST_ENTRIES = 40


def contacts_of(customer: Customer) -> list[Contact]:
    """The customer's people, in the order in which they were entered."""
    return list(Contact.current().filter(customer=customer))


def addresses_of(customer: Customer) -> list[Address]:
    """The customer's addresses, the first choices leading. One is a first choice for the uses that it is ticked for;
    of several marked so for a use the one that was written last is it."""
    rows: list[Address] = list(Address.current().filter(customer=customer))
    for row, is_first in [(row, any(row is _first_for(rows, use) for use in ADDRESS_USES)) for row in rows]:
        row.first = is_first
    return sorted(rows, key=lambda row: (not row.first, row.number))


def _first_for(rows: list[Address], use: AddressUse) -> Address | None:
    marked = [row for row in rows if row.first and getattr(row, f"for_{use}")]
    return max(marked, key=lambda row: row.pk, default=None)


def unserved_uses(customer: Customer) -> list[AddressUse]:
    """What no address of the customer is ticked for yet."""
    rows = addresses_of(customer)
    return [use for use in ADDRESS_USES if not any(getattr(row, f"for_{use}") for row in rows)]


def contact_for(customer: Customer, use: MailUse) -> Contact | None:
    """The first person who gets such mails, else the first of all; None where there is nobody."""
    rows = contacts_of(customer)
    return next((row for row in rows if getattr(row, f"for_{use}")), rows[0] if rows else None)


def recipients(customer: Customer, use: MailUse) -> list[Contact]:
    """Everybody with a mail address who gets such mails; where nobody is ticked, the first with a mail address."""
    rows = [row for row in contacts_of(customer) if row.mail]
    return [row for row in rows if getattr(row, f"for_{use}")] or rows[:1]


def address_for(customer: Customer, use: AddressUse) -> Address | None:
    """The address for deliveries or bills: the first choice for that use, else the first one used so, else any."""
    rows = addresses_of(customer)
    used = [row for row in rows if getattr(row, f"for_{use}")]
    return _first_for(rows, use) or next(iter(sorted(used or rows, key=lambda row: row.number)), None)


def address_lines(address: Address | None) -> list[str]:
    """The lines below the customer's name on an envelope; the country where it is not the shop's own."""
    if address is None:
        return []
    home = shop_settings().country
    town = town_line(address.postcode, address.town, address.country or home)
    abroad = country_names().get(address.country, address.country) if address.country != home else ""
    return [line for line in (*address.name_lines.splitlines(), *address.street.splitlines(), town, abroad) if line]


def country_of(address: Address | None) -> str:
    """Its country's code, the shop's where it names none; "" without an address or where neither is known."""
    return (address.country or shop_settings().country) if address else ""


def first_contacts(customers: Iterable[Customer]) -> dict[int, Contact]:
    """The first person of each of these customers, by the customer's key; one query."""
    rows = Contact.current().filter(customer__in=[customer.pk for customer in customers])
    return {row.customer_id: row for row in reversed(rows)}


def keep_contact(*, by: Person, customer: Customer, number: int | None = None, **values: Any) -> Contact:
    """Add a person, or change the one of this number. values: by the names of Contact's columns.

    Refusal where nothing of name, mail and phone is there, or a customer would have too many.
    """
    if not any(values.get(name) for name in ("name", "mail", "phone")):
        raise Refusal("Write a name, a mail address or a telephone number.")
    with event(by, "contact", why=f"{customer}: {values.get('name', '')}") as keeping:
        row: Contact = _write(Contact, keeping, customer, number, values)
    return row


def keep_address(*, by: Person, customer: Customer, number: int | None = None, **values: Any) -> Address:
    """Add an address, or change the one of this number. values: by the names of Address's columns.

    Refusal where neither street nor town is there, or a customer would have too many.
    """
    if not any(values.get(name) for name in ("street", "town")):
        raise Refusal("Write a street or a town.")
    with event(by, "address", why=f"{customer}: {values.get('town', '')}") as keeping:
        row: Address = _write(Address, keeping, customer, number, values)
    return row


def remove_entry(*, by: Person, entry: Contact | Address) -> None:
    """Take a person or an address off the customer's page. Papers and parcels that went there keep it."""
    kind = "contact removed" if isinstance(entry, Contact) else "address removed"
    values = {
        field.name: getattr(entry, field.name)
        for field in entry._meta.concrete_fields
        if field.name not in ("id", "event", "customer", "number", "removed")
    }
    with event(by, kind, why=f"{entry.customer}") as removing:
        _write(type(entry), removing, entry.customer, entry.number, values | {"removed": True})


def _write(model: type[Any], keeping: Event, customer: Customer, number: int | None, values: dict[str, Any]) -> Any:
    Customer.objects.select_for_update(no_key=True).get(pk=customer.pk)  # numbered one at a time
    if number is None:
        if model.current().filter(customer=customer).count() >= MOST_ENTRIES:
            raise Refusal(f"A customer has at most {MOST_ENTRIES} of these. Change or remove one.")
        number = (model.every.filter(customer=customer).aggregate(most=Max("number"))["most"] or 0) + 1
    return model.objects.create(event=keeping, customer=customer, number=number, **values)


def _keep_newest(done: Event, _changes: Iterable[Change]) -> None:
    """The older of two changes of one entry is not undone before the newer."""
    for model in (Contact, Address):
        for row in model.every.filter(event=done):
            newer = model.objects.filter(customer=row.customer, number=row.number, pk__gt=row.pk)
            if later := newer.select_related("event__by").order_by("pk").last():
                raise depends_on(later.event)


before_undo(_keep_newest)
