"""A person's PIN and badge, set by themselves or by the owner."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from regrind.paper.qr import modules

from ..models import Person
from ..posts.idempotency import person_of
from ..posts.saving import save
from . import tablet_actions
from .access import PasswordNeeded, needs
from .badge_drawing import path_of
from .tablet_forms import PinForm

SHOWN_ONCE = "badge_once"


@needs("front_desk", "bench", "owner")
@require_http_methods(["GET", "POST"])
def my_pin(request: HttpRequest) -> HttpResponse:
    """One's own PIN: by password only, so that a tablet left open changes nobody's PIN."""
    if person_of(request).by_pin:
        raise PasswordNeeded
    return _pin(request, person_of(request), reverse("shop:my_pin"))


@needs("owner")
@require_http_methods(["GET", "POST"])
def pin(request: HttpRequest, pk: int) -> HttpResponse:
    return _pin(request, get_object_or_404(Person, pk=pk), reverse("shop:pin", args=[pk]))


def _pin(request: HttpRequest, person: Person, address: str) -> HttpResponse:
    remove = request.method == "POST" and request.POST.get("do") == "remove"
    form = PinForm(request.POST if request.method == "POST" and not remove else None)
    is_own = person.pk == person_of(request).pk

    def show() -> HttpResponse:
        return render(
            request,
            "shop/pin.html",
            {
                "form": form,
                "person": person,
                "is_own": is_own,
                "page_title": "Your PIN" if is_own else f"PIN of {person}",
                "person_address": reverse("shop:person", args=[person.pk]),
            },
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        tablet_actions.set_pin(by=person_of(request), person=person, pin="" if remove else form.cleaned_data["pin"])
        messages.success(
            request, f"The PIN of {person} is removed." if remove else f"The new PIN of {person} is saved."
        )
        return address

    return save(request, None if remove else form, act=act, show=show)


@needs("owner")
@never_cache
@require_http_methods(["GET", "POST"])
def badge(request: HttpRequest, pk: int) -> HttpResponse:
    """A new badge for a person: its code is shown once, to be printed."""
    person = get_object_or_404(Person, pk=pk)

    def show() -> HttpResponse:
        shown, code = request.session.pop(SHOWN_ONCE, [0, ""])
        code = code if shown == person.pk else ""
        context = {
            "person": person,
            "code": code,
            "page_title": f"Badge of {person}",
            "person_address": reverse("shop:person", args=[pk]),
        }
        return render(request, "shop/badge.html", context | (path_of(modules(code)) if code else {}))

    def act() -> str:
        if request.POST.get("do") == "remove":
            tablet_actions.drop_badge(by=person_of(request), person=person)
        else:
            request.session[SHOWN_ONCE] = [person.pk, tablet_actions.make_badge(by=person_of(request), person=person)]
        return reverse("shop:badge", args=[pk])

    return save(request, None, act=act, show=show)
