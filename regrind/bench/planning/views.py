"""The plan of a line: its options, the size it may share, and what is decided."""

import json
from collections.abc import Sequence
from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.geometry.units import Unit
from regrind.record.find import line_or_404, piece_or_404, pieces_of
from regrind.record.models import Line, Piece
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.models import Person
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from .. import piece_strip
from ..drawings.flank import draw_flank
from ..drawings.section import draw_section
from ..drawings.size_bar import draw_size_bar
from ..drawings.tradeoff import draw_trade
from ..inspecting.serialization import describe_inspection
from ..models import Plan
from ..revisions import newest, revisions
from . import actions, sizes
from .forms import BACK, DecideForm
from .groups import Group, group_pieces
from .shown import show_defaults, show_options, show_sizes


@needs("bench")
@require_http_methods(["GET", "POST"])
def plan(request: HttpRequest, number: str) -> HttpResponse:
    """Options, common size and decision for the looked-at pieces of a line."""
    line = line_or_404(number)
    everyone = list(pieces_of(line))
    pieces = [p for p in everyone if p.status == "inspected"]
    if request.method == "GET":
        return _page(request, line, everyone, pieces)
    form = DecideForm(request.POST, line=line, pieces=pieces)

    def show() -> HttpResponse:
        return _page(request, line, everyone, pieces, form)

    def act() -> str:
        _decide(form, line, pieces, person_of(request))
        left = [p for p in pieces if p.status == "inspected"]
        return reverse("bench:plan" if left and form.cleaned_data["do"] in BACK else "bench:line", args=[str(line)])

    return save(request, form, act=act, show=show)


def _decide(form: DecideForm, line: Line, pieces: Sequence[Piece], by: Person) -> None:
    """Have the action that the button named carried out."""
    data, do = form.cleaned_data, form.cleaned_data["do"]
    common: dict[str, Any] = {
        "by": by,
        "expected": form.revisions(),
        "shown": form.shown(),
        "done_at": data["done_at"],
        "reason": data["reason"],
    }
    if do == "size":
        sizes.take(line=line, pieces=pieces, chosen_nm=[int(nm) for nm in data["sizes"]], **common)
    elif do == "keep":
        actions.decide(pieces=form.chosen(), decision="grind", chosen=data["option"], group=data["group"], **common)
    elif do == "plain":
        actions.decide(
            pieces=form.chosen(),
            decision="grind",
            grinds=" ".join(data["grinds"]),
            diameter_nm=data["diameter"].nm if data["diameter"] else None,
            cut_back_nm=data["cut_back"].nm if data["cut_back"] else None,
            **common,
        )
    else:
        actions.decide(
            pieces=form.chosen(),
            decision="not_ground" if do in BACK else do,
            chosen=data["option"],
            group=data["group"],
            result=do if do in BACK else "",
            **common,
        )


def _page(
    request: HttpRequest, line: Line, everyone: Sequence[Piece], pieces: Sequence[Piece], sent: DecideForm | None = None
) -> HttpResponse:
    """The looked-at pieces worked out; sent: the form that was refused, with what was typed."""
    groups, alone = group_pieces(line, pieces), piece_strip.selected_piece(request, pieces)
    table = sizes.tabulate(line, groups)
    form = sent or DecideForm(
        line=line,
        pieces=pieces,
        expected=revisions(Plan, [piece for piece in pieces if piece.steps_taken > 1]),
        marks={piece.pk: group.mark for group in groups for piece in group.pieces},
    )
    shown = request.POST.get("group") or request.GET.get("group", "")
    group = next((g for g in groups if alone in g.pieces or g.key == shown), groups[0] if groups else None)
    mine = [piece for one in groups for piece in one.pieces]
    unit = line.batch.customer.unit
    return render(
        request,
        "bench/plan.html",
        {
            "line": line,
            "groups": groups,
            "group": group,
            "table": table,
            "form": form,
            "unit": unit,
            "sizes": show_sizes(table.sizes, _offered(request, table), unit),
            "bar": _bar(request, line, groups, table),
            "ticked": _ticked(form, group, alone),
            "alone": alone,
            "strip": piece_strip.build_strip(line, everyone, mine, alone, "bench:plan", "inspected"),
            "told": describe_inspection(group.root, unit) if group else [],
            "answers": line.answers.select_related("event"),
            "kind": line.family.kind_data,
            "posted": form.data.get("do", ""),
            **_shown(request, group, unit),
        },
        status=422 if form.is_bound else 200,
    )


def _offered(request: HttpRequest, table: sizes.Table) -> set[int]:
    """The sizes that are ticked at first: where the thumb was moved, the best two where asked for, or the best one."""
    at = read_whole(request.GET.get("at"), 3)
    if at is not None and at < len(table.sizes):
        return {_steps(table)[at]}
    return set(table.two.diameters_nm) if table.two and request.GET.get("best") == "2" else table.best


def _steps(table: sizes.Table) -> list[int]:
    """The sizes there are, smallest first."""
    return sorted(size.diameter_nm for size in table.sizes)


def _bar(request: HttpRequest, line: Line, groups: Sequence[Group], table: sizes.Table) -> dict[str, Any]:
    """The bar of pieces with the sizes that are offered, and where the thumb stands among the steps."""
    offered, steps = _offered(request, table), _steps(table)
    if len(steps) < 2:
        return {}
    at = max((steps.index(nm) for nm in offered if nm in steps), default=0)
    return {
        "drawing": draw_size_bar(sizes.within_limits(line, groups), table.sizes, offered, line.batch.customer.unit),
        "at": at,
        "last": len(steps) - 1,
        "smaller": at - 1 if at else None,
        "larger": at + 1 if at + 1 < len(steps) else None,
    }


def _shown(request: HttpRequest, group: Group | None, unit: Unit) -> dict[str, Any]:
    """One group's options with the one that is shown, its drawings, and what was assumed."""
    picked = _picked(request, group)
    if group is None or picked is None:
        return {"option": None, "picked": None}
    option, enlarged = group.options[picked], request.GET.get("enlarge") == "1"
    return {
        "picked": picked,
        "option": option,
        "enlarged": enlarged,
        "rows": show_options(group.answer, group.preferred, unit),
        "defaults": show_defaults(group.answer, unit),
        "drawings": {
            "section": draw_section(group.case, group.answer or {}, option, unit, enlarged),
            "flank": draw_flank(group.case, option, unit, group.options),
            "trade": draw_trade(group.options, picked, unit, f"?group={group.key}&option="),
        },
    }


@needs("bench", "front_desk")
@require_GET
def plan_piece(request: HttpRequest, number: str) -> HttpResponse:
    """The plan kept for one piece, as it was worked out then; a piece that waits for one is led to its line."""
    piece = piece_or_404(number)
    row = newest(Plan, [piece]).get(piece.pk)
    if piece.status == "inspected" or row is None:
        return redirect("bench:plan", str(piece.line))
    told = cast(Plan, row.copied_from or row)
    group = None
    if told.answer and told.inspection:
        answer = json.loads(told.answer)
        preferred = answer["recommended"] if told.chosen is None else told.chosen
        group = Group(told.inspection, [piece], case=json.loads(told.case), answer=answer, preferred=preferred)
    unit = piece.line.batch.customer.unit
    return render(
        request,
        "bench/plan_piece.html",
        {"piece": piece, "line": piece.line, "row": row, "group": group, "unit": unit, **_shown(request, group, unit)},
    )


def _ticked(form: DecideForm, group: Group | None, alone: Piece | None) -> set[str]:
    """The pieces whose box is ticked: the one that is open by itself or those of the group, until somebody chose."""
    if form.is_bound:
        return set(form["pieces"].value() or [])
    if alone:
        return {str(alone.pk)}
    return {str(piece.pk) for piece in group.pieces} if group else set()


def _picked(request: HttpRequest, group: Group | None) -> int | None:
    """The option that is shown: the one asked for, else the recommended one."""
    if group is None or not group.options:
        return None
    index = read_whole(request.POST.get("option") or request.GET.get("option"), 3)
    return index if index is not None and index < len(group.options) else group.preferred
