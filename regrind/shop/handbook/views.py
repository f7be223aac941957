"""The handbook in the program: the index, and a page."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from ..people.access import needs
from .pages import INDEX, PAGES, address_of, read_page


@needs("front_desk", "bench", "owner")
@require_GET
def index(request: HttpRequest) -> HttpResponse:
    """All pages of the handbook."""
    return _show(request, INDEX)


@needs("front_desk", "bench", "owner")
@require_GET
def page(request: HttpRequest, name: str) -> HttpResponse:
    """One page of the handbook."""
    if name not in PAGES:
        raise Http404(name)
    return _show(request, name)


def _show(request: HttpRequest, name: str) -> HttpResponse:
    others = [(read_page(other).title, address_of(other)) for other in PAGES if other != name]
    context = {"handbook": read_page(name), "others": [] if name == INDEX else others, "is_index": name == INDEX}
    return render(request, "shop/handbook.html", context)
