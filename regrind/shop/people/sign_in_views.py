"""Signing in and out."""

import logging

from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST

from ..fields.whole_numbers import read_whole
from ..models import Person
from ..posts.pending_post import start_session
from ..web.request_values import next_page
from . import second_factor, sessions, sign_in_limit, tablet_login
from .sign_in_forms import SignInForm

log = logging.getLogger("regrind.sign_in")
ON_A_TABLET = 30 * 60  # seconds that a password session lasts on a shared tablet


@login_not_required
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.method == "GET" and request.GET.get("by") != "password" and tablet_login.tablet_of(request):
        return redirect(f"{reverse('shop:who')}?{urlencode({'next': next_page(request)})}")
    form = SignInForm(request.POST or None)
    status = 200
    if request.method == "POST" and form.is_valid():
        person = _authenticate(request, form)
        if person and person.totp_seed:
            second_factor.wait_for_code(request, person)
            return redirect(f"{reverse('shop:code')}?{urlencode({'next': next_page(request)})}")
        if person:
            begin_session(request, person, "password")
            return redirect(next_page(request))
        status = 429 if form.has_error(NON_FIELD_ERRORS, "too_many") else 422
    people = Person.objects.filter(is_active=True) if settings.DEMO else []
    return render(
        request, "shop/sign_in.html", {"form": form, "people": people, "next": next_page(request)}, status=status
    )


def begin_session(request: HttpRequest, person: Person, opened_with: str) -> None:
    """Sign a person in with all their rights; on a shared tablet not for long."""
    start_session(request, person, opened_with)
    if tablet_login.carries_token(request):
        request.session.set_expiry(ON_A_TABLET)


def _authenticate(request: HttpRequest, form: SignInForm) -> Person | None:
    """The person with this name and password; None and an error in the form where they do not match."""
    name = form.cleaned_data["name"]
    key = sign_in_limit.name_key(name)
    if not sign_in_limit.take(request, {key: sign_in_limit.TRIES_A_NAME}, by_address=True):
        form.add_error(None, ValidationError("Too many tries. Wait 15 minutes, or ask the owner.", code="too_many"))
        return None
    person = authenticate(request, username=name, password=form.cleaned_data["password"])
    if person is None:
        _log_refused(name)
        form.add_error(None, "That name and password do not match. Type both again.")
        return None
    sign_in_limit.forget(key)
    return person


def _log_refused(name: str) -> None:
    """Without the name as it was typed: in haste a password is typed there."""
    person = Person.objects.find(name)
    log.warning("sign-in refused: %s", f"wrong password of person {person.pk}" if person else "unknown name")


@login_not_required
@require_POST
def demo_sign_in(request: HttpRequest) -> HttpResponse:
    """One tap in the demo shop, and only there."""
    if not settings.DEMO:
        return redirect("shop:sign_in")
    person = Person.objects.filter(pk=read_whole(request.POST.get("person")) or 0, is_active=True).first()
    if person is None:
        return redirect("shop:sign_in")
    start_session(request, person)
    return redirect(next_page(request))


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    sessions.end(request)
    return redirect("shop:sign_in")
