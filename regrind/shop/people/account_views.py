"""One's own account: the password, and the list of open sessions."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from ..events import Refusal
from ..fields.whole_numbers import read_whole
from ..models import Person
from ..posts.idempotency import person_of
from ..posts.saving import save
from . import account_actions, sessions, sign_in_limit
from .access import PasswordNeeded, needs
from .account_forms import PasswordForm

EVERYONE = ("front_desk", "bench", "owner")


def _person_by_password(request: HttpRequest) -> Person:
    """Who is signed in by a password; a PIN or a badge opens no account."""
    person = person_of(request)
    if person.by_pin:
        raise PasswordNeeded
    return person


@needs(*EVERYONE)
@require_GET
def account(request: HttpRequest) -> HttpResponse:
    person = _person_by_password(request)
    context = {"sessions": sessions.open_sessions(person), "this_session": request.session.session_key}
    return render(request, "shop/account.html", context)


@needs(*EVERYONE)
@require_POST
def end_session(request: HttpRequest) -> HttpResponse:
    """End one of one's own sessions, on whatever device it is."""
    person = _person_by_password(request)

    def act() -> str:
        if not sessions.end_other(person, read_whole(request.POST.get("session")) or 0):
            raise Refusal("That session has ended already.")
        messages.success(request, "The session is ended. That device must sign in again.")
        return reverse("shop:account")

    return save(request, None, act=act, page=reverse("shop:account"))


@needs(*EVERYONE)
@require_http_methods(["GET", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """A new password for oneself, with the old one. Every other session of this person ends."""
    person = _person_by_password(request)
    form = PasswordForm(request.POST or None, person=person, allow=lambda: allow_try(request, person))

    def show() -> HttpResponse:
        return render(request, "shop/password.html", {"form": form}, status=422 if form.is_bound else 200)

    def act() -> str:
        account_actions.change_own_password(by=person, password=form.cleaned_data["new_password"])
        sign_in_limit.forget(_try_key(person))
        update_session_auth_hash(request, person)
        sessions.end_all_others(request, person)
        sessions.note_start(request, person, "password")
        messages.success(request, "Your new password is saved. Your other sessions have ended.")
        return reverse("shop:account")

    return save(request, form, act=act, show=show)


def _try_key(person: Person) -> str:
    return f"password:{person.pk}"


def allow_try(request: HttpRequest, person: Person) -> bool:
    return sign_in_limit.take(request, {_try_key(person): sign_in_limit.TRIES_A_NAME})
