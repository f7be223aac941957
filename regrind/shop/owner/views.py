"""The owner's pages: the shop's settings and its people."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from ..models import Person
from ..people.access import needs
from ..posts.idempotency import person_of
from ..posts.saving import save
from . import actions
from .forms import NewPersonForm, PersonForm, ShopSettingsForm, initial_values
from .settings import shop_settings


@needs("owner")
@require_http_methods(["GET", "POST"])
def settings_page(request: HttpRequest) -> HttpResponse:
    row = shop_settings()
    form = ShopSettingsForm(request.POST or None, request.FILES or None, initial=initial_values(row), unit=row.unit)

    def show() -> HttpResponse:
        return render(request, "shop/settings.html", {"form": form}, status=422 if form.is_bound else 200)

    def act() -> str:
        actions.save_shop_settings(by=person_of(request), **form.changes())
        return reverse("shop:settings")

    return save(request, form, act=act, show=show)


@needs("owner")
@require_http_methods(["GET", "POST"])
def people(request: HttpRequest) -> HttpResponse:
    form = NewPersonForm(request.POST or None)

    def show() -> HttpResponse:
        return render(
            request,
            "shop/people.html",
            {"form": form, "people": Person.objects.all()},
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        actions.add_person(by=person_of(request), **form.cleaned_data)
        return reverse("shop:people")

    return save(request, form, act=act, show=show)


@needs("owner")
@require_http_methods(["GET", "POST"])
def person(request: HttpRequest, pk: int) -> HttpResponse:
    edited = get_object_or_404(Person, pk=pk)
    initial = {name: getattr(edited, name) for name in ("front_desk", "bench", "owner", "is_active", "left_handed")}
    form = PersonForm(request.POST or None, initial=initial)
    is_own = edited == request.user
    if is_own:
        del form.fields["password"]

    def show() -> HttpResponse:
        return render(
            request,
            "shop/person.html",
            {"form": form, "person": edited, "is_own": is_own},
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        actions.change_person(by=person_of(request), person=edited, **form.cleaned_data)
        return reverse("shop:people")

    return save(request, form, act=act, show=show)
