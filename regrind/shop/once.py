"""Once-only form posts: the same form sent twice acts once.

A key is spent only by a committed action: a refused form may come again with other content. The same key with the
same content leads to where the first one led; with other content it answers "already saved" and keeps what was typed.
"""
import hashlib
import secrets
from collections.abc import Callable, Mapping, Sequence

from django.db import connection
from django.forms import Field, Form
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from . import drafts
from .events import Conflict, Refusal, one_event
from .models import Person, SentForm

FIELD = "once"
# Of a form: what the page itself put there, which means nothing to who reads it again.
NOT_TYPED = {"csrfmiddlewaretoken", FIELD, "seen", "stood", "pieces", "revision", "rows", "group", "do", drafts.PART}


def new_key() -> str:
    return secrets.token_urlsafe(18)


def person_of(request: HttpRequest) -> Person:
    """Who sent this; every page but the sign-in has someone."""
    assert isinstance(request.user, Person)
    return request.user


def digest_of(request: HttpRequest) -> str:
    """A hash of what was typed, file names and sizes included, without the tokens of this one sending."""
    told = hashlib.sha256(request.path.encode())
    for name, values in sorted(request.POST.lists()):
        if name != "csrfmiddlewaretoken":
            told.update(repr((name, values)).encode())
    for name, files in sorted(request.FILES.lists()):
        told.update(repr((name, [(file.name, file.size) for file in files])).encode())
    return told.hexdigest()


def _spend(request: HttpRequest, key: str) -> bool:
    table, columns = SentForm._meta.db_table, "key, digest, person_id, at, led_to"
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} ({columns}) VALUES (%s, %s, %s, CURRENT_TIMESTAMP, '')"  # noqa: S608
            " ON CONFLICT (key) DO NOTHING", [key, digest_of(request), request.user.pk])
        return cursor.rowcount == 1


def carry_out(request: HttpRequest, act: Callable[[], str], *,
              refused: Callable[[str], HttpResponse] | None = None, form: Form | None = None,
              stands_at: str = "") -> HttpResponse:
    """Run `act` (which returns the address to go to) exactly once for this form.

    request: a POST whose form carried the once-only key. act: the writing action. refused: how the page shows a
    Refusal beside what was typed; without it the refusal is a page of its own. A Conflict answers 409. form: the form
    as it was sent, whose choices are then said in its words beside what stands. stands_at: the page that shows how
    it stands now, where this address itself only takes forms.
    """
    key = request.POST.get(FIELD, "")[:40]
    if not key:
        return render(request, "shop/refused.html", {"message": "This form has no once-only key: open it again."},
                      status=400)
    try:
        with one_event(key):
            if _spend(request, key):
                led_to = act()
                SentForm.objects.filter(key=key).update(led_to=led_to[:300])
                drafts.drop(person=person_of(request), form=drafts.name_of(request))
                return HttpResponseRedirect(led_to)
    except Refusal as refusal:
        if refused:
            return refused(str(refusal))
        return render(request, "shop/refused.html", {"message": str(refusal), "stands_at": stands_at}, status=422)
    except Conflict as conflict:
        return render(request, "shop/conflict.html", {
            "message": str(conflict), "whose": conflict.whose, "stands_at": stands_at,
            "rows": side_by_side(conflict.theirs, in_words(typed(request), form))}, status=409)
    return _again(request, key)


def repeated(request: HttpRequest) -> HttpResponse | None:
    """The answer to a form that was carried out before, None for a new one.

    For views whose form would no longer be valid once it was carried out (its pieces have gone on): ask this before
    the form is looked at, so that a second tap leads where the first one led.
    """
    key = request.POST.get(FIELD, "")[:40]
    return _again(request, key) if key and SentForm.objects.filter(key=key).exists() else None


def _again(request: HttpRequest, key: str) -> HttpResponse:
    first = SentForm.objects.get(key=key)
    if first.digest == digest_of(request) and first.person_id == request.user.pk:
        return HttpResponseRedirect(first.led_to)
    return render(request, "shop/already_saved.html", {"first": first, "typed": typed(request)}, status=409)


def typed(request: HttpRequest) -> list[tuple[str, str]]:
    """What was typed, to show it again where it could not be saved."""
    return [(name, value) for name, values in request.POST.lists() if name not in NOT_TYPED
            for value in values if value]


def in_words(mine: Sequence[tuple[str, str]], form: Form | None) -> list[tuple[str, str]]:
    """What was typed, with the words of a choice instead of its code."""
    fields = form.fields if form else {}
    return [(name, _choice(fields[name], value) if name in fields else value) for name, value in mine]


def _choice(field: Field, value: str) -> str:
    choices = getattr(field, "choices", ())
    found = ((code, said) for code, said in choices if str(code) == value)
    return next((str(getattr(code, "instance", said)) for code, said in found), value)


def side_by_side(theirs: Mapping[str, str], mine: Sequence[tuple[str, str]]) -> list[tuple[str, str, str]]:
    """(field, what they stored, what was typed here): the fields both have first, then what only one side has."""
    typed_here: dict[str, list[str]] = {}
    for name, value in mine:
        typed_here.setdefault(name, []).append(value)
    names = sorted(dict.fromkeys([*theirs, *typed_here]),
                   key=lambda name: name not in theirs or name not in typed_here)
    return [(name.replace("_", " "), theirs.get(name, ""),
             ", ".join("yes" if value == "on" else value for value in typed_here.get(name, []))) for name in names]
