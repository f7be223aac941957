"""The second factor of a person: a code from their phone, asked for after the password.

The phone's key is worked out from the signing key and a seed that is stored with the person: a backup, which holds no
signing key, holds no second factor either. With another signing key everyone sets it up again.
"""

import secrets
from typing import Any

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import salted_hmac

from ..events import event
from ..models import Person
from . import sign_in_limit, totp

WAITING = "awaits_code"  # of a session: whose password was right, how it was opened, and when
WAITS_S = 300
NEW = "new_seed"  # of a session: the seed of a key that no code has confirmed yet


def key_of(seed: str) -> bytes:
    """The phone's key: 20 bytes, as RFC 4226 recommends."""
    return salted_hmac("regrind.second_factor", seed, algorithm="sha256").digest()[:20]


def is_lacking(person: AbstractBaseUser | AnonymousUser) -> bool:
    """Whether this person may more than the bench by password and has no second factor."""
    return (
        isinstance(person, Person)
        and not person.by_pin
        and not person.totp_seed
        and (person.owner or person.front_desk)
    )


def wait_for_code(request: HttpRequest, person: Person) -> None:
    """The password was right; note for whom a code is still needed. Nobody is signed in by that."""
    request.session[WAITING] = [person.pk, timezone.now().timestamp()]


def waiting_person(request: HttpRequest) -> Person | None:
    """Whose code this browser may enter now."""
    waiting: Any = request.session.get(WAITING)
    if not waiting or not 0 <= timezone.now().timestamp() - waiting[1] <= WAITS_S:
        return None
    return Person.objects.filter(pk=waiting[0], is_active=True).exclude(totp_seed="").first()


def check(request: HttpRequest, person: Person, code: str) -> str:
    """Use up a code; "" where it was right, else a message. Each code counts once, and tries are limited."""
    if not sign_in_limit.take(request, {f"code:{person.pk}": sign_in_limit.TRIES_A_NAME}):
        return "Too many tries. Wait 15 minutes, or ask the owner."
    step = totp.matching_step(key_of(person.totp_seed), code, person.totp_step)
    used = step is not None and Person.objects.filter(pk=person.pk, totp_step__lt=step).update(totp_step=step)
    if not used:
        sign_in_limit.log.warning("sign-in refused: wrong code of person %s", person.pk)
        return "That code is not the present one. Wait for the next one, and check that the phone’s clock is right."
    sign_in_limit.forget(f"code:{person.pk}")
    return ""


def new_seed() -> str:
    return secrets.token_urlsafe(18)


def set_up(*, by: Person, seed: str, step: int) -> None:
    """Make a person's own second factor the one of this seed, confirmed by the code of this step."""
    with event(by, "account", why="second factor set up"):
        Person.objects.filter(pk=by.pk).update(totp_seed=seed, totp_step=step, totp_set_at=timezone.now())


def remove(*, by: Person | None, person: Person) -> None:
    """Take a person's second factor away, as after a lost phone. by: None where it is done on the computer itself."""
    with event(by, "account", why="second factor removed"):
        Person.objects.filter(pk=person.pk).update(totp_seed="", totp_step=0, totp_set_at=None)
