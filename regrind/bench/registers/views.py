"""Registers: gauges, wheels and work holdings, each a list with a form to add or mend one."""

from collections.abc import Callable

from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from regrind.geometry.units import Unit, show_fine, to_nm
from regrind.shop.fields import unit_choices
from regrind.shop.models import Gauge, Wheel, WorkHolding
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .actions import keep_row
from .forms import GaugeForm, HoldingForm, RegisterForm, WheelForm

REGISTERS: dict[str, tuple[type[Model], type[RegisterForm], str, str]] = {
    "gauges": (Gauge, GaugeForm, "Gauges", "gauge"),
    "wheels": (Wheel, WheelForm, "Wheels", "wheel"),
    "holdings": (WorkHolding, HoldingForm, "Work holdings", "work holding"),
}


def _register(name: str) -> Callable[..., HttpResponse]:
    model, form_class, title, one = REGISTERS[name]

    def page(request: HttpRequest, pk: int | None = None) -> HttpResponse:
        row = get_object_or_404(model, pk=pk) if pk else None
        unit = shop_settings().unit
        form = form_class(request.POST if request.method == "POST" else None, unit=unit, row=row)
        unit_choices.apply_units(form, f"register:{name}", unit)

        def show() -> HttpResponse:
            today = timezone.localdate()
            rows = list(model._default_manager.all())
            fine = {item.pk: _say_fine(item, unit) for item in rows}
            overdue = [g for g in rows if isinstance(g, Gauge) and g.in_use and g.overdue(today)]
            return render(
                request,
                "bench/register.html",
                {
                    "rows": rows,
                    "form": form,
                    "row": row,
                    "title": title,
                    "one": one,
                    "overdue": overdue,
                    "fine": fine,
                    "name": name,
                    "today": today,
                    "unit": unit,
                },
                status=422 if form.is_bound else 200,
            )

        def act() -> str:
            unit_choices.save_units(form, f"register:{name}")
            keep_row(by=person_of(request), model=model, row=row, values=form.columns())
            _tell(request, form, unit)
            return reverse(f"bench:{name}")

        return save(request, form, act=act, show=show)

    view: Callable[..., HttpResponse] = needs("bench")(require_http_methods(["GET", "POST"])(page))
    return view


def _say_fine(row: Model, unit: Unit) -> dict[str, str]:
    """What is small, with a place more than readings have: a thousandth of a millimetre is not .0000 in."""
    small = {name: getattr(row, f"{name}_nm", None) for name in ("resolution", "uncertainty", "trued_runout")}
    return {name: show_fine(nm, unit) for name, nm in small.items() if nm or (nm == 0 and name == "trued_runout")}


def _tell(request: HttpRequest, form: RegisterForm, unit: Unit) -> None:
    """Say in place what was kept, and what four marks told of a wheel."""
    said = f"Kept {form.cleaned_data['name']}."
    trued = form.trued() if isinstance(form, WheelForm) else None
    if trued:
        total, offset = (show_fine(to_nm(mm), unit) for mm in (trued.total_mm, trued.offset_mm))
        said += f" Trued runout {total}; its centre stands {offset} off the spindle’s axis."
    messages.success(request, said)


gauges, wheels, holdings = (_register(name) for name in REGISTERS)
