"""A customer's people and addresses, and the first of each beside a new customer's terms."""

from typing import Any

from django import forms

from regrind.record.contacts import unserved_uses
from regrind.record.models import Address, Contact, Customer
from regrind.shop.countries import read_country
from regrind.shop.events import Conflict
from regrind.shop.fields.forms import ShopForm
from regrind.shop.posts.row_summary import describe

from .customer_forms import CustomerForm

MAIL_WRONG = "That is not a mail address. Write it as name@shop.example."


class AddressFields(ShopForm):
    """An address as it is typed."""

    name_lines = forms.CharField(
        label="Below the customer’s name",
        max_length=200,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="gate, department, in whose care",
    )
    street = forms.CharField(label="Street", max_length=200, required=False, widget=forms.Textarea(attrs={"rows": 2}))
    postcode = forms.CharField(label="Postcode", max_length=20, required=False)
    town = forms.CharField(label="Town", max_length=80, required=False, help_text="with the state, where it has one")
    country = forms.CharField(
        label="Country", max_length=60, required=False, help_text="two letters, such as US; empty: the shop’s own"
    )
    ADDRESS = ("name_lines", "street", "postcode", "town", "country")

    def clean_country(self) -> str:
        try:
            return read_country(self.cleaned_data["country"])
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error

    def address(self) -> dict[str, Any]:
        """By the names of Address's columns."""
        return {name: self.cleaned_data[name].replace("\r\n", "\n") for name in self.ADDRESS}


class NewCustomerForm(AddressFields, CustomerForm):
    """A customer with its first contact and its first address."""

    contact = forms.CharField(max_length=120, required=False)
    phone = forms.CharField(max_length=40, required=False, widget=forms.TextInput(attrs={"inputmode": "tel"}))
    mail = forms.EmailField(required=False, max_length=254, error_messages={"invalid": MAIL_WRONG})

    def entries(self) -> dict[str, Any]:
        """The first contact and the first address, where any of it was typed."""
        data = self.cleaned_data
        contact = {"name": data["contact"], "mail": data["mail"], "phone": data["phone"]}
        address = self.address()
        return ({"contact": contact} if any(contact.values()) else {}) | (
            {"address": address} if any(address.values()) else {}
        )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        refuse_half(self, data)
        return data


def refuse_half(form: ShopForm, data: dict[str, Any]) -> None:
    """An address has a street or a town; where only the rest of it was typed, say so."""
    typed = any(data.get(name) for name in ("name_lines", "postcode", "country"))
    if typed and not (data.get("street") or data.get("town")):
        form.add_error("street", "Write a street or a town.")


class _EntryForm(ShopForm):
    """A numbered entry that exists already carries the row that its page showed."""

    version = forms.CharField(max_length=20, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, customer: Customer, entry: Contact | Address | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.customer, self.entry = customer, entry
        if entry is not None:
            values = {name: getattr(entry, name) for name in self.fields if name != "version"}
            self.initial.update(values, version=str(entry.pk))

    def check_stale(self) -> None:
        if self.entry is None or not (shown := self.data.get("version")):
            return
        now = type(self.entry).current().filter(customer=self.customer, number=self.entry.number).first()
        if now is None or str(now.pk) != shown:
            theirs = describe(now) if now else {}
            raise Conflict("Someone else changed this while your page was open.", theirs=theirs)


class ContactForm(_EntryForm):
    name = forms.CharField(max_length=120, required=False)
    role = forms.CharField(max_length=60, required=False, help_text="tool crib, purchasing, accounts")
    mail = forms.EmailField(required=False, max_length=254, error_messages={"invalid": MAIL_WRONG})
    phone = forms.CharField(
        label="Telephone", max_length=40, required=False, widget=forms.TextInput(attrs={"inputmode": "tel"})
    )
    for_quotes = forms.BooleanField(label="Quotes and reminders", required=False)
    for_ready = forms.BooleanField(label="Received, ready and returned", required=False)
    for_bills = forms.BooleanField(label="Named on bills", required=False)
    refused_beside = "name"

    def values(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class AddressForm(_EntryForm, AddressFields):
    for_delivery = forms.BooleanField(label="Deliveries", required=False)
    for_bills = forms.BooleanField(label="Bills", required=False)
    first = forms.BooleanField(
        label="First choice", required=False, help_text="for what is ticked here, before other addresses ticked for it"
    )
    refused_beside = "street"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.entry is None and not self.is_bound:
            self.initial.update({f"for_{use}": True for use in unserved_uses(self.customer)})

    def values(self) -> dict[str, Any]:
        ticked = {name: self.cleaned_data[name] for name in ("for_delivery", "for_bills", "first")}
        return self.address() | ticked
