"""The owner's pages: the shop's settings and its people."""
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from . import actions
from .access import needs
from .letterhead import letterhead
from .models import Person
from .once import carry_out, person_of
from .owner_forms import LetterheadForm, NewPersonForm, PersonForm, letterhead_initial


@needs("owner")
@require_http_methods(["GET", "POST"])
def settings_page(request: HttpRequest) -> HttpResponse:
    row = letterhead()
    form = LetterheadForm(request.POST or None, request.FILES or None, initial=letterhead_initial(row), unit=row.unit)
    if request.method == "POST" and form.is_valid():
        def act() -> str:
            actions.keep_letterhead(by=person_of(request), **form.changes())
            return reverse("shop:settings")
        return carry_out(request, act)
    return render(request, "shop/settings.html", {"form": form}, status=422 if form.is_bound else 200)


@needs("owner")
@require_http_methods(["GET", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    form = NewPersonForm(request.POST or None)

    def page(refusal: str = "") -> HttpResponse:
        if refusal:
            form.add_error(None, refusal)
        return render(request, "shop/people.html", {"form": form, "people": Person.objects.all()},
                      status=422 if form.is_bound else 200)

    if request.method == "POST" and form.is_valid():
        roles = {name: form.cleaned_data[name] for name in ("front_desk", "bench", "owner")}

        def act() -> str:
            actions.add_person(by=person_of(request), name=form.cleaned_data["name"],
                               password=form.cleaned_data["password"], **roles)
            return reverse("shop:people")
        return carry_out(request, act, refused=page)
    return page()


@needs("owner")
@require_http_methods(["GET", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    who = get_object_or_404(Person, pk=pk)
    initial = {name: getattr(who, name) for name in ("front_desk", "bench", "owner", "is_active", "left_handed")}
    form = PersonForm(request.POST or None, initial=initial)

    def page(refusal: str = "") -> HttpResponse:
        if refusal:
            form.add_error(None, refusal)
        return render(request, "shop/person.html", {"form": form, "who": who}, status=422 if form.is_bound else 200)

    if request.method == "POST" and form.is_valid():
        def act() -> str:
            actions.change_person(by=person_of(request), person=who, **form.cleaned_data)
            return reverse("shop:people")
        return carry_out(request, act, refused=page)
    return page()
