"""The owner's page of the program's own settings."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind import settings_file

from ..people.access import needs
from ..posts.idempotency import person_of
from ..posts.saving import save
from . import program
from .program_forms import ProgramForm


@needs("owner")
@require_http_methods(["GET", "POST"])
def program_page(request: HttpRequest) -> HttpResponse:
    text, values, problem = program.present()
    initial = {key: settings_file.as_text(values.get(key, "")) for key in program.ON_THE_PAGE}
    form = ProgramForm(request.POST or None, initial=initial | {"version": program.version_of(text)})

    def show() -> HttpResponse:
        context = {
            "form": form,
            "problem": problem,
            "needs_restart": not problem and program.needs_restart(),
            "from_environment": program.from_environment(),
            "places": program.places(),
        }
        return render(request, "shop/program.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        program.save_program_settings(
            by=person_of(request), version=form.cleaned_data["version"], changes=form.changes()
        )
        messages.success(request, "Saved. Start the program again so that it counts.")
        return reverse("shop:program")

    return save(request, form, act=act, show=show)
