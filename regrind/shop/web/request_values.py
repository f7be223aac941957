"""Values read from a request."""

from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme


def next_page(request: HttpRequest) -> str:
    """The page to return to after a sign-in, if it is one of ours; else the home page."""
    address = request.POST.get("next") or request.GET.get("next") or ""
    return address if _is_ours(request, address) else reverse(settings.LOGIN_REDIRECT_URL)


def page_of(request: HttpRequest) -> str:
    """The page that a form was sent from: its own address may take forms alone, and cannot be opened."""
    sender = request.headers.get("Referer", "")
    if not _is_ours(request, sender):
        return request.get_full_path()
    return urlsplit(sender)._replace(scheme="", netloc="", fragment="").geturl()


def _is_ours(request: HttpRequest, address: str) -> bool:
    return url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
