"""Tablets, PINs and badges: the only writer of them."""

import secrets

from django.contrib.auth.hashers import make_password
from django.utils import timezone

from ..events import Refusal, event
from ..models import Person
from . import tablet_login
from .tablet import Tablet


def enrol(*, by: Person, name: str) -> str:
    """Enrol the tablet in hand; returns its token, which is shown to nobody and stored nowhere but on it."""
    token = secrets.token_urlsafe(48)
    with event(by, "tablet", why="enrolled"):
        Tablet.objects.create(name=name, token=tablet_login.digest(token), enrolled_by=by)
    return token


def revoke(*, by: Person, tablet: Tablet) -> None:
    """From now on no PIN opens anything on that tablet, and its sessions end. Refusal where it is revoked already."""
    with event(by, "tablet", why="revoked"):
        if not Tablet.objects.filter(pk=tablet.pk, revoked_at=None).update(revoked_at=timezone.now()):
            raise Refusal(f"{tablet} is revoked already.")


def set_pin(*, by: Person, person: Person, pin: str) -> None:
    """Set a person's PIN, '' to remove it."""
    with event(by, "account", why="PIN set" if pin else "PIN removed"):
        Person.objects.filter(pk=person.pk).update(
            pin=make_password(pin) if pin else "", pin_set_at=timezone.now() if pin else None
        )


def make_badge(*, by: Person, person: Person) -> str:
    """Make a new badge and return its code, to be shown once; the badge before it opens nothing any more."""
    code = tablet_login.new_badge()
    with event(by, "account", why="badge made"):
        Person.objects.filter(pk=person.pk).update(badge=tablet_login.digest(code), badge_set_at=timezone.now())
    return code


def drop_badge(*, by: Person, person: Person) -> None:
    """Remove a badge: it opens nothing any more."""
    with event(by, "account", why="badge removed"):
        Person.objects.filter(pk=person.pk).update(badge="", badge_set_at=None)
