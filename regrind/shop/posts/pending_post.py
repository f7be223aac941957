"""A form that came when nobody was signed in any more: held in the session, and offered once somebody has signed in."""

from typing import Any

from django.contrib.auth import login
from django.contrib.sessions.models import Session
from django.http import HttpRequest
from django.utils import timezone

from ..models import Person, SentForm
from .idempotency import FIELD

KEY = "pending_post"
LONGEST = 20_000
MOST_SESSIONS = 2_000  # 40 MB at most of forms held


def stash(request: HttpRequest) -> bool:
    """Hold what was sent, with its once-only key; False where it is no form of that kind, or carries a file."""
    pairs = [
        (name, value) for name, values in request.POST.lists() if name != "csrfmiddlewaretoken" for value in values
    ]
    if (
        not request.POST.get(FIELD)
        or request.FILES
        or "password" in request.POST
        or sum(len(name) + len(value) for name, value in pairs) > LONGEST
        or _full(request)
    ):
        return False
    request.session[KEY] = {"path": request.get_full_path(), "pairs": pairs}
    return True


def _full(request: HttpRequest) -> bool:
    """Whether a stranger's form would need one session more than the shop keeps: nobody fills its disk unsigned."""
    return (
        not request.user.is_authenticated
        and not request.session.session_key
        and (Session.objects.filter(expire_date__gt=timezone.now()).count() >= MOST_SESSIONS)
    )


def start_session(request: HttpRequest, person: Person) -> None:
    """Start a session of this person's own. Of the one before, only a held form stays."""
    kept = request.session.get(KEY)
    request.session.flush()  # what a PIN opened must not pass for what a password opens
    login(request, person, backend="django.contrib.auth.backends.ModelBackend")
    if kept:
        request.session[KEY] = kept


def find(request: HttpRequest) -> dict[str, Any] | None:
    """What is held: path, pairs. Once it has been saved it is held no longer."""
    kept: dict[str, Any] | None = request.session.get(KEY)
    if kept and SentForm.objects.filter(key=dict(kept["pairs"]).get(FIELD, "")[:40]).exists():
        drop(request)
        return None
    return kept


def drop(request: HttpRequest) -> None:
    request.session.pop(KEY, None)
