"""Tool families: the list, what is known of one, two that are one."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.geometry.units import Unit
from regrind.record.actions import change_family_facts, merge_families, take_apart
from regrind.record.kinds import CHOICES, KINDS
from regrind.record.models import Family, FamilyMerge
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import overview
from .family_forms import FactsForm, MergeFamilyForm

DESK = ("front_desk",)


def _unit() -> Unit:
    return shop_settings().unit


@needs(*DESK)
@require_GET
def families(request: HttpRequest) -> HttpResponse:
    kind = request.GET.get("kind", "")
    kind = kind if kind in KINDS else ""
    unit = _unit()
    context = overview.families(request.GET.get("after", ""), kind)
    for row in context["rows"]:
        row.name = row.family.name(unit)
    return render(request, "receiving/families.html", context | {"kinds": CHOICES, "kind": kind})


@needs(*DESK)
@require_http_methods(["GET", "POST"])
def family(request: HttpRequest, pk: int) -> HttpResponse:
    """What is known of a family, in the shop's unit; what is left empty is unknown."""
    shown = get_object_or_404(Family, pk=pk)
    unit = _unit()
    facts = FactsForm(request.POST or None, unit=unit, family=shown)

    def act() -> str:
        change_family_facts(by=person_of(request), family=shown, **facts.facts())
        return reverse("receiving:family", args=[shown.pk])

    def show() -> HttpResponse:
        return _page(request, shown, facts, MergeFamilyForm(family=shown, unit=unit))

    return save(request, facts, act=act, show=show)


@needs(*DESK)
@require_POST
def merge(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that this family is really another."""
    shown = get_object_or_404(Family, pk=pk)
    unit = _unit()
    form = MergeFamilyForm(request.POST, family=shown, unit=unit)

    def show() -> HttpResponse:
        return _page(request, shown, FactsForm(unit=unit, family=shown), form)

    def act() -> str:
        merge_families(by=person_of(request), family=shown, into=form.chosen())
        return reverse("receiving:family", args=[form.chosen().pk])

    return save(request, form, act=act, show=show)


@needs(*DESK)
@require_POST
def apart(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a merge back."""
    merge = get_object_or_404(FamilyMerge.objects.select_related("family", "into"), pk=pk)
    page = reverse("receiving:family", args=[merge.family_id])

    def act() -> str:
        take_apart(by=person_of(request), merge=merge)
        return page

    return save(request, None, act=act, page=page)


def _page(request: HttpRequest, shown: Family, facts: FactsForm, merging: MergeFamilyForm) -> HttpResponse:
    merges = [(m, m.family.name(_unit())) for m in shown.taken_in.select_related("family", "event__by").order_by("-pk")]
    into = shown.merged_into
    return render(
        request,
        "receiving/family.html",
        {
            "family": shown,
            "name": shown.name(_unit()),
            "form": facts,
            "merging": merging,
            "merges": merges,
            "into": into,
            "into_name": into.name(_unit()) if into else "",
            "lines": shown.lines.count(),
        },
        status=422 if facts.is_bound or merging.is_bound else 200,
    )
