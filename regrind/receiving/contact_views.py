"""A customer's people and addresses: add, change, remove."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.contacts import addresses_of, contacts_of, keep_address, keep_contact, remove_entry
from regrind.record.models import Address, Contact, Customer
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .contact_forms import AddressForm, ContactForm


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def contact(request: HttpRequest, pk: int, number: int | None = None) -> HttpResponse:
    """One person of a customer; without a number a new one."""
    customer = get_object_or_404(Customer, pk=pk)
    entry = _entry(contacts_of(customer), number)
    form = ContactForm(_typed(request), customer=customer, entry=entry)
    return _answer(request, form, "contact", keep_contact)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def address(request: HttpRequest, pk: int, number: int | None = None) -> HttpResponse:
    """One address of a customer; without a number a new one."""
    customer = get_object_or_404(Customer, pk=pk)
    entry = _entry(addresses_of(customer), number)
    form = AddressForm(_typed(request), customer=customer, entry=entry)
    return _answer(request, form, "address", keep_address)


def _entry(rows: list[Any], number: int | None) -> Any:
    entry = next((row for row in rows if row.number == number), None)
    if number is not None and entry is None:
        raise Http404(number)
    return entry


def _typed(request: HttpRequest) -> Any:
    return request.POST if request.method == "POST" and request.POST.get("do") != "remove" else None


def _answer(request: HttpRequest, form: ContactForm | AddressForm, word: str, keep: Any) -> HttpResponse:
    customer, entry = form.customer, form.entry
    page = reverse("receiving:customer", args=[customer.pk])

    def show() -> HttpResponse:
        context = {"form": form, "customer": customer, "entry": entry, "word": word, "page": page}
        return render(request, "receiving/contact.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        keep(by=person_of(request), customer=customer, number=entry.number if entry else None, **form.values())
        return page

    def remove() -> str:
        assert isinstance(entry, (Contact, Address))
        remove_entry(by=person_of(request), entry=entry)
        return page

    if request.POST.get("do") == "remove" and entry is not None:
        return save(request, None, act=remove, page=page)
    return save(request, form, act=act, show=show)
