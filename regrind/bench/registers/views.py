"""Registers: gauges, wheels and work holdings, each a list with a form to add or mend one."""
from collections.abc import Callable

from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from regrind.shop.access import needs
from regrind.shop.letterhead import letterhead
from regrind.shop.models import Gauge, Holding, Wheel
from regrind.shop.once import carry_out, person_of

from .actions import keep_row
from .forms import GaugeForm, HoldingForm, RegisterForm, WheelForm

REGISTERS: dict[str, tuple[type[Model], type[RegisterForm], str, str]] = {
    "gauges": (Gauge, GaugeForm, "Gauges", "gauge"),
    "wheels": (Wheel, WheelForm, "Wheels", "wheel"),
    "holdings": (Holding, HoldingForm, "Work holdings", "work holding"),
}


def _register(name: str) -> Callable[..., HttpResponse]:
    model, form_class, title, one = REGISTERS[name]

    def page(request: HttpRequest, pk: int | None = None) -> HttpResponse:
        row = get_object_or_404(model, pk=pk) if pk else None
        unit = letterhead().unit
        form = form_class(request.POST or None, unit=unit, row=row)

        def show(refusal: str = "") -> HttpResponse:
            if refusal:
                form.add_error("name", refusal)
            return render(request, "bench/register.html", {
                "rows": model._default_manager.all(), "form": form, "row": row, "title": title, "one": one,
                "name": name, "today": timezone.localdate(), "unit": unit, "links": REGISTERS},
                status=422 if form.is_bound else 200)

        if request.method == "POST" and form.is_valid():
            def act() -> str:
                keep_row(by=person_of(request), model=model, row=row, values=form.columns())
                return reverse(f"bench:{name}")
            return carry_out(request, act, refused=show)
        return show()
    return needs("bench")(require_http_methods(["GET", "POST"])(page))


gauges, wheels, holdings = (_register(name) for name in REGISTERS)
