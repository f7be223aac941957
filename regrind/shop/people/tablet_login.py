"""Sign-in on a tablet: which tablet this is, and whose PIN or badge was entered.

Tries are counted in the database before the PIN is checked, so that two workers never allow one more.
"""

import hashlib
import logging
import secrets

from django.conf import settings
from django.contrib.auth.hashers import check_password, make_password
from django.http import HttpRequest, HttpResponse

from ..models import Person
from ..posts.pending_post import start_session
from . import sign_in_limit
from .access import BY_PIN
from .tablet import Tablet

log = logging.getLogger("regrind.sign_in")
COOKIE = "__Host-tablet" if settings.TLS else "tablet"
OPENED_WITH = "opened_with"  # of a session: the mark of the PIN or badge that opened it
COOKIE_DAYS = 730
SESSION_HOURS = 12
TRIES_ON_A_TABLET, TRIES_IN_ALL = 5, 15  # of one person, within 15 minutes
BADGE_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
BADGE_START, BADGE_LENGTH = "B-", 26  # 130 random bits


def digest(secret: str) -> str:
    """The hash that is stored of a token or a badge: both are long and random, so a plain one is enough."""
    return hashlib.sha256(secret.encode()).hexdigest()


def new_badge() -> str:
    return BADGE_START + "".join(secrets.choice(BADGE_SIGNS) for _ in range(BADGE_LENGTH))


def carries_token(request: HttpRequest) -> bool:
    """Whether this browser shows a tablet's token; whether it counts, `tablet_of` says."""
    return bool(request.COOKIES.get(COOKIE))


def tablet_of(request: HttpRequest) -> Tablet | None:
    """The enrolled tablet that this is, None where it is none or was revoked.

    The token is long and random and needs no signature: so a tablet stays enrolled when a backup is restored without
    the signing key, as the list of tablets says.
    """
    token = request.COOKIES.get(COOKIE)
    return Tablet.objects.filter(token=digest(token), revoked_at=None).first() if token else None


def give_token(answer: HttpResponse, token: str) -> None:
    """Let this browser keep its token, where no script reads it."""
    answer.set_cookie(COOKIE, token, max_age=COOKIE_DAYS * 86_400, httponly=True, secure=settings.TLS, samesite="Lax")


def bench_people() -> list[Person]:
    """Who may open the bench by a PIN or a badge."""
    people = Person.objects.filter(is_active=True).exclude(pin="", badge="")
    return [person for person in people if person.may("bench")]


def find_by_pin(request: HttpRequest, tablet: Tablet, person: Person, pin: str) -> tuple[Person | None, str]:
    """The person whose PIN this is; else None and a message. Every try counts until one is right."""
    keys = {f"pin:{tablet.pk}:{person.pk}": TRIES_ON_A_TABLET, f"pin:{person.pk}": TRIES_IN_ALL}
    if not sign_in_limit.take(request, keys):
        return None, "Too many tries. Wait 15 minutes, or sign in with your password."
    # A person without a PIN costs the same time as one with another.
    if not check_password(pin, person.pin or make_password("none")) or not person.pin:
        log.warning("sign-in refused: wrong PIN of person %s on tablet %s", person.pk, tablet.pk)
        return None, "That PIN is wrong. Type it again."
    sign_in_limit.forget(*keys)
    return person, ""


def find_by_badge(request: HttpRequest, tablet: Tablet, code: str) -> tuple[Person | None, str]:
    """The person whose badge this is; else None and a message."""
    key = f"badge:{tablet.pk}"
    if not sign_in_limit.take(request, {key: TRIES_IN_ALL}):
        return None, "Too many unknown badges. Wait 15 minutes, or use a PIN."
    person = Person.objects.filter(badge=digest(code.strip().upper()), is_active=True).first()
    if person is None or not person.may("bench"):
        log.warning("sign-in refused: unknown badge on tablet %s", tablet.pk)
        return None, "That badge is unknown. Scan it again, or use a PIN."
    sign_in_limit.forget(key)
    return person, ""


def opened_with(person: Person, *, by_badge: bool) -> list[str]:
    """The mark of the PIN or badge that opens a session: another PIN or badge has another mark."""
    return ["badge", digest(person.badge)] if by_badge else ["pin", digest(person.pin)]


def still_opens(request: HttpRequest, person: Person) -> bool:
    """Whether the PIN or badge that opened this session is still the person's, and its tablet enrolled."""
    mark = request.session.get(OPENED_WITH, ["", ""])
    return (
        Tablet.objects.filter(pk=request.session.get(BY_PIN) or 0, revoked_at=None).exists()
        and bool(person.badge if mark[0] == "badge" else person.pin)
        and mark == opened_with(person, by_badge=mark[0] == "badge")
    )


def open_bench(request: HttpRequest, tablet: Tablet, person: Person, *, by_badge: bool) -> None:
    """Sign a person in with the bench's rights only, on this tablet, until the PIN or badge is changed or removed."""
    start_session(request, person, "badge" if by_badge else "PIN")
    request.session[BY_PIN] = tablet.pk
    request.session[OPENED_WITH] = opened_with(person, by_badge=by_badge)
    request.session.set_expiry(SESSION_HOURS * 3600)
