"""What was ground on a line, one setup at a time."""

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from regrind.record.find import line_or_404, pieces_of
from regrind.record.models import Line, Piece
from regrind.record.undo_bar import undo_bar
from regrind.shop.fields import unit_choices
from regrind.shop.models import Wheel
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..models import FinalCheck, Grind, Plan
from ..revisions import newest, revisions
from . import actions
from .forms import GrindForm
from .prefill import Aim, aim, differ, last_used

FOLDED = {"order", "order_sure", "roughing", "finishing", "note", "done_at", "gashed"}


@needs("bench")
@require_http_methods(["GET", "POST"])
def grind(request: HttpRequest, number: str) -> HttpResponse:
    """What was ground on a line's pieces: the plan's figures and the last wheel are filled in."""
    line = line_or_404(number)
    pieces = _ready_to_grind(line)
    aims = aim(pieces, newest(Plan, pieces))
    form = _form(request, line, pieces, aims)

    def show() -> HttpResponse:
        return _page(request, line, form, aims)

    def act() -> str:
        unit_choices.save_units(form, f"line:{line.pk}")
        values = form.values()
        actions.grind(by=person_of(request), pieces=form.chosen(), expected=form.revisions(), **values)
        _tell(request, values)
        return reverse("bench:grind" if values["follows"] else "bench:check", args=[str(line)])

    return save(request, form, act=act, show=show)


def _ready_to_grind(line: Line) -> list[Piece]:
    return [piece for piece in pieces_of(line) if piece.status == "ready_to_grind"]


def _form(request: HttpRequest, line: Line, pieces: Sequence[Piece], aims: Sequence[Aim]) -> GrindForm:
    form = GrindForm(
        request.POST if request.method == "POST" else None,
        line=line,
        pieces=pieces,
        expected=revisions(Grind, pieces),
        aims=aims,
        initial=last_used(line, person_of(request)),
        ticked=request.GET.getlist("piece"),
    )
    unit_choices.apply_units(form, f"line:{line.pk}", line.batch.customer.unit)
    return form


def _tell(request: HttpRequest, values: dict[str, Any]) -> None:
    wheel = values["wheel"]
    if wheel and not wheel.marked_maximum_rpm:
        messages.warning(request, f"{wheel} has no marked maximum on record: read it on the wheel first.")
    if values["follows"]:
        messages.success(request, "Kept. The pieces stay to grind: the rest follows in another setup.")


def _page(request: HttpRequest, line: Line, form: GrindForm, aims: Sequence[Aim]) -> HttpResponse:
    pieces = [item.piece for item in aims]
    back = {pk: row for pk, row in newest(FinalCheck, pieces).items() if not row.passed}
    return render(
        request,
        "bench/grind.html",
        {
            "line": line,
            "form": form,
            "unit": line.batch.customer.unit,
            "groups": alike(aims),
            "aims": aims,
            "sent_back": [(item.piece, back[item.piece.pk]) for item in aims if item.piece.pk in back],
            "infeeds_differ": differ(item.infeed_nm for item in aims),
            "ends_differ": differ(item.end_nm for item in aims),
            "unmarked": Wheel.objects.filter(in_use=True, marked_maximum_rpm=None),
            "undo": None if form.is_bound else undo_bar(person_of(request), pieces),
            "kind": line.family.kind_data,
            "open_more": bool(set(form.errors) & FOLDED),
        },
        status=422 if form.is_bound else 200,
    )


def alike(aims: Sequence[Aim]) -> list[tuple[Aim, list[Piece]]]:
    """Pieces that are ground to the same figures, together: the first's aim and the pieces."""
    groups: dict[tuple[object, ...], tuple[Aim, list[Piece]]] = {}
    for item in aims:
        plan = item.plan
        key = (plan and plan.diameter_nm, item.infeed_nm, item.end_nm, item.parts, item.done)
        groups.setdefault(key, (item, []))[1].append(item.piece)
    return list(groups.values())
