"""Links to a customer's page: 128 random bits in the address, of which only the SHA-256 is stored."""

import hashlib
import secrets

from django.conf import settings
from django.http import HttpRequest
from django.utils import timezone

from regrind.shop.people import sign_in_limit

from ..quote_models import QuoteLink

TOKEN_BYTES = 16
TRIES = 30  # wrong links from one address within sign_in_limit.WITHIN
KEY = "quote link"


def new_token() -> str:
    """128 random bits as 22 signs of an address."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def digest_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def address_of(token: str) -> str:
    """The whole address for the customer."""
    return f"{settings.PUBLIC_ADDRESS}/q/{token}"


def find_link(token: str) -> QuoteLink | None:
    """The link of this token while it holds. A wrong, an expired and a revoked one cost the same single query."""
    rows = QuoteLink.objects.filter(digest=digest_of(token), revoked=None, ends_at__gt=timezone.now())
    return rows.select_related("quote__batch__customer", "quote__event").first()


def open_link(request: HttpRequest, token: str) -> QuoteLink | None:
    """The link that this request names; None for a wrong one, and for any after too many wrong ones from its address.

    A wrong one is counted in the database: the limit holds across workers and restarts.
    """
    if not sign_in_limit.has_tries(request, KEY, TRIES):
        return None
    link = find_link(token)
    if link is None:
        sign_in_limit.count_wrong(request, KEY)
    return link
