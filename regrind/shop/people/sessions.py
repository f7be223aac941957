"""The sessions of people: noted when they begin, listed on the account page, ended one by one or when unused."""

import logging
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import logout
from django.contrib.sessions.models import Session
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from ..models import Person, PersonSession
from .sign_in_limit import address

log = logging.getLogger("regrind.sign_in")
LAST_USED = "last_used"  # of a session: when it was last used, in ISO 8601
NOTED_EVERY = timedelta(minutes=1)


def note_start(request: HttpRequest, person: Person, opened_with: str) -> None:
    """Note a session that has just begun, and forget those that have ended."""
    PersonSession.objects.filter(person=person).exclude(session_key__in=_open_keys()).delete()
    PersonSession.objects.create(
        person=person,
        session_key=request.session.session_key or "",
        opened_with=opened_with,
        address=address(request),
        device=request.headers.get("User-Agent", "")[:200],
    )
    request.session[LAST_USED] = timezone.now().isoformat()


def _open_keys() -> QuerySet[Session, str]:
    return Session.objects.filter(expire_date__gt=timezone.now()).values_list("session_key", flat=True)


def open_sessions(person: Person) -> QuerySet[PersonSession]:
    """The sessions of a person that are still open, the last used first."""
    return PersonSession.objects.filter(person=person, session_key__in=_open_keys())


def end(request: HttpRequest, why: str = "signed out") -> None:
    """End the session of this request."""
    log.info("session ended: %s", why)
    PersonSession.objects.filter(session_key=request.session.session_key).delete()
    logout(request)
    request.session_ended = True  # type: ignore[attr-defined]  # its cookie goes too: KeepNewerCookie


def end_all_others(request: HttpRequest, person: Person) -> None:
    """End every session of this person but the one of this request."""
    end_sessions(person, but=request.session.session_key or "")


def end_sessions(person: Person, but: str = "") -> None:
    """End every session of this person, but for the one of this key."""
    ended = PersonSession.objects.filter(person=person).exclude(session_key=but)
    Session.objects.filter(session_key__in=ended.values("session_key")).delete()
    ended.delete()


def end_other(person: Person, pk: int) -> bool:
    """End one session of this person; False where it is none of theirs."""
    session = PersonSession.objects.filter(person=person, pk=pk).first()
    if session is None:
        return False
    Session.objects.filter(session_key=session.session_key).delete()
    session.delete()
    log.info("session ended: from another one, opened by %s", session.opened_with)
    return True


def is_idle(request: HttpRequest) -> bool:
    """Whether the session was unused for longer than settings.IDLE_LIMIT; else note, once a minute, that it is used."""
    noted, now = request.session.get(LAST_USED), timezone.now()
    if noted is None:
        return False
    unused = now - datetime.fromisoformat(noted)
    if unused > settings.IDLE_LIMIT:
        return True
    if not timedelta() <= unused < NOTED_EVERY:
        request.session[LAST_USED] = now.isoformat()
        PersonSession.objects.filter(session_key=request.session.session_key).update(last_used=now)
    return False
