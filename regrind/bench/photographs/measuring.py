"""A length measured on a photo by four taps: two on something of known size, two on the damage."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.geometry.units import Unit, show_with_unit
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..models import Inspection, Photo
from ..revisions import newest_with_readings
from . import actions
from .measure_form import POINTS, MeasureForm
from .shown import shown


@needs("bench", "front_desk")
@require_http_methods(["GET", "POST"])
def measure(request: HttpRequest, pk: int) -> HttpResponse:
    """The photo to tap on, and what the taps come to; stored only when that is asked for."""
    photo = get_object_or_404(shown(), pk=pk)
    unit = photo.line.batch.customer.unit
    form = MeasureForm(request.POST if request.method == "POST" else None, unit=unit, known=_diameter(photo, unit))

    def show() -> HttpResponse:
        works = form.is_bound and form.is_valid()
        context = {
            "photo": photo,
            "line": photo.line,
            "form": form,
            "points": [(name, form[f"{name}_x"], form[f"{name}_y"], words) for name, words in POINTS],
            "result": form.words() if works else "",
        }
        return render(request, "bench/measure_photo.html", context, status=422 if form.errors else 200)

    def act() -> str:
        values: dict[str, Any] = {
            "quantity": form.cleaned_data["quantity"],
            "measured": form.measured(),
            "words": form.words(),
        }
        actions.add_measured(by=person_of(request), photo=photo, **values)
        return reverse("bench:photos", args=[str(photo.line)])

    if request.POST.get("do") != "save":
        return show()
    return save(request, form, act=act, show=show)


def _diameter(photo: Photo, unit: Unit) -> str:
    """The piece's own diameter, which may give the scale; nothing where it was not read."""
    row = newest_with_readings(Inspection, [photo.piece]).get(photo.piece.pk) if photo.piece else None
    return show_with_unit(row.diameter_nm, unit) if row and row.diameter_nm else ""
