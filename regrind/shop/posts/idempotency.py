"""Once-only forms: the same form sent twice acts once.

A key is spent only by a committed action: a refused form may come again with other values. The same key with the same
values redirects where the first one did; with other values the page says "Already saved" and shows what was typed.
"""

import hashlib
import secrets
from collections.abc import Callable

from django.db import connection
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from ..events import one_event
from ..models import Person, SentForm
from . import drafts

FIELD = "once"
# Fields that the page itself fills in: they mean nothing to a reader.
NOT_TYPED = {
    "csrfmiddlewaretoken",
    FIELD,
    "version",
    "seen",
    "stood",
    "pieces",
    "revision",
    "rows",
    "group",
    "do",
    drafts.PART,
}


def is_secret(name: str) -> bool:
    """Whether a field holds a password, a PIN or a badge: never shown again, stashed or hashed with the form."""
    return "password" in name or name in ("pin", "again", "badge")


def new_key() -> str:
    return secrets.token_urlsafe(18)


def person_of(request: HttpRequest) -> Person:
    """The signed-in person; every page but the sign-in has one."""
    assert isinstance(request.user, Person)
    return request.user


def digest_of(request: HttpRequest) -> str:
    """A hash of the posted values, file names and sizes included, without the CSRF token and secrets."""
    digest = hashlib.sha256(request.path.encode())
    for name, values in sorted(request.POST.lists()):
        if name != "csrfmiddlewaretoken" and not is_secret(name):
            digest.update(repr((name, values)).encode())
    for name, files in sorted(request.FILES.lists()):
        digest.update(repr((name, [(file.name, file.size) for file in files])).encode())
    return digest.hexdigest()


def run_once(request: HttpRequest, act: Callable[[], str]) -> str | None:
    """Spend the form's key and run `act`, as one event. Returns the address to go to, None where the key was spent."""
    key = _key_of(request)
    with one_event(key):
        if not claim_key(request, key):
            return None
        redirect_to = act()
        SentForm.objects.filter(key=key).update(redirect_to=redirect_to[:300])
        drafts.drop(person=person_of(request), form=drafts.name_of(request))
        return redirect_to


def _key_of(request: HttpRequest) -> str:
    return request.POST.get(FIELD, "")[:40]


def claim_key(request: HttpRequest, key: str) -> bool:
    """Whether the key was still free; a second post waits here for the transaction of the first."""
    table, columns = SentForm._meta.db_table, "key, digest, person_id, at, redirect_to"
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} ({columns}) VALUES (%s, %s, %s, CURRENT_TIMESTAMP, '')"  # noqa: S608
            " ON CONFLICT (key) DO NOTHING",
            [key, digest_of(request), request.user.pk],
        )
        return bool(cursor.rowcount == 1)


def replay(request: HttpRequest) -> HttpResponse:
    """Redirect where the first post with this key did, if it was the same; otherwise say that it is already saved."""
    first = SentForm.objects.get(key=_key_of(request))
    if first.digest == digest_of(request) and first.person_id == request.user.pk:
        return HttpResponseRedirect(first.redirect_to)
    return render(request, "shop/already_saved.html", {"first": first, "typed": posted_values(request)}, status=409)


def posted_values(request: HttpRequest) -> list[tuple[str, str]]:
    """The typed values, to show them again where they could not be saved."""
    shown = [(name, values) for name, values in request.POST.lists() if name not in NOT_TYPED and not is_secret(name)]
    return [(name, value) for name, values in shown for value in values if value]
