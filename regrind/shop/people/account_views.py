"""One's own account: the password, and the list of open sessions."""

import logging

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

log = logging.getLogger("regrind.sign_in")
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
    form = PasswordForm(
        request.POST or None, person=person, objection=lambda typed: refuse_password(request, person, typed)
    )

    def show() -> HttpResponse:
        return render(request, "shop/password.html", {"form": form}, status=422 if form.is_bound else 200)

    def act() -> str:
        account_actions.change_own_password(by=person, password=form.cleaned_data["new_password"])
        update_session_auth_hash(request, person)
        sessions.end_all_others(request, person)
        sessions.note_start(request, person, "password")
        messages.success(request, "Your new password is saved. Your other sessions have ended.")
        return reverse("shop:account")

    return save(request, form, act=act, show=show)


def refuse_password(request: HttpRequest, person: Person, typed: str) -> str:
    """Why what was typed is not taken as a person's own password; "" where it is right. A right one is no try: whoever
    has a new password refused goes on choosing."""
    key = f"password:{person.pk}"
    if not sign_in_limit.take(request, {key: sign_in_limit.TRIES_A_NAME}):
        return "Too many tries. Wait 15 minutes, or ask the owner for a new password."
    if not person.check_password(typed):
        log.warning("change refused: wrong present password")
        return "That is not your present password. Type it again."
    sign_in_limit.forget(key)
    return ""
