"""Registers: gauges, wheels and work holdings, each a list with a form to add or edit one."""

from collections.abc import Callable, Sequence
from typing import Any

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

from .actions import save_row
from .forms import GaugeForm, HoldingForm, RegisterForm, WheelForm
from .tables import list_columns, list_rows

REGISTERS: dict[str, tuple[type[Model], type[RegisterForm], str, str]] = {
    "gauges": (Gauge, GaugeForm, "Gauges", "gauge"),
    "wheels": (Wheel, WheelForm, "Wheels", "wheel"),
    "holdings": (WorkHolding, HoldingForm, "Work holdings", "work holding"),
}


def _register(name: str) -> Callable[..., HttpResponse]:
    """The view of one register: its list, and the form to add or edit a row."""
    model, form_class, *_ = REGISTERS[name]

    def page(request: HttpRequest, pk: int | None = None) -> HttpResponse:
        row = get_object_or_404(model, pk=pk) if pk else None
        unit = shop_settings().unit
        form = form_class(request.POST if request.method == "POST" else None, unit=unit, row=row)
        unit_choices.apply_units(form, f"register:{name}", unit)

        def show() -> HttpResponse:
            status = 422 if form.is_bound else 200
            return render(request, "bench/register.html", _context(name, form, row, unit), status=status)

        def act() -> str:
            unit_choices.save_units(form, f"register:{name}")
            save_row(by=person_of(request), model=model, row=row, values=form.columns())
            _notify(request, form, unit)
            return reverse(f"bench:{name}")

        return save(request, form, act=act, show=show)

    view: Callable[..., HttpResponse] = needs("bench")(require_http_methods(["GET", "POST"])(page))
    return view


def _context(name: str, form: RegisterForm, row: Model | None, unit: Unit) -> dict[str, Any]:
    model, _, title, one = REGISTERS[name]
    rows = list(model._default_manager.all())
    return {
        "form": form,
        "row": row,
        "rows": list_rows(name, rows, unit),
        "columns": list_columns(name),
        "title": title,
        "one": one,
        "list_address": reverse(f"bench:{name}"),
        "registers": [(label, reverse(f"bench:{key}"), key == name) for key, (_, _, label, _) in REGISTERS.items()],
        "notices": _overdue(rows),
    }


def _overdue(rows: Sequence[Model]) -> list[str]:
    """A notice for each gauge that is in use and not calibrated in time."""
    today = timezone.localdate()
    gauges = [row for row in rows if isinstance(row, Gauge) and row.in_use and row.overdue(today)]
    return [f"{gauge} is in use, {gauge.state(today)}: every reading with it says so." for gauge in gauges]


def _notify(request: HttpRequest, form: RegisterForm, unit: Unit) -> None:
    """Say in place what was saved, and what four marks show of a wheel."""
    text = f"Saved {form.cleaned_data['name']}."
    trued = form.trued() if isinstance(form, WheelForm) else None
    if trued:
        total, offset = (show_fine(to_nm(mm), unit) for mm in (trued.total_mm, trued.offset_mm))
        text += f" Trued runout {total}; its centre stands {offset} off the spindle’s axis."
    messages.success(request, text)


gauges, wheels, holdings = (_register(name) for name in REGISTERS)
