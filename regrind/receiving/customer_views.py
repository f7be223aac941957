"""Customers: the list, and one with contacts, addresses, unit and terms."""

from datetime import timedelta
from itertools import chain
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from regrind.geometry.units import unit_named
from regrind.record.actions import keep_customer
from regrind.record.contacts import address_lines, addresses_of, contacts_of
from regrind.record.models import Address, Contact, Customer
from regrind.record.undo_bar import bar_for
from regrind.shop.models import Event, Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import overview
from .contact_forms import NewCustomerForm
from .customer_forms import CustomerForm

UNDO_SHOWN = timedelta(days=1)


@needs("front_desk", "bench")
@require_GET
def customers(request: HttpRequest) -> HttpResponse:
    values = overview.customers(request.GET.get("after", ""), request.GET.get("q", ""))
    return render(request, "receiving/customers.html", values | {"may_edit": person_of(request).may("front_desk")})


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    return _customer(request, get_object_or_404(Customer, pk=pk))


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def new_customer(request: HttpRequest) -> HttpResponse:
    return _customer(request, None)


def _customer(request: HttpRequest, known: Customer | None) -> HttpResponse:
    initial = CustomerForm.initial_of(known) if known else {"active": True, "unit": shop_settings().unit}
    unit = unit_named(request.POST.get("unit"), known.unit if known else shop_settings().unit)
    form = (CustomerForm if known else NewCustomerForm)(request.POST or None, initial=initial, unit=unit)
    form.set_version(known)

    def show() -> HttpResponse:
        return render(
            request,
            "receiving/customer.html",
            {"form": form} | (_about(person_of(request), known) if known else {}),
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        entries = form.entries() if isinstance(form, NewCustomerForm) else {}
        saved = keep_customer(by=person_of(request), customer=known, **entries, **form.values())
        return reverse("receiving:customer", args=[saved.pk])

    return save(request, form, act=act, show=show)


def _about(person: Person, customer: Customer) -> dict[str, Any]:
    """People, addresses and boxes of a customer, and the undo of the newest change of the first two."""
    since = timezone.now() - UNDO_SHOWN
    rows = [model.every.filter(customer=customer, event__recorded_at__gt=since) for model in (Contact, Address)]
    return {
        "customer": customer,
        "batches": overview.newest_batches(customer),
        "contacts": contacts_of(customer),
        "addresses": [(address, address_lines(address)) for address in addresses_of(customer)],
        "undo": bar_for(person, Event.objects.filter(pk__in=[entry.event_id for entry in chain(*rows)])),
    }
