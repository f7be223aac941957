"""Failed sign-ins are counted in the database: the limit survives a restart and holds across workers."""

from datetime import timedelta

from django.conf import settings
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from ..models import SignInTry

WITHIN = timedelta(minutes=15)
AHEAD = timedelta(minutes=1)  # two machines' clocks may differ by that much
TRIES_A_NAME = 5
TRIES_AN_ADDRESS = 30


def address(request: HttpRequest) -> str:
    """Where the request came from; behind the shop's own proxy, what that proxy appended last."""
    forwarded = request.headers.get("X-Forwarded-For", "") if settings.SECURE_PROXY_SSL_HEADER else ""
    return (forwarded.split(",")[-1].strip() or request.META.get("REMOTE_ADDR", ""))[:45]


def recent() -> QuerySet[SignInTry]:
    """The tries of late; none from later than now: a clock that was set back must keep nobody out."""
    now = timezone.now()
    return SignInTry.objects.filter(at__gte=now - WITHIN, at__lte=now + AHEAD)


def closed(request: HttpRequest, name: str) -> bool:
    """True where this name or this address has failed too often of late."""
    return (
        recent().filter(name=name.lower()).count() >= TRIES_A_NAME
        or recent().filter(address=address(request)).count() >= TRIES_AN_ADDRESS
    )


def note(request: HttpRequest, name: str) -> None:
    now = timezone.now()
    SignInTry.objects.exclude(at__gte=now - 10 * WITHIN, at__lte=now + AHEAD).delete()
    SignInTry.objects.create(name=name.lower(), address=address(request))


def forget(name: str) -> None:
    SignInTry.objects.filter(name=name.lower()).delete()


def take(request: HttpRequest, names: dict[str, int]) -> bool:
    """Count a try under each name before it is made; False where one name had its number of tries already.

    Counted first, so that tries which come at once through several workers never exceed the number.
    """
    for name in names:
        note(request, name)
    return all(recent().filter(name=name).count() <= most for name, most in names.items())
