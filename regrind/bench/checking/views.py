"""The final check of a line's ground pieces, what it found, and the relief as it is typed."""

import json
from collections import Counter
from collections.abc import Sequence
from typing import Any, cast

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.find import line_or_404, pieces_of, recent_lines
from regrind.record.models import Line, Piece
from regrind.record.undo_bar import undo_bar
from regrind.shop.fields import unit_choices
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.models import ShopSettings
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .. import piece_strip
from ..calibration import overdue_gauges
from ..inspecting.fields import DROP_WAYS
from ..models import FinalCheck, Inspection, Plan, Reading
from ..pages.next_tray import find_next_tray
from ..readings import last_gauges
from ..revisions import newest, newest_with_readings, revisions, summarize_grinds
from . import actions, corner_and_coating
from .blocks import IN_FULL, suffix_of
from .bounds import find_bounds
from .findings import relief_finding, say_limit
from .forms import CheckForm, as_text, ordinal
from .relief import Relief
from .shown import Shown, in_runs, list_facts
from .sizes import group_by_size
from .targets import list_planned, list_runouts_left


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
    strip = piece_strip.build_strip(line, everyone, ground, alone, "bench:check")

    def show() -> HttpResponse:
        return _page(request, line, form, pieces, plans, {"alone": alone, "strip": strip})

    def act() -> str:
        unit_choices.save_units(form, f"line:{line.pk}")
        values = form.values()
        actions.check(by=person_of(request), pieces=form.chosen(), expected=form.revisions(), **values)
        _warn_overdue(request, values)
        onward = piece_strip.next_url(line, alone, everyone, "bench:check", "ground") if alone else None
        return onward or reverse("bench:plan" if values["again"] else "bench:checked", args=[str(line)])

    return save(request, form, act=act, show=show)


def _form(request: HttpRequest, line: Line, pieces: Sequence[Piece], plans: dict[int, Plan]) -> CheckForm:
    ground, shop = summarize_grinds(pieces), cast(ShopSettings, SimpleLazyObject(shop_settings))
    form = CheckForm(
        request.POST if request.method == "POST" else None,
        line=line,
        pieces=pieces,
        expected=revisions(FinalCheck, pieces),
        ground=ground.parts,
        recoated=corner_and_coating.recoated(pieces, ground.newest),
        initial={} if request.method == "POST" else _as_last_time(line),
        bounds=find_bounds(line, pieces, ground.parts, shop) if request.method == "POST" else None,
        ticked=request.GET.getlist("piece"),
        plans=plans,
        shop=shop,
        teeth=_count_teeth(pieces),
    )
    unit_choices.apply_units(form, f"line:{line.pk}", line.batch.customer.unit)
    return form


def _count_teeth(pieces: Sequence[Piece]) -> int | None:
    """The teeth of the first piece as its inspection counted them."""
    row = next(iter(newest(Inspection, pieces[:1]).values()), None)
    return cast(Inspection, row.copied_from or row).teeth if row else None


def _as_last_time(line: Line) -> dict[str, Any]:
    """Gauges last named for this line, else for this family; the distance and way of the family's last drop."""
    of_family = Reading.objects.filter(final_check__piece__line__in=recent_lines(line.family_id))
    values: dict[str, Any] = dict(last_gauges(Reading.objects.filter(inspection__piece__line=line), of_family))
    last = of_family.filter(quantity="drop_over").select_related("final_check").order_by("-pk").first()
    if last and last.final_check:
        over = as_text(last.nm, line.batch.customer.unit)
        values |= {"drop_over": over, "drop_way": last.final_check.drop_way}
    return values


def _warn_overdue(request: HttpRequest, values: dict[str, Any]) -> None:
    today = timezone.localdate()
    for gauge in {values["gauge"], values["indicator"]} - {None}:
        if gauge.overdue(today):
            messages.warning(request, f"{gauge}: {gauge.state(today)}. The report will say so.")


def _page(
    request: HttpRequest,
    line: Line,
    form: CheckForm,
    pieces: Sequence[Piece],
    plans: dict[int, Plan],
    more: dict[str, Any],
) -> HttpResponse:
    return render(
        request,
        "bench/check.html",
        {
            "line": line,
            "form": form,
            "shop_settings": form.shop,
            "pieces": pieces,
            "unit": line.batch.customer.unit,
            "kind": line.family.kind_data,
            "planned": [*list_planned(line, pieces, plans), *list_runouts_left(pieces, form.ground)],
            "every": ordinal(line.check_every),
            "undo": None if form.is_bound else undo_bar(person_of(request), pieces),
            "overdue": overdue_gauges(form),
            **more,
        },
        status=422 if form.is_bound else 200,
    )


@needs("bench", "front_desk")
@require_GET
def checked(request: HttpRequest, number: str) -> HttpResponse:
    """What the newest check of each piece of a line found, and the way back for ten minutes."""
    line = line_or_404(number)
    pieces, unit, person = list(pieces_of(line)), line.batch.customer.unit, person_of(request)
    rows = newest_with_readings(FinalCheck, pieces)
    shown = [Shown(piece, rows[piece.pk], json.loads(rows[piece.pk].findings)) for piece in pieces if piece.pk in rows]
    last = max((item.row.event_id for item in shown if item.row.in_full), default=None)
    in_full = [item for item in shown if item.row.in_full and item.row.event_id == last]
    return render(
        request,
        "bench/checked.html",
        {
            "line": line,
            "rows": in_runs(shown, unit),
            "unit": unit,
            "in_full": [(item, list_facts(item), dict(DROP_WAYS).get(item.row.drop_way, "")) for item in in_full],
            "undo": undo_bar(person, [item.piece for item in shown]),
            "next": _next_step(line, pieces, desk=person.may("front_desk")),
            "next_tray": find_next_tray(line) if person.may("bench") else None,
            "released": any(piece.status == "released" for piece in pieces),
        },
    )


def _next_step(line: Line, pieces: Sequence[Piece], *, desk: bool) -> tuple[str, str] | None:
    """What is to be done next with this line: the words and the address; None where that is not on the bench."""
    counts = Counter(piece.status for piece in pieces)
    if counts["ground"]:
        return f"Check the other {counts['ground']}", reverse("bench:check", args=[str(line)])
    if counts["ready_to_grind"]:
        return "Grind what was sent back", reverse("bench:grind", args=[str(line)])
    if counts["released"] and desk:
        return "Pack the parcel", reverse("office:parcel", args=[line.batch.number])
    return None


@needs("bench")
@require_GET
def read_relief(request: HttpRequest, number: str) -> HttpResponse:
    """The relief from the drop as it is typed: a fragment; says nothing until drop, distance and diameter are there."""
    line = line_or_404(number)
    size = read_whole(request.GET.get("size", "")) or 0
    form = CheckForm(_of_size(request.GET, size), line=line, pieces=[], expected={}, ground={}, recoated={}, initial={})
    unit_choices.apply_units(form, f"line:{line.pk}", line.batch.customer.unit)
    form.is_valid()
    by_drop, refused = form.blocks[0].relief, ""
    if not by_drop and form.data.get("drop") and form.data.get("drop_over"):
        refused = next((str(form.errors[name][0]) for name in ("drop", "drop_over") if name in form.errors), "")
    finding = _relief_finding(line, by_drop, size) if by_drop else None
    return render(request, "bench/check/_relief.html", {"relief": finding, "refused": refused})


def _of_size(sent: QueryDict, size: int) -> QueryDict:
    """What was typed for one planned size, under the plain names."""
    data = sent.copy()
    data.update({name: str(sent[name + suffix_of(size)]) for name in IN_FULL if name + suffix_of(size) in sent})
    return data


def _relief_finding(line: Line, relief: Relief, size: int) -> dict[str, Any]:
    """The relief judged as it will be at the save, in words, for the first ground piece of a planned size, 0 any."""
    ground = [piece for piece in pieces_of(line) if piece.status == "ground"]
    pieces = (group_by_size(ground, newest(Plan, ground)).get(size) if size else None) or ground
    parts = summarize_grinds(pieces[:1]).parts
    bounds = find_bounds(line, pieces[:1], parts)
    finding = relief_finding(bounds.limits(pieces[0].pk if pieces else 0, None), relief)
    limit = say_limit(finding, line.batch.customer.unit) if finding["state"] else ""
    return finding | {"limit": limit}
