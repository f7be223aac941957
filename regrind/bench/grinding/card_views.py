"""The setup card's page."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from regrind.geometry.units import show_with_unit
from regrind.paper import cautions
from regrind.record.find import line_or_404, pieces_of
from regrind.record.line_dimensions import tool_of
from regrind.record.models import Line, Piece
from regrind.shop.fields.forms import InUse, LengthText, ShopForm
from regrind.shop.models import Wheel, WorkHolding
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs

from ..models import Plan
from ..revisions import newest
from .card import Card, set_up, what_changes
from .card_drawing import draw_part
from .card_section import Figure, Section
from .card_sections import list_sections
from .machine import Machine, machine_of
from .prefill import Aim, aim, ask_about_wheel, last_used
from .views import alike
from .wheel_choice import WheelChoice
from .wheel_section import NEVER_A_PERMISSION, describe_wheel
from .wish import say_card_warning


class SetupForm(ShopForm):
    wheel = WheelChoice()
    holding = InUse(WorkHolding, label="Work holding")
    distance = LengthText(label="Stylus from the wheel’s contact, along the axis", most_nm=50_000_000, required=False)
    mode = forms.ChoiceField(label="Ground", choices=[("wet", "wet"), ("dry", "dry")], required=False, initial="wet")


@dataclass(frozen=True)
class Settings:
    """What the card is asked for: the wheel, the work holding, where the stylus stands, wet or dry."""

    wheel: Wheel | None
    holding: WorkHolding | None
    machine: Machine
    mode: str


@dataclass(frozen=True)
class PageSection:
    """A section as the page shows it: its known figures, those that are read first apart, and its drawing or ''."""

    section: Section
    first: list[Figure]
    others: list[Figure]
    drawing: str = ""


@dataclass(frozen=True)
class PageCard:
    """A card as the page shows it: the pieces it is for and its sections."""

    card: Card
    pieces: list[Piece]
    sections: list[PageSection]
    wish: str = ""


@needs("bench")
@require_GET
def setup_card(request: HttpRequest, number: str) -> HttpResponse:
    """What is set once for the pieces of a line that are ready to grind, for a wheel, a holding and a distance."""
    line = line_or_404(number)
    pieces = [piece for piece in pieces_of(line) if piece.status == "ready_to_grind"]
    aims = aim(pieces, newest(Plan, pieces))
    initial = _initial(line, aims)
    form = SetupForm(request.GET if "distance" in request.GET else None, initial=initial)
    form.fields["wheel"].material = tool_of(line).material  # type: ignore[attr-defined]  # a WheelChoice
    form.each_length(lambda _, field: field.set_unit(line.batch.customer.unit))
    return render(request, "bench/setup_card.html", _context(line, form, _settings(form, initial), alike(aims)))


def _initial(line: Line, aims: Sequence[Aim]) -> dict[str, Any]:
    distance = show_with_unit(shop_settings().stylus_distance_nm, line.batch.customer.unit)
    return {"distance": distance, "mode": "wet"} | last_used(line, aims)


def _settings(form: SetupForm, initial: dict[str, Any]) -> Settings:
    """As they were asked for, else as they were last used for these tools."""
    shop = shop_settings()
    if form.is_bound and form.is_valid():
        data = form.cleaned_data
        distance = data["distance"].nm if data["distance"] else None
        return Settings(data["wheel"], data["holding"], machine_of(shop, distance), data["mode"] or "wet")
    wheels = form.fields["wheel"].queryset  # type: ignore[attr-defined]  # a WheelChoice, to the stubs any field
    wheel = wheels.filter(pk=initial.get("wheel") or 0).first()
    holding = WorkHolding.objects.filter(pk=initial.get("holding") or 0).first()
    return Settings(wheel, holding, machine_of(shop), "wet")


def _context(
    line: Line, form: SetupForm, settings: Settings, lots: Sequence[tuple[Aim, list[Piece]]]
) -> dict[str, Any]:
    unit, material = line.batch.customer.unit, tool_of(line, with_assumed=False).material
    cards = [(set_up(one, settings.wheel, settings.machine, unit), pieces) for one, pieces in lots]
    return {
        "line": line,
        "form": form,
        "unit": unit,
        "cards": [_page_card(card, pieces, place) for place, (card, pieces) in enumerate(cards)],
        "settings": settings,
        "wheel": describe_wheel(settings.wheel, settings.mode, unit),
        "wrong_wheel": ask_about_wheel(line, settings.wheel),
        "never_a_permission": NEVER_A_PERMISSION,
        "changes": ", ".join(what_changes([card for card, _ in cards])),
        "cautions": cautions.gather(cautions.by_material(material), cautions.GENERAL),
        "kind": line.family.kind_data,
    }


def _page_card(card: Card, pieces: list[Piece], place: int) -> PageCard:
    """A card with its sections; place: of the card on the page, from 0."""
    sections = [_page_section(section, draw_part(card, section.name, place)) for section in list_sections(card)]
    return PageCard(card, pieces, sections, say_card_warning(card))


def _page_section(section: Section, drawing: str) -> PageSection:
    """The figures that are read first stand apart from the others; what is not known is left out."""
    known = [figure for figure in section.figures if figure.known]
    return PageSection(section, [f for f in known if f.first], [f for f in known if not f.first], drawing)
