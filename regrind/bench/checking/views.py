"""The final check of a line's ground pieces, what it found, and the relief as it is typed."""

import json
from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.find import line_or_404, pieces_of, recent_lines
from regrind.record.models import Line, Piece
from regrind.record.undo_bar import undo_bar
from regrind.shop.fields import unit_choices
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .. import piece_strip
from ..calibration import overdue_gauges
from ..models import FinalCheck, Plan, Reading
from ..readings import last_gauges
from ..revisions import newest, newest_with_readings, revisions, summarize_grinds
from . import actions, corner_and_coating
from .forms import CheckForm, as_text, ordinal
from .shown import Shown, in_runs


@needs("bench")
@require_http_methods(["GET", "POST"])
def check(request: HttpRequest, number: str) -> HttpResponse:
    """The final check of a line's ground pieces: the first in full, the diameter of every nth."""
    line = line_or_404(number)
    everyone = list(pieces_of(line))
    ground = [p for p in everyone if p.status == "ground"]
    alone = piece_strip.selected_piece(request, ground)
    pieces = [alone] if alone else ground
    plans = newest(Plan, pieces)
    form = _form(request, line, pieces, plans)
    piece_strip.autofocus(request, form, "diameter")
    strip = piece_strip.build_strip(line, everyone, ground, alone, "bench:check", "ground")

    def show() -> HttpResponse:
        return _page(request, line, form, pieces, plans, {"alone": alone, "strip": strip})

    def act() -> str:
        unit_choices.save_units(form, f"line:{line.pk}")
        values = form.values()
        actions.check(by=person_of(request), pieces=form.chosen(), expected=form.revisions(), **values)
        _tell_overdue(request, values)
        onward = piece_strip.next_url(line, alone, everyone, "bench:check", "ground") if alone else None
        return onward or reverse("bench:plan" if values["again"] else "bench:checked", args=[str(line)])

    return save(request, form, act=act, show=show)


def _form(request: HttpRequest, line: Line, pieces: Sequence[Piece], plans: dict[int, Plan]) -> CheckForm:
    ground = summarize_grinds(pieces)
    form = CheckForm(
        request.POST if request.method == "POST" else None,
        line=line,
        pieces=pieces,
        expected=revisions(FinalCheck, pieces),
        ground=ground.parts,
        recoated=corner_and_coating.recoated(pieces, ground.newest),
        initial={} if request.method == "POST" else _as_last_time(line),
        ticked=request.GET.getlist("piece"),
        usable_nm=next((plans[p.pk].usable_nm for p in pieces if p.pk in plans), None),
    )
    unit_choices.apply_units(form, f"line:{line.pk}", line.batch.customer.unit)
    return form


def _as_last_time(line: Line) -> dict[str, Any]:
    """Gauges last named for this line, else for this family; the distance and way of the family's last drop."""
    family = Reading.objects.filter(final_check__piece__line__in=recent_lines(line.family_id))
    told: dict[str, Any] = dict(last_gauges(Reading.objects.filter(inspection__piece__line=line), family))
    last = family.filter(quantity="drop_over").select_related("final_check").order_by("-pk").first()
    if last and last.final_check:
        told |= {"drop_over": as_text(last.nm, line.batch.customer.unit), "drop_way": last.final_check.drop_way}
    return told


def _tell_overdue(request: HttpRequest, values: dict[str, Any]) -> None:
    today = timezone.localdate()
    for gauge in {values["gauge"], values["indicator"]} - {None}:
        if gauge.overdue(today):
            messages.warning(request, f"{gauge}: {gauge.state(today)}. The papers will say so.")


def _page(
    request: HttpRequest,
    line: Line,
    form: CheckForm,
    pieces: Sequence[Piece],
    plans: dict[int, Plan],
    more: dict[str, Any],
) -> HttpResponse:
    planned = [(plan, piece) for piece in pieces if (plan := plans.get(piece.pk)) and plan.diameter_nm]
    sizes = sorted(_by_size(planned).items(), reverse=True)
    return render(
        request,
        "bench/check.html",
        {
            "line": line,
            "form": form,
            "pieces": pieces,
            "unit": line.batch.customer.unit,
            "kind": line.family.kind_data,
            "plan": planned[0][0] if planned else None,
            "sizes": sizes,
            "every": ordinal(line.check_every),
            "undo": None if form.is_bound else undo_bar(person_of(request), pieces),
            "overdue": overdue_gauges(form),
            **more,
        },
        status=422 if form.is_bound else 200,
    )


def _by_size(planned: Sequence[tuple[Plan, Piece]]) -> dict[int, list[Piece]]:
    """The pieces that each planned diameter is for."""
    found: dict[int, list[Piece]] = {}
    for plan, piece in planned:
        found.setdefault(plan.diameter_nm or 0, []).append(piece)
    return found


@needs("bench", "front_desk")
@require_GET
def checked(request: HttpRequest, number: str) -> HttpResponse:
    """What the newest check of each piece of a line found, and the way back for ten minutes."""
    line = line_or_404(number)
    pieces = list(pieces_of(line))
    rows = newest_with_readings(FinalCheck, pieces)
    shown = [Shown(piece, rows[piece.pk], json.loads(rows[piece.pk].findings)) for piece in pieces if piece.pk in rows]
    full = max((item for item in shown if item.row.in_full), key=lambda item: item.row.pk, default=None)
    return render(
        request,
        "bench/checked.html",
        {
            "line": line,
            "rows": in_runs(shown),
            "unit": line.batch.customer.unit,
            "full": full,
            "shorts": {piece.pk: piece.short for piece in pieces},
            "undo": undo_bar(person_of(request), [piece for piece in pieces if piece.pk in rows]),
            "back": any(p.status == "ready_to_grind" for p in pieces),
            "desk": person_of(request).may("front_desk"),
            "left": sum(p.status == "ground" for p in pieces),
            "released": sum(p.status == "released" for p in pieces),
        },
    )


@needs("bench")
@require_GET
def read_relief(request: HttpRequest, number: str) -> HttpResponse:
    """The relief from the drop as it is typed: a fragment; says nothing until drop, distance and diameter are there."""
    line = line_or_404(number)
    form = CheckForm(request.GET, line=line, pieces=[], expected={}, ground={}, recoated={}, initial={})
    unit_choices.apply_units(form, f"line:{line.pk}", line.batch.customer.unit)
    form.is_valid()
    refused = (
        ""
        if form.relief
        else next(
            (
                form.errors[name][0]
                for name in ("drop", "drop_over")
                if name in form.errors and form.data.get("drop") and form.data.get("drop_over")
            ),
            "",
        )
    )
    return render(request, "bench/_relief.html", {"relief": form.relief, "refused": refused})
