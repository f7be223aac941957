"""The bench book: one page for each small calculation, answered as one types."""
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET
from django.views.decorators.vary import vary_on_headers

from regrind.geometry.errors import Refused
from regrind.shop.access import needs
from regrind.shop.letterhead import letterhead

from .answers import Answer, BookForm
from .pages import PAGES


@needs("front_desk", "bench", "owner")
@require_GET
def book(request: HttpRequest) -> HttpResponse:
    return render(request, "bench/book/index.html", {"pages": PAGES})


@needs("front_desk", "bench", "owner")
@require_GET
@vary_on_headers("HX-Request")
def book_page(request: HttpRequest, what: str) -> HttpResponse:
    page = PAGES.get(what)
    if page is None:
        raise Http404("The bench book has no such page.")
    unit = request.GET.get("unit")
    unit = unit if unit in ("in", "mm") else letterhead().unit
    typed = any(name in page.form.base_fields for name in request.GET)
    form = page.form(request.GET if typed else page.form.example, unit=unit)
    answer = _answer(form, page.work_out)
    template = "bench/book/_answer.html" if request.htmx else "bench/book/page.html"     # type: ignore[attr-defined]
    return render(request, template, {"page": page, "what": what, "form": form, "answer": answer, "unit": unit,
                                      "is_example": not typed, "pages": PAGES})


def _answer(form: BookForm, work_out) -> Answer | None:
    if not form.is_valid():
        return None
    try:
        return work_out(form)
    except Refused as refused:
        form.refuse(refused)
        return None
