"""A limit on attempts to sign in, counted in the database: it survives a restart and holds across workers.

Every attempt is counted before the password, PIN or badge is checked, so that attempts that come at once through
several workers never exceed the limit. Attempts by name, PIN and badge have keys of their own kind.
"""

import logging
from datetime import timedelta

from django.conf import settings
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from ..models import SignInTry
from .person import Person

log = logging.getLogger("regrind.sign_in")
WITHIN = timedelta(minutes=15)
AHEAD = timedelta(minutes=1)  # the clocks of two machines may differ by that much
TRIES_A_NAME = 5
TRIES_AN_ADDRESS = 30


def address(request: HttpRequest) -> str:
    """The address that the request came from; behind the shop's own proxy, the one that the proxy added last."""
    forwarded = request.headers.get("X-Forwarded-For", "") if settings.SECURE_PROXY_SSL_HEADER else ""
    return (forwarded.split(",")[-1].strip() or request.META.get("REMOTE_ADDR", ""))[:45]


def name_key(name: str) -> str:
    """The key of attempts by name: one a person, however the name was typed; unknown names as they were typed."""
    person = Person.objects.find(name)
    return f"name:{person.name if person else name.lower()}"


def recent() -> QuerySet[SignInTry]:
    """The recent attempts; none from the future, so that a clock that was set back locks nobody out."""
    now = timezone.now()
    return SignInTry.objects.filter(at__gte=now - WITHIN, at__lte=now + AHEAD)


def take(request: HttpRequest, limits: dict[str, int], *, by_address: bool = False) -> bool:
    """Count one attempt under each key before it is made; False where one key has had its number of attempts.

    limits: key -> the most attempts within 15 minutes. by_address: limit the attempts from this address too. Nothing is
    stored where a limit is reached already.
    """
    if not _within(request, limits, by_address, more=1):
        return False
    now = timezone.now()
    SignInTry.objects.exclude(at__gte=now - 10 * WITHIN, at__lte=now + AHEAD).delete()
    SignInTry.objects.bulk_create([SignInTry(name=key, address=address(request)) for key in limits])
    if not _within(request, limits, by_address, more=1):  # the ones after it are refused without a line in the log
        log.warning("limit of tries reached for a %s, or for this address", next(iter(limits)).partition(":")[0])
    return _within(request, limits, by_address, more=0)


def _within(request: HttpRequest, limits: dict[str, int], by_address: bool, more: int) -> bool:
    """Whether so many more attempts stay within every limit."""
    if by_address and recent().filter(address=address(request)).count() + more > TRIES_AN_ADDRESS:
        return False
    return all(recent().filter(name=key).count() + more <= most for key, most in limits.items())


def forget(*keys: str) -> None:
    """Delete the attempts under these keys: one has succeeded."""
    SignInTry.objects.filter(name__in=keys).delete()


def has_tries(request: HttpRequest, key: str, most: int) -> bool:
    """Whether fewer than so many wrong attempts of this kind came from this address within 15 minutes."""
    return recent().filter(name=key, address=address(request)).count() < most


def count_wrong(request: HttpRequest, key: str) -> None:
    """Count a wrong attempt of a kind that no name limits."""
    now = timezone.now()
    SignInTry.objects.exclude(at__gte=now - 10 * WITHIN, at__lte=now + AHEAD).delete()
    SignInTry.objects.create(name=key, address=address(request))
