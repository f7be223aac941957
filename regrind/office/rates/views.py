"""The owner's pages of dated prices and costs."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.kinds import CHOICES, KINDS
from regrind.record.models import Family
from regrind.record.rate_changes import keep_rates
from regrind.record.rates import SHOP, Scope, read_rates
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import shown
from .forms import RatesForm


@needs("owner")
@require_http_methods(["GET", "POST"])
def shop_rates(request: HttpRequest) -> HttpResponse:
    """The rates of the whole shop, with links to the kinds and families."""

    def more() -> dict[str, Any]:
        return shown.kinds_and_families(request.GET.get("after", ""), request.GET.get("kind", ""))

    return _answer(request, SHOP, "", "The whole shop", reverse("office:rates"), more)


@needs("owner")
@require_http_methods(["GET", "POST"])
def kind_rates(request: HttpRequest, kind: str) -> HttpResponse:
    if kind not in KINDS:
        raise Http404(kind)
    return _answer(
        request, (None, kind), kind, dict(CHOICES)[kind].capitalize(), reverse("office:rates_kind", args=[kind])
    )


@needs("owner")
@require_http_methods(["GET", "POST"])
def family_rates(request: HttpRequest, pk: int) -> HttpResponse:
    family = get_object_or_404(Family, pk=pk)
    return _answer(
        request,
        (family.pk, ""),
        family.kind,
        family.name(shop_settings().unit),
        reverse("office:rates_family", args=[pk]),
        lambda: {"family": family, "kind_address": reverse("office:rates_kind", args=[family.kind])},
    )


def _answer(
    request: HttpRequest, scope: Scope, kind: str, title: str, address: str, more: Callable[[], dict[str, Any]] = dict
) -> HttpResponse:
    """One page of rates: the form with the current ones, and the history."""
    book = read_rates(scope[0], wide=False)
    form = RatesForm(request.POST or None, scope=scope, kind=kind, book=book)

    def show() -> HttpResponse:
        return render(
            request,
            "office/rates.html",
            {
                "form": form,
                "title": title,
                "heading": "Prices and costs" if scope == SHOP else title,
                "shop": scope == SHOP,
                "kind": kind,
                "fields": shown.fields(form, book),
                "history": shown.history(scope),
                **more(),
            },
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        keep_rates(
            by=person_of(request),
            scope=scope,
            amounts=form.changes(),
            from_day=form.cleaned_data["from_day"],
            seen=form.cleaned_data["seen"] or 0,
        )
        return address

    return save(request, form, act=act, show=show)
