"""Customers and families read from a table, shown row by row, and saved from there."""

from collections.abc import Callable
from typing import TypeVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.geometry.units import Unit
from regrind.record.actions import keep_customer
from regrind.shop.events import event
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .customer_import import CustomerList, form_of, read_customers
from .family_import import keep_families, read_families
from .list_forms import TableForm

Read = TypeVar("Read")


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def import_customers(request: HttpRequest) -> HttpResponse:
    """Paste a table or choose its file; each new customer is shown as read, and nothing is saved before that."""
    return _import(request, "customer_import", read_customers, keep_customers, reverse("receiving:customers"))


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def import_families(request: HttpRequest) -> HttpResponse:
    """The same with families: a table, or a line of words for each."""
    return _import(request, "family_import", read_families, keep_families, reverse("receiving:families"))


def _import(
    request: HttpRequest,
    template: str,
    reader: Callable[[str, bytes, Unit], Read],
    keep: Callable[[Person, Read], object],
    done: str,
) -> HttpResponse:
    """Read, show, save. template: of the page that shows what was read; done: the address after saving."""
    sent = request.method == "POST"
    typed, files = (request.POST, request.FILES) if sent else (None, None)
    form = TableForm(typed, files, reader=lambda text, data: reader(text, data, shop_settings().unit))

    def show() -> HttpResponse:
        read = form.read if sent and form.is_valid() else None
        status = 422 if sent and not form.is_valid() else 200
        return render(request, f"receiving/{template}.html", {"form": form, "listed": read}, status=status)

    def act() -> str:
        assert form.read is not None
        keep(person_of(request), form.read)
        return done

    return save(request, form, act=act, show=show) if request.POST.get("do") == "save" else show()


def keep_customers(by: Person, read: CustomerList) -> None:
    """Make all of them, in one event. Refusal where one of the names was taken meanwhile."""
    with event(by, "customers imported"):
        for row in read.rows:
            form = form_of(row)
            form.is_valid()
            keep_customer(by=by, **form.entries(), **form.values())
