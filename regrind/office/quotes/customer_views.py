"""The customer's page: opened by a link alone, without a sign-in, cookies or scripts.

The link is the key, so a form that is sent to its address needs no token against other sites: whoever could make a
browser send it knows the link already, and no cookie gives it more rights than the link does.
"""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from regrind.shop.events import Conflict, Refusal
from regrind.shop.owner.settings import shop_settings

from ..quote_models import QuoteLink
from .deciding import decide_by_link
from .forms import DecisionForm, ItemFields
from .links import open_link
from .pictures import Pictures, pictures_of, shown_photos, small_jpeg
from .shown import Way, answered_rows, chosen_rows, left_open, settled_parts, with_options
from .states import QuoteState, state_of

HEADERS = {
    "Cache-Control": "no-store",
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
}


# Nothing in a picture runs, whatever a browser may take it for.
PICTURE = {"X-Content-Type-Options": "nosniff", "Content-Security-Policy": "default-src 'none'; sandbox"}


def _private(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """No copy of the page is stored, no other site learns its address, and no search engine lists it."""

    @wraps(view)
    def with_headers(request: HttpRequest, token: str, **more: Any) -> HttpResponse:
        response = view(request, token, **more)
        for name, value in HEADERS.items():
            response.headers[name] = value
        return response

    return with_headers


@login_not_required
@csrf_exempt
@_private
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, token: str) -> HttpResponse:
    """The quote of a link, and what its customer decides: chosen, read once more as a summary, and sent. A GET changes
    nothing."""
    link = open_link(request, token)
    if link is None:
        return _opens_nothing(request)
    state = state_of(link.quote)
    sent = request.POST if request.method == "POST" and state.open else None  # sent twice, it shows what was said
    form = DecisionForm(sent, state=state)
    if not form.is_bound or not form.is_valid():
        return _show(request, link, state, form)
    if "back" in request.POST:
        return _show(request, link, state, form, status=200)
    if not form.is_sure():
        return _summarize(request, link, state, form)
    data = form.cleaned_data
    try:
        decide_by_link(link=link, who=data["who"], note=data["note"], ways=form.decisions())
    except (Conflict, Refusal) as refused:
        form.refuse(str(refused))
        return _show(request, link, state_of(link.quote), form)
    return HttpResponseRedirect(request.path)


def _summarize(request: HttpRequest, link: QuoteLink, state: QuoteState, form: DecisionForm) -> HttpResponse:
    """What would be sent, before it is; a way to scrap needs a tick of its own."""
    ways, data = form.decisions(), form.cleaned_data
    context: dict[str, Any] = {
        "shop": shop_settings(),
        "quote": link.quote,
        "rows": chosen_rows(state, ways),
        "left_open": left_open(state, ways),
        "who": data["who"],
        "note": data["note"],
        "typed": form.typed(),
        "scraps": form.scraps(),
        "tick_missing": data["sure"],
    }
    return render(request, "quote/summary.html", context, status=422 if data["sure"] else 200)


def _opens_nothing(request: HttpRequest) -> HttpResponse:
    return render(request, "quote/no_link.html", {"shop": shop_settings()}, status=404)


@login_not_required
@_private
@require_safe
def photo(request: HttpRequest, token: str, pk: int) -> HttpResponse:
    """A photo that the quote of this link shows; any other is not found, as with a wrong link."""
    link = open_link(request, token)
    row = next((row for row in shown_photos(link.quote) if row.pk == pk), None) if link else None
    jpeg = small_jpeg(row.photo.sha256) if row else None
    if jpeg is None:
        return _opens_nothing(request)
    return HttpResponse(jpeg, content_type="image/jpeg", headers=PICTURE)


def _item(fields: ItemFields, pictures: dict[int, Pictures]) -> tuple[ItemFields, list[Way], Pictures]:
    return fields, with_options(fields.state, fields.bound), pictures[fields.state.item.pk]


def _show(
    request: HttpRequest, link: QuoteLink, state: QuoteState, form: DecisionForm, *, status: int = 422
) -> HttpResponse:
    """The page; with what was sent where a form is bound, with this status."""
    quote, pictures = link.quote, pictures_of(link.quote)
    context: dict[str, Any] = {
        "shop": shop_settings(),
        "quote": quote,
        "state": state,
        "form": form,
        "items": [_item(fields, pictures) for fields in form.items()] if state.open else [],
        "answered": answered_rows(state),
        "settled": settled_parts(quote),
        "photos_address": f"{request.path}/photo",
    }
    return render(request, "quote/page.html", context, status=status if form.is_bound else 200)
