"""Where a sign-in leads back to."""

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme


def back(request: HttpRequest) -> str:
    """The page that was asked for before, if it is one of ours; else the home page."""
    asked = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(asked, allowed_hosts={request.get_host()}, require_https=request.is_secure())
    return asked if safe else reverse(settings.LOGIN_REDIRECT_URL)
