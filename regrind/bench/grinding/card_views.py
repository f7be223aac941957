"""The setup card's page."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from regrind.geometry.units import show_with_unit
from regrind.record.find import line_or_404, pieces_of
from regrind.record.models import Line, Piece
from regrind.shop.fields.forms import InUse, LengthText, ShopForm
from regrind.shop.models import WorkHolding
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of

from ..models import Plan
from ..revisions import newest
from .card import set_up, what_changes
from .forms import WheelChoice
from .prefill import Aim, aim, last_used, suits
from .views import alike
from .wheel import find_speed


class SetupForm(ShopForm):
    wheel = WheelChoice()
    holding = InUse(WorkHolding, label="Work holding")
    distance = LengthText(label="Stylus from the wheel's contact, along the axis", most_nm=50_000_000, required=False)
    mode = forms.ChoiceField(label="Ground", choices=[("wet", "wet"), ("dry", "dry")], required=False, initial="wet")


@needs("bench")
@require_GET
def setup_card(request: HttpRequest, number: str) -> HttpResponse:
    """What is set once for the pieces of a line that are to grind: asked for by wheel, holding and stylus distance."""
    line = line_or_404(number)
    pieces = [p for p in pieces_of(line) if p.status == "ready_to_grind"]
    first = _first_values(request, line)
    form = SetupForm(request.GET if "distance" in request.GET else None, initial=first)
    form.each_length(lambda _, field: _read_in(field, line.batch.customer.unit))
    return render(
        request, "bench/setup_card.html", _worked_out(line, form, first, alike(aim(pieces, newest(Plan, pieces))))
    )


def _read_in(field: LengthText, unit: Any) -> None:
    field.unit = unit
    field.widget.attrs["data-unit"] = unit


def _first_values(request: HttpRequest, line: Line) -> dict[str, Any]:
    distance = show_with_unit(shop_settings().stylus_distance_nm, line.batch.customer.unit)
    return {"distance": distance, "mode": "wet"} | last_used(line, person_of(request))


def _worked_out(
    line: Line, form: SetupForm, first: dict[str, Any], groups: Sequence[tuple[Aim, list[Piece]]]
) -> dict[str, Any]:
    given = form.cleaned_data if form.is_bound and form.is_valid() else {}
    wheels = form.fields["wheel"].queryset  # type: ignore[attr-defined]  # a WheelChoice, to the stubs any field
    wheel = given["wheel"] if given else wheels.filter(pk=first.get("wheel") or 0).first()
    holding = given["holding"] if given else WorkHolding.objects.filter(pk=first.get("holding") or 0).first()
    distance = given["distance"].nm if given.get("distance") else shop_settings().stylus_distance_nm
    unit = line.batch.customer.unit
    cards = [(set_up(found, wheel, distance / 1e6, unit), pieces) for found, pieces in groups]
    return {
        "line": line,
        "form": form,
        "unit": unit,
        "cards": cards,
        "wheel": wheel,
        "holding": holding,
        "distance_nm": distance,
        "speed": find_speed(wheel, given.get("mode") or "wet"),
        "mode": given.get("mode") or "wet",
        "suits": wheel is None or suits(line.family.material, wheel),
        "changes": what_changes([card for card, _ in cards]),
        "today": timezone.localdate(),
        "kind": line.family.kind_data,
    }
