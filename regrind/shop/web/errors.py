"""Pages for what went wrong; a fragment's request gets a fragment."""

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
    return _page(request, 400, "That request cannot be read", "Go back and try again.")


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    if isinstance(exception, PasswordNeeded):
        return render(request, "shop/password_needed.html", status=403)
    return _page(request, 403, "Not for your role", f"This page is for: {exception or 'another role'}.")


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _page(request, 404, "Nothing here", "No such page, batch or tool. The search box above finds what is.")


def server_error(request: HttpRequest) -> HttpResponse:
    """Plain text where the database or the disk is the trouble: a page would ask them again."""
    message = failures.explain(sys.exc_info()[1])
    if message:
        return HttpResponse(message, status=503, content_type="text/plain; charset=utf-8")
    return _page(request, 500, "Something broke", "Nothing was saved by half. What you typed is kept as a draft.")


def csrf_failed(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A page of before the last sign-in holds an old token: what it sent is held, if it was a page of ours."""
    if request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}" and pending_post.stash(request):
        return redirect("shop:pending_post")
    return _page(request, 403, "This form is too old", "Open the page again and send it once more.")
