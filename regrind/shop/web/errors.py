"""Error pages; a request for a fragment gets a fragment."""

import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from ..people.access import PasswordNeeded
from ..posts import pending_post
from . import failures


def _page(request: HttpRequest, status: int, title: str, text: str) -> HttpResponse:
    template = "shop/_error.html" if getattr(request, "htmx", False) else "shop/error.html"
    return render(request, template, {"title": title, "text": text}, status=status)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, 400, "The request cannot be read", "Go back and send it again.")


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    if isinstance(exception, PasswordNeeded):
        return render(request, "shop/password_needed.html", status=403)
    return _page(
        request,
        403,
        "Not for your role",
        f"This page is for: {exception or 'another role'}. Ask the owner if you need it.",
    )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, 404, "Not found", "There is no such page, batch or tool. Use the search box above.")


def no_page(request: HttpRequest) -> HttpResponse:
    return _page(request, 405, "No page here", "This address only takes a sent form. Nothing was changed. Go back.")


def server_error(request: HttpRequest) -> HttpResponse:
    """Plain text where the database or the disk fails: a page would need them."""
    message = failures.explain(sys.exc_info()[1])
    if message:
        return HttpResponse(message, status=503, content_type="text/plain; charset=utf-8")
    return _page(request, 500, "Internal error", "Nothing was saved. Open the page again: it offers what you typed.")


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A page from before the last sign-in has an old token: its form is stashed if it came from our own page."""
    if request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}" and pending_post.stash(request):
        return redirect("shop:pending_post")
    return _page(request, 403, "This form is too old", "It was not saved. Open the page again and send it from there.")
