"""Customers: the list, and one with contact, unit and terms."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.geometry.units import unit_named
from regrind.record.actions import keep_customer
from regrind.record.models import Customer
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import overview
from .customer_forms import CustomerForm


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
    form = CustomerForm(request.POST or None, initial=initial, unit=unit)
    form.set_version(known)

    def show() -> HttpResponse:
        return render(
            request,
            "receiving/customer.html",
            {"customer": known, "form": form, "batches": overview.newest_batches(known) if known else []},
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        saved = keep_customer(by=person_of(request), customer=known, **form.values())
        return reverse("receiving:customer", args=[saved.pk])

    return save(request, form, act=act, show=show)
