"""What waits to be ground, tray by tray, and one setup that a whole tray goes through."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.line_dimensions import tool_of
from regrind.record.models import Piece
from regrind.record.undo_bar import UndoBar, undo_bar
from regrind.shop.events import Conflict
from regrind.shop.models import Person
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..grinding.actions import grind_setup
from ..grinding.card_sections import list_cautions
from ..grinding.machine import machine_of
from ..grinding.wheel import find_speed
from ..models import Grind
from ..revisions import revisions
from .forms import TrayForm
from .order import EXACT_UP_TO
from .shown import list_rows, say_changes, tray_figures, weight_rows
from .waiting import KEY_SIGNS, Stage, find_waiting


@needs("bench")
@require_GET
def setups(request: HttpRequest) -> HttpResponse:
    """All that is to grind, grouped by what one setup can serve, in the order of the rule."""
    waiting, machine = find_waiting(), machine_of(shop_settings())
    stages = [(stage, say_changes(stage.changes), list_rows(stage.lots, machine)) for stage in waiting.stages]
    return render(
        request,
        "bench/setups.html",
        {
            "waiting": waiting,
            "stages": stages,
            "weights": weight_rows(),
            "exact": EXACT_UP_TO,
            "saved": waiting.as_received.changes - waiting.in_order.changes,
            "undo": newest_setup(person_of(request)),
        },
    )


def newest_setup(person: Person) -> UndoBar | None:
    """The newest setup that this person recorded, while it can be undone."""
    last = Grind.objects.filter(event__by=person).order_by("-pk").first()
    pieces = Piece.objects.filter(last_event=last.event_id) if last else []
    return undo_bar(person, pieces)


@needs("bench")
@require_http_methods(["GET", "POST"])
def setup(request: HttpRequest, key: str) -> HttpResponse:
    """One tray: what is set once, what changes between its lines, and the grind of all of it in one entry."""
    stage = find_waiting().find(key)
    if stage is None:
        return _gone(request, key)
    form = TrayForm(request.POST if request.method == "POST" else None, stage=stage, revisions=_revisions(stage))

    def show() -> HttpResponse:
        return _page(request, stage, form)

    def act() -> str:
        code = grind_setup(by=person_of(request), **form.values())
        messages.success(request, f"Saved the grind of {len(form.cleaned_data['pieces'])} pieces, setup {code}.")
        return reverse("bench:setups")

    return save(request, form, act=act, show=show)


def _revisions(stage: Stage) -> dict[int, int]:
    pieces = [piece for lot in stage.lots for piece in lot.pieces]
    return revisions(Grind, pieces)


def _gone(request: HttpRequest, key: str) -> HttpResponse:
    """The tray is not there any more: a second tap on a save, somebody else's save, or nothing."""
    if not key.isalnum() or len(key) != KEY_SIGNS:
        raise Http404(key)

    def show() -> HttpResponse:
        messages.info(request, "No piece waits for that setup any more.")
        return redirect("bench:setups")

    def act() -> str:
        raise Conflict("While this page was open these pieces were ground, moved on or planned anew.")

    return save(request, None, act=act, show=show)


def _material(stage: Stage) -> str:
    """The known material of all lots, '' where they differ or it is only assumed: then the cautions of each hold."""
    materials = {tool_of(lot.line, with_assumed=False).material for lot in stage.lots}
    return materials.pop() if len(materials) == 1 else ""


def _page(request: HttpRequest, stage: Stage, form: TrayForm) -> HttpResponse:
    shop, wheel = shop_settings(), stage.lots[0].usual.wheel
    rows = list_rows(stage.lots, machine_of(shop))
    return render(
        request,
        "bench/setup.html",
        {
            "stage": stage,
            "form": form,
            "rows": rows,
            "changes": say_changes(stage.changes),
            "figures": tray_figures(stage, rows[0].card),
            "speed_refused": find_speed(wheel, "wet").refused if wheel else "",
            "cautions": list_cautions([row.card for row in rows], _material(stage)),
            "unit": shop.unit,
            "open_more": bool({"roughing", "finishing", "note", "done_at"} & set(form.errors)),
        },
        status=422 if form.is_bound else 200,
    )
