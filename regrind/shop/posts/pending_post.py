"""A form sent after its session had ended: stashed in the new session, and offered again after the sign-in."""

import logging
from typing import Any

from django.contrib.auth import login
from django.contrib.sessions.models import Session
from django.http import HttpRequest
from django.utils import timezone

from regrind.log import set_person

from ..models import Person, SentForm
from ..people.sessions import note_start
from ..web.request_values import page_of
from .idempotency import FIELD, is_secret

log = logging.getLogger("regrind.sign_in")
KEY = "pending_post"
LONGEST = 20_000
MOST_SESSIONS = 2_000  # at most 40 MB of stashed forms


def stash(request: HttpRequest) -> bool:
    """Stash the form with its once-only key; False where it has none, is too long, or carries a file or a password."""
    pairs = [
        (name, value) for name, values in request.POST.lists() if name != "csrfmiddlewaretoken" for value in values
    ]
    if (
        not request.POST.get(FIELD)
        or request.FILES
        or any(is_secret(name) for name in request.POST)
        or sum(len(name) + len(value) for name, value in pairs) > LONGEST
        or _full(request)
    ):
        return False
    request.session[KEY] = {"path": request.get_full_path(), "page": page_of(request), "pairs": pairs}
    return True


def _full(request: HttpRequest) -> bool:
    """Whether a form from nobody would need more sessions than the limit: no stranger fills the disk."""
    return (
        not request.user.is_authenticated
        and not request.session.session_key
        and (Session.objects.filter(expire_date__gt=timezone.now()).count() >= MOST_SESSIONS)
    )


def start_session(request: HttpRequest, person: Person, opened_with: str = "password") -> None:
    """Start a new session for this person. Of the one before, only a stashed form stays."""
    pending = request.session.get(KEY)
    request.session.flush()  # rights from a PIN and from a password never mix
    login(request, person, backend="django.contrib.auth.backends.ModelBackend")
    note_start(request, person, opened_with)
    set_person(person.pk)
    log.info("signed in by %s", opened_with)
    if pending:
        request.session[KEY] = pending


def find(request: HttpRequest) -> dict[str, Any] | None:
    """The stashed form: its path, the page it was sent from, and its pairs; None where there is none, or where it has
    been saved since."""
    pending: dict[str, Any] | None = request.session.get(KEY)
    if pending and SentForm.objects.filter(key=dict(pending["pairs"]).get(FIELD, "")[:40]).exists():
        drop(request)
        return None
    return pending


def drop(request: HttpRequest) -> None:
    request.session.pop(KEY, None)
