"""The owner's price list: edited as a table, imported and downloaded."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.rate_changes import keep_list
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save
from regrind.shop.web.tables import as_csv

from .entries import entries_on, newest_entry
from .forms import FromDayForm, ImportForm, ListForm
from .table import HEAD, cells


@needs("owner")
@require_http_methods(["GET", "POST"])
def price_list(request: HttpRequest) -> HttpResponse:
    """The rows as they hold today, each with its amount to change, and new rows below."""
    unit, entries = shop_settings().unit, entries_on(timezone.localdate())
    form = ListForm(request.POST or None, entries=entries, unit=unit, shown=newest_entry())

    def show() -> HttpResponse:
        families = [entry for entry in entries if entry.rate.family_id]
        context = {"form": form, "rows": form.rows(), "families": families}
        return render(request, "office/price_list.html", context, status=422 if form.is_bound else 200)

    return save(request, form, act=lambda: _keep(request, form), show=show)


@needs("owner")
@require_http_methods(["GET", "POST"])
def price_import(request: HttpRequest) -> HttpResponse:
    """A whole table at once: every amount that differs is valid from the day in the form."""
    unit = shop_settings().unit
    form = ImportForm(request.POST or None, request.FILES or None, unit=unit, shown=newest_entry())

    def show() -> HttpResponse:
        context = {"form": form, "head": HEAD}
        return render(request, "office/price_import.html", context, status=422 if form.is_bound else 200)

    return save(request, form, act=lambda: _keep(request, form), show=show)


def _keep(request: HttpRequest, form: ListForm | ImportForm) -> str:
    keep_list(
        by=person_of(request),
        entries=form.changes(),
        from_day=form.cleaned_data["from_day"],
        stale=lambda: newest_entry() != FromDayForm.newest_shown(form),
    )
    return reverse("office:price_list")


@needs("owner")
@require_GET
def price_download(request: HttpRequest) -> HttpResponse:
    """The rows of today as a table that the import reads again; families' own prices are on their pages."""
    unit = shop_settings().unit
    entries = [entry for entry in entries_on(timezone.localdate()) if entry.rate.family_id is None]
    return as_csv("price-list", HEAD, [cells(entry, unit) for entry in entries])
