"""Customers, with their people and addresses, as tables to download."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from regrind.record.contacts import address_lines, addresses_of, first_contacts
from regrind.record.models import Address, Contact, Customer

from .cells import Column


@dataclass(frozen=True)
class CustomerLine:
    """A customer with the first contact and the first choice among the addresses."""

    customer: Customer
    contact: Contact
    address: Address | None


CUSTOMERS = (
    Column("Name", lambda row: row.customer.name),
    Column("Contact", lambda row: row.contact.name),
    Column("Mail", lambda row: row.contact.mail),
    Column("Telephone", lambda row: row.contact.phone),
    Column("Address", lambda row: "\n".join(address_lines(row.address))),
    Column("Unit", lambda row: row.customer.unit),
    Column("Note", lambda row: row.customer.note),
    Column("Active", lambda row: "yes" if row.customer.active else "no"),
)
CONTACTS = (
    Column("Customer", lambda row: row.customer.name),
    Column("Name", lambda row: row.name),
    Column("Role", lambda row: row.role),
    Column("Mail", lambda row: row.mail),
    Column("Telephone", lambda row: row.phone),
    Column("Gets quotes", lambda row: "yes" if row.for_quotes else ""),
    Column("Gets ready", lambda row: "yes" if row.for_ready else ""),
    Column("Gets bills", lambda row: "yes" if row.for_bills else ""),
)
ADDRESSES = (
    Column("Customer", lambda row: row.customer.name),
    Column("Below the name", lambda row: row.name_lines),
    Column("Street", lambda row: row.street),
    Column("Postcode", lambda row: row.postcode),
    Column("Town", lambda row: row.town),
    Column("Country", lambda row: row.country),
    Column("Deliveries", lambda row: "yes" if row.for_delivery else ""),
    Column("Bills", lambda row: "yes" if row.for_bills else ""),
)


def with_first(customers: QuerySet[Customer]) -> Iterable[CustomerLine]:
    """Each customer with its first contact and address."""
    people = first_contacts(customers)
    for customer in customers:
        address = next(iter(addresses_of(customer)), None)
        yield CustomerLine(customer, people.get(customer.pk, Contact()), address)


def entries(model: type[Contact] | type[Address]) -> QuerySet[Contact] | QuerySet[Address]:
    """What stands of all customers, by their names."""
    rows: QuerySet[Contact] | QuerySet[Address] = model.current().select_related("customer")
    return rows.order_by("customer__name", "number")
