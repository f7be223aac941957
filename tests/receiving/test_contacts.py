"""A customer with several people and addresses: who and where is chosen, changed, removed, undone."""

import re

import pytest

from regrind.receiving.contact_forms import AddressForm
from regrind.record.actions import keep_customer
from regrind.record.contacts import (
    address_for,
    address_lines,
    addresses_of,
    contact_for,
    contacts_of,
    keep_address,
    keep_contact,
    recipients,
    remove_entry,
)
from regrind.record.models import Address, Contact
from regrind.shop.countries import country_names, read_country, town_line
from regrind.shop.events import Refusal
from regrind.shop.models import Event
from regrind.shop.owner.actions import save_shop_settings
from regrind.shop.undo import undo

pytestmark = pytest.mark.django_db
GATE = {"name_lines": "Gate 3", "street": "400 Canal Road", "town": "Eastfield OH", "postcode": "44998"}
OFFICE = {"street": "1 Harbour Square", "postcode": "10115", "town": "Berlin", "country": "DE"}


@pytest.fixture
def add(owner, customer):
    def add(**values) -> Contact:
        return keep_contact(by=owner, customer=customer, **values)

    return add


@pytest.fixture
def place(owner, customer):
    def place(**values) -> Address:
        return keep_address(by=owner, customer=customer, **values)

    return place


def last_event() -> Event:
    return Event.objects.order_by("pk").last()


def test_mails_go_to_whoever_is_ticked_and_else_to_the_first_with_a_mail_address(add, customer):
    assert recipients(customer, "bills") == []
    add(name="Ann", phone="555-0100")
    add(name="Bo", mail="bo@b.example")
    add(name="Cy", mail="cy@b.example", for_bills=True)
    add(name="Dee", for_bills=True)
    assert [one.name for one in recipients(customer, "bills")] == ["Cy"]
    assert [one.name for one in recipients(customer, "quotes")] == ["Bo"]
    assert contact_for(customer, "quotes").name == "Ann"
    assert contact_for(customer, "bills").name == "Cy"


def test_the_first_choice_comes_before_others_for_what_it_is_used_for(place, customer):
    assert address_for(customer, "delivery") is None
    place(**GATE, for_bills=False)
    place(**OFFICE, for_delivery=False, first=True)
    place(street="Annex")
    assert [address_for(customer, use).number for use in ("delivery", "bills")] == [1, 2]
    place(street="New hall", first=True)
    assert [address_for(customer, use).number for use in ("delivery", "bills")] == [4, 4]
    assert [row.first for row in addresses_of(customer)] == [True, False, False, False]


def test_each_use_has_a_first_choice_of_its_own(place, customer):
    place(**GATE)
    place(street="Dock", for_bills=False, first=True)
    place(**OFFICE, for_delivery=False, first=True)
    assert [address_for(customer, use).number for use in ("delivery", "bills")] == [2, 3]
    assert [row.number for row in addresses_of(customer) if row.first] == [2, 3]


def test_of_a_new_address_only_what_none_serves_is_ticked(place, customer):
    def ticked():
        form = AddressForm(customer=customer, entry=None)
        return [name for name in ("for_delivery", "for_bills", "first") if form[name].value()]

    assert ticked() == ["for_delivery", "for_bills"]
    place(**OFFICE, for_delivery=False)
    assert ticked() == ["for_delivery"]
    place(street="Dock", for_bills=False)
    assert ticked() == []


def test_an_address_reads_as_on_an_envelope_of_its_country(place, owner):
    save_shop_settings(by=owner, country="US")
    assert address_lines(place(**GATE)) == ["Gate 3", "400 Canal Road", "Eastfield OH 44998"]
    assert address_lines(place(**OFFICE)) == ["1 Harbour Square", "10115 Berlin", "Germany"]
    assert address_lines(None) == []


def test_countries_are_those_of_the_published_table():
    """tz database, iso3166.tab, which lists the 249 codes of ISO 3166-1."""
    assert len(country_names()) == 249
    assert (country_names()["CZ"], read_country("de"), read_country("Germany")) == ("Czech Republic", "DE", "DE")
    assert town_line("44998", "Eastfield OH", "US") == "Eastfield OH 44998"
    with pytest.raises(ValueError, match="“Ruritania” is no country"):
        read_country("Ruritania")


def test_each_change_can_be_undone_and_the_newest_first(add, owner, customer):
    first = add(name="Ann")
    added = last_event()
    add(name="Anne", number=first.number)
    changed = last_event()
    with pytest.raises(Refusal, match="A later step depends on this"):
        undo(by=owner, done=added)
    undo(by=owner, done=changed)
    assert [one.name for one in contacts_of(customer)] == ["Ann"]
    remove_entry(by=owner, entry=contacts_of(customer)[0])
    removed = last_event()
    assert contacts_of(customer) == []
    undo(by=owner, done=removed)
    assert [one.name for one in contacts_of(customer)] == ["Ann"]
    undo(by=owner, done=added)
    assert contacts_of(customer) == []


def test_a_number_is_never_used_twice(add, owner, customer):
    remove_entry(by=owner, entry=add(name="Ann"))
    assert add(name="Bo").number == 2


def test_a_new_customer_brings_its_first_contact_and_address(counter):
    answer = counter.post(
        "/receiving/customers/new", name="Marlow Gear", contact="T. Marlow", unit="in", scrap="return", **GATE
    )
    page = counter.get(answer.url).content.decode()
    for words in ("T. Marlow", "Gate 3, 400 Canal Road, 44998 Eastfield OH", "delivery, bills"):
        assert words in page


def test_people_and_addresses_have_pages_and_an_undo(counter, customer):
    own = f"/receiving/customers/{customer.pk}"
    counter.post(f"{own}/contacts/new", name="Ann Lund", role="accounts", for_bills="on")
    counter.post(f"{own}/addresses/new", **OFFICE, for_bills="on")
    page = counter.get(own).content.decode()
    for words in ("Ann Lund", "accounts", "Named on bills", "1 Harbour Square, 10115 Berlin, Germany", "Address saved"):
        assert words in page
    shown = counter.get(f"{own}/contacts/1").content.decode()
    version = re.search(r'name="version" value="(\d+)"', shown)[1]
    counter.post(f"{own}/contacts/1", name="Ann Lind", version=version)
    assert contacts_of(customer)[0].name == "Ann Lind"
    stale = counter.post(f"{own}/contacts/1", name="Ann Land", version=version)
    assert stale.status_code == 409
    counter.post(f"{own}/contacts/1", do="remove")
    assert contacts_of(customer) == []
    assert "Contact removed" in counter.get(own).content.decode()


@pytest.mark.parametrize(
    ("page", "fields", "field", "message"),
    [
        ("contacts/new", {"role": "crib"}, "name", "Write a name, a mail address or a telephone number"),
        ("contacts/new", {"name": "Ann", "mail": "ann"}, "mail", "not a mail address"),
        ("addresses/new", {"postcode": "1"}, "street", "Write a street or a town"),
        ("addresses/new", {"town": "Berlin", "country": "Ruritania"}, "country", "no country"),
    ],
)
def test_what_does_not_fit_is_said_beside_its_field_and_nothing_is_saved(
    counter, customer, page, fields, field, message
):
    answer = counter.post(f"/receiving/customers/{customer.pk}/{page}", **fields)
    assert answer.status_code == 422
    assert message in answer.context["form"].errors[field][0]
    assert not Contact.every.exists()
    assert not Address.every.exists()


def test_an_entry_of_another_customer_is_not_found(counter, customer, add, owner):
    add(name="Ann")
    other = keep_customer(by=owner, name="Other")
    assert counter.get(f"/receiving/customers/{other.pk}/contacts/1").status_code == 404
