"""Values read from a request."""

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme


def next_page(request: HttpRequest) -> str:
    """The page to return to after a sign-in, if it is one of ours; else the home page."""
    address = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return address if safe else reverse(settings.LOGIN_REDIRECT_URL)
