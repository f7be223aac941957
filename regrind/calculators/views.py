"""The bench book: a page per question, for anyone signed in, without a job. Nothing is written."""

from collections.abc import Mapping

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from regrind.geometry.bibliography import BIBLIOGRAPHY
from regrind.geometry.errors import Refused
from regrind.geometry.units import NotALength, Unit, parse, unit_named
from regrind.shop.fields.forms import LengthText
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs

from . import formatting
from .fields import CalculatorForm, SpeedText
from .pages import PAGES, Way
from .result import CalculatorResult

LONGEST = 64


@needs("front_desk", "bench", "owner")
@require_GET
def index(request: HttpRequest) -> HttpResponse:
    return render(request, "calculators/index.html", {"pages": PAGES})


@needs("front_desk", "bench", "owner")
@require_GET
def sources(request: HttpRequest) -> HttpResponse:
    """The bibliography: every entry whole, where the short references of all pages lead to."""
    return render(request, "calculators/sources.html", {"entries": BIBLIOGRAPHY})


@needs("front_desk", "bench", "owner")
@require_GET
@vary_on_headers("HX-Request")
def calculator(request: HttpRequest, slug: str) -> HttpResponse:
    """One question. The address carries what was typed; htmx asks again as one types, for the answer alone."""
    page = PAGES.get(slug)
    way = page.way(request.GET.get("by", "")) if page else None
    if page is None or way is None:
        raise Http404("The bench book has no such page.")
    unit = _unit(request)
    typed = any(name in way.form.base_fields for name in request.GET)
    asks = way.form.opens_empty and not typed
    form = way.form(_data(request, way, unit, typed), unit=unit)
    result = _work_out(form, way) if form.is_bound else None
    address = reverse("calculators:page", args=[slug])
    links = {each: f"{address}?{urlencode(_carry(form, way, each))}" for each in ("in", "mm")}
    fragment = _wants_fragment(request)
    return render(
        request,
        f"calculators/{'_typed' if fragment else 'page'}.html",
        {
            "page": page,
            "way": way,
            "form": form,
            "result": result,
            "unit": unit,
            "address": address,
            "is_example": not typed and not asks,
            "asks": asks,
            "links": links,
            "link": request.build_absolute_uri(links[unit]),
            "others": [
                {"title": other.title, "address": reverse("calculators:page", args=[name])}
                for name, other in PAGES.items()
                if name != slug
            ],
        },
        status=200 if result or fragment or asks else 422,
    )


def _data(request: HttpRequest, way: Way, unit: Unit, typed: bool) -> Mapping[str, str] | None:
    """What the form is filled with: what was typed, else the worked example, or nothing where the page asks."""
    if typed:
        return request.GET
    return None if way.form.opens_empty else way.form.example(unit)


def _wants_fragment(request: HttpRequest) -> bool:
    asked = request.htmx  # type: ignore[attr-defined]  # the middleware of django-htmx sets it
    return bool(asked) and not asked.boosted and not asked.history_restore_request


def _unit(request: HttpRequest) -> Unit:
    return unit_named(request.GET.get("unit"), shop_settings().unit)


def _work_out(form: CalculatorForm, way: Way) -> CalculatorResult | None:
    """The answer, or None with the reasons beside the fields."""
    if not form.is_valid():
        return None
    try:
        return way.work_out(form)
    except Refused as refused:
        form.show_refused(refused, way.fields, formatting.in_unit(refused.message, form.unit))
    return None


def _carry(form: CalculatorForm, way: Way, unit: Unit) -> dict[str, str]:
    """What was typed, for an address. A number that took the page's unit says so on the way to the other unit."""
    carried = {"by": way.code, "unit": unit}
    for name, field in form.fields.items():
        text = str(form.data.get(name, "")).strip()
        if text and len(text) <= LONGEST:
            carried[name] = text if unit == form.unit else _with_unit(text, field, form.unit)
    return carried


def _with_unit(text: str, field: object, unit: Unit) -> str:
    if isinstance(field, SpeedText):
        return text if text[-1:].isalpha() else f"{text} {'m/s' if unit == 'mm' else 'ft/min'}"
    if not isinstance(field, LengthText):
        return text
    try:
        parse(text)
    except NotALength:
        return f"{text} {unit}"
    return text
