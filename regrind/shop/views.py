"""Signing in and out, and the echo of a length as it is typed."""
from django.conf import settings
from django.contrib.auth import authenticate, logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.geometry.units import NeedsUnit, NotALength, echo, parse, unit_named

from . import drafts, hand, sign_in_limit
from .access import needs
from .forms import SignInForm
from .held import begin
from .models import Person
from .once import person_of
from .where import back
from .whole import read_whole

ON_A_TABLET = 30 * 60      # seconds that a password's rights last on a tablet that many hands hold


@login_not_required
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.method == "GET" and request.GET.get("by") != "password" and hand.tablet_of(request):
        return redirect(f"{reverse('shop:who')}?{urlencode({'next': back(request)})}")
    form = SignInForm(request.POST or None)
    status = 200
    if request.method == "POST" and form.is_valid():
        person = _known(request, form)
        if person:
            begin(request, person)
            if hand.carries_token(request):
                request.session.set_expiry(ON_A_TABLET)
            return redirect(back(request))
        status = 422 if not sign_in_limit.closed(request, form.cleaned_data["name"]) else 429
    people = Person.objects.filter(is_active=True) if settings.DEMO else []
    return render(request, "shop/sign_in.html", {"form": form, "people": people, "next": back(request)},
                  status=status)


def _known(request: HttpRequest, form: SignInForm) -> Person | None:
    """The person whose name and password these are; else the form says what is wrong."""
    name = form.cleaned_data["name"]
    if sign_in_limit.closed(request, name):
        form.add_error(None, "Too many tries. Wait a quarter of an hour, or ask the owner.")
        return None
    person = authenticate(request, username=name, password=form.cleaned_data["password"])
    if person is None:
        sign_in_limit.note(request, name)
        form.add_error(None, "Name and password do not belong together.")
        return None
    sign_in_limit.forget(name)
    return person


@login_not_required
@require_POST
def demo_sign_in(request: HttpRequest) -> HttpResponse:
    """One tap in the demo shop, and only there."""
    if not settings.DEMO:
        return redirect("shop:sign_in")
    person = Person.objects.filter(pk=read_whole(request.POST.get("person")) or 0, is_active=True).first()
    if person is None:
        return redirect("shop:sign_in")
    begin(request, person)
    return redirect(back(request))


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("shop:sign_in")


@needs("front_desk", "bench", "owner")
@require_http_methods(["GET", "POST"])
def draft(request: HttpRequest) -> HttpResponse:
    """Keep, give back or drop what this person has typed into a page and not saved."""
    person, told = person_of(request), request.POST if request.method == "POST" else request.GET
    form = told.get("form", "")
    if request.method == "GET":
        return JsonResponse({"content": drafts.find(person=person, form=form)})
    if "content" not in told:
        drafts.drop(person=person, form=form)
        return HttpResponse(status=204)
    sequence = read_whole(told.get("sequence"))
    good = sequence is not None and drafts.keep(
        person=person, form=form, sequence=sequence, content=told["content"], once=told.get("key", ""))
    return HttpResponse(status=204 if good else 422)


@require_GET
def echo_length(request: HttpRequest) -> HttpResponse:
    """What a length was understood as, for the words beside the field; half a number shows nothing."""
    text = request.GET.get("text", "")[:64]
    unit = unit_named(request.GET.get("unit"), "in")
    try:
        said, choices = (echo(parse(text, unit=unit)) if text.strip() else ""), []
    except NeedsUnit as ask:
        said, choices = "", ask.choices
    except NotALength:
        said, choices = "", []
    return render(request, "shop/_echo.html", {"said": said, "choices": choices})
