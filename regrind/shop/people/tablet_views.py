"""The enrolled tablet: who is at it, handing over, and the owner's list of tablets."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from ..fields.whole_numbers import read_whole
from ..models import Person
from ..posts.idempotency import person_of
from ..posts.saving import save
from ..web.request_values import next_page
from . import sessions, tablet_actions, tablet_login
from .access import may_open, needs, restrict_to_bench
from .tablet import Tablet
from .tablet_forms import BadgeForm, PinSignInForm, TabletForm


@login_not_required
@never_cache
@require_http_methods(["GET", "POST"])
def who(request: HttpRequest) -> HttpResponse:
    """Tiles of people; a tap opens the keypad, a badge opens the bench. Not on an enrolled tablet: the password."""
    tablet, page = tablet_login.tablet_of(request), next_page(request)
    if tablet is None:
        return redirect(f"{reverse('shop:sign_in')}?{urlencode({'next': page, 'by': 'password'})}")
    sent = request.POST if request.method == "POST" else request.GET
    people = tablet_login.bench_people()
    person = next((one for one in people if one.pk == read_whole(sent.get("person"))), None)
    form: PinSignInForm | BadgeForm = (PinSignInForm if person else BadgeForm)(request.POST if request.POST else None)
    if form.is_bound and form.is_valid():
        typed = _typed(person, form)
        signed_in, message = _find(request, tablet, person, typed)
        if signed_in:
            tablet_login.open_bench(request, tablet, signed_in, by_badge=_is_badge(person, typed))
            restrict_to_bench(signed_in)
            return redirect(page if may_open(signed_in, page) else settings.LOGIN_REDIRECT_URL)
        form.add_error(None, message)
    status = 200 if not form.is_bound else 429 if "Too many" in str(form.errors) else 422
    return render(
        request,
        "shop/who.html",
        {
            "form": form,
            "people": people,
            "person": person,
            "tablet": tablet,
            "next": page,
            "page_title": person or "Who is at the bench?",
        },
        status=status,
    )


def _typed(person: Person | None, form: PinSignInForm | BadgeForm) -> str:
    typed: str = form.cleaned_data["pin" if person else "badge"]
    return typed


def _is_badge(person: Person | None, typed: str) -> bool:
    """A badge is recognised by its first characters, in either field."""
    return person is None or typed.upper().startswith(tablet_login.BADGE_START)


def _find(request: HttpRequest, tablet: Tablet, person: Person | None, typed: str) -> tuple[Person | None, str]:
    if person is None or _is_badge(person, typed):
        return tablet_login.find_by_badge(request, tablet, typed)
    return tablet_login.find_by_pin(request, tablet, person, typed)


@needs("front_desk", "bench", "owner")
@require_POST
def hand_over(request: HttpRequest) -> HttpResponse:
    """The next person signs in; the page stays the same."""
    page = next_page(request)
    sessions.end(request)
    return redirect(f"{reverse('shop:who')}?{urlencode({'next': page})}")


@needs("owner")
@require_http_methods(["GET", "POST"])
def tablets(request: HttpRequest) -> HttpResponse:
    """The enrolled tablets; this one can be enrolled."""
    form = TabletForm(request.POST or None)
    tokens: list[str] = []

    def show() -> HttpResponse:
        return render(
            request,
            "shop/tablets.html",
            {
                "form": form,
                "tablets": Tablet.objects.select_related("enrolled_by"),
                "this_tablet": tablet_login.tablet_of(request),
            },
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        tokens.append(tablet_actions.enrol(by=person_of(request), name=form.cleaned_data["name"]))
        messages.success(request, "This tablet is enrolled. Tap Hand over; then people sign in by PIN or badge.")
        return reverse("shop:tablets")

    answer = save(request, form, act=act, show=show)
    for token in tokens:
        tablet_login.give_token(answer, token)
    return answer


@needs("owner")
@require_POST
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    tablet = get_object_or_404(Tablet, pk=pk)

    def act() -> str:
        tablet_actions.revoke(by=person_of(request), tablet=tablet)
        messages.success(request, f"{tablet} is revoked. No PIN opens anything on it.")
        return reverse("shop:tablets")

    return save(request, None, act=act, page=reverse("shop:tablets"))
