"""The code after the password, and setting up the phone that makes it."""

import segno
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from ..events import Refusal
from ..models import Person
from ..owner.settings import shop_settings
from ..posts.idempotency import person_of
from ..posts.saving import save
from ..web.request_values import next_page
from . import second_factor, sessions, totp
from .access import PasswordNeeded, needs
from .account_views import refuse_password
from .badge_drawing import path_of
from .second_factor_forms import CodeForm, PresentPassword, SetUpForm
from .sign_in_views import begin_session


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def code(request: HttpRequest) -> HttpResponse:
    """After the right password: the code, which signs the person in."""
    person, page = second_factor.waiting_person(request), next_page(request)
    if person is None:
        return redirect("shop:sign_in")
    form = CodeForm(request.POST or None)
    if form.is_bound and form.is_valid():
        message = second_factor.check(request, person, form.cleaned_data["code"])
        if not message:
            begin_session(request, person, "password and code")
            return redirect(page)
        form.add_error("code", message)
    status = 200 if not form.is_bound else 429 if "Too many" in str(form.errors) else 422
    return render(request, "shop/code.html", {"form": form, "next": page}, status=status)


@needs("front_desk", "bench", "owner")
@never_cache
@require_http_methods(["GET", "POST"])
def second_factor_page(request: HttpRequest) -> HttpResponse:
    """One's own second factor: a new key, which counts once the phone has shown its first code; or none any more."""
    person = person_of(request)
    if person.by_pin:
        raise PasswordNeeded
    remove = (request.POST or request.GET).get("do") == "remove"
    seed = request.session.setdefault(second_factor.NEW, second_factor.new_seed())
    kind = PresentPassword if remove else SetUpForm
    form = kind(request.POST or None, objection=lambda typed: refuse_password(request, person, typed))

    def show() -> HttpResponse:
        context = {"form": form, "remove": remove, "person": person, "needed": settings.SECOND_FACTOR}
        context |= {} if remove else _drawn(seed, person)
        return render(request, "shop/second_factor.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        if remove:
            return _remove_own(request, person)
        step = totp.matching_step(second_factor.key_of(seed), form.cleaned_data["code"], 0)
        if step is None:
            raise Refusal(
                "That is not the present code of this key. Scan it again, and check that the phone’s clock is right."
            )
        second_factor.set_up(by=person, seed=seed, step=step)
        del request.session[second_factor.NEW]
        sessions.end_all_others(request, person)
        messages.success(request, "From now on your sign-in needs a code from this phone.")
        return reverse("shop:account")

    return save(request, form, act=act, show=show)


def _drawn(seed: str, person: Person) -> dict[str, object]:
    key = second_factor.key_of(seed)
    address = totp.address_of(key, shop_settings().name, person.name)
    rows = [tuple(row) for row in segno.make(address, error="m", micro=False).matrix]
    text = totp.text_of(key)
    return {"key_text": " ".join(text[n : n + 4] for n in range(0, len(text), 4))} | path_of(rows)


def _remove_own(request: HttpRequest, person: Person) -> str:
    if settings.SECOND_FACTOR and (person.owner or person.front_desk):
        raise Refusal("This shop needs a second factor for your roles. Set up another phone instead.")
    second_factor.remove(by=person, person=person)
    messages.success(request, "Your sign-in needs no code any more.")
    return reverse("shop:account")


@needs("owner")
@require_POST
def remove_second_factor(request: HttpRequest, pk: int) -> HttpResponse:
    """The owner takes away the second factor of somebody who has lost the phone."""
    person = get_object_or_404(Person, pk=pk)

    def act() -> str:
        if person == request.user:
            raise Refusal("Remove your own phone under your name at the top: that asks for your password.")
        second_factor.remove(by=person_of(request), person=person)
        messages.success(request, f"{person} signs in without a code until a phone is set up again.")
        return reverse("shop:person", args=[pk])

    return save(request, None, act=act, page=reverse("shop:person", args=[pk]))
