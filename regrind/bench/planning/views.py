"""The plan of a line: its options, the size it may share, and what is decided."""

import json
from collections.abc import Mapping, Sequence
from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.find import line_or_404, piece_or_404, pieces_of
from regrind.record.models import Line, Piece
from regrind.shop.events import Refusal
from regrind.shop.models import Person
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..models import Plan
from ..revisions import newest
from . import actions, sizes
from .forms import BACK, DecideForm
from .groups import Group, group_meant
from .page import show_option, show_page
from .photo import add_its_photo
from .question import word_question
from .shown import say_plan
from .terms import ReasonWanted


@needs("bench")
@require_http_methods(["GET", "POST"])
def plan(request: HttpRequest, number: str) -> HttpResponse:
    """Options, common size and decision for the inspected pieces of a line."""
    line = line_or_404(number)
    everyone = list(pieces_of(line))
    pieces = [p for p in everyone if p.status == "inspected"]
    if request.method == "GET":
        return show_page(request, line, everyone, pieces)
    form = DecideForm(request.POST, request.FILES, line=line, pieces=pieces)

    def show() -> HttpResponse:
        return show_page(request, line, everyone, pieces, form)

    def act() -> str:
        try:
            _decide(form, line, pieces, person_of(request))
        except ReasonWanted as wanted:
            form.add_error(None if form.cleaned_data["do"] == "size" else "why", str(wanted))
            raise Refusal from wanted
        add_its_photo(form, line, person_of(request))
        waiting = [p for p in pieces if p.status == "inspected"]
        return reverse("bench:plan" if waiting and form.cleaned_data["do"] in BACK else "bench:line", args=[str(line)])

    return save(request, form, act=act, show=show)


def _decide(form: DecideForm, line: Line, pieces: Sequence[Piece], by: Person) -> None:
    """Have the action that the button named carried out."""
    data, do = form.cleaned_data, form.cleaned_data["do"]
    common: dict[str, Any] = {
        "by": by,
        "expected": form.revisions(),
        "shown": form.shown(),
        "done_at": data["done_at"],
        "reason": _word_question(form) if do == "ask" else data["reason"],
    }
    if do == "size":
        sizes.take(line=line, pieces=pieces, chosen_nm=[int(nm) for nm in data["sizes"]], **common)
    elif do == "keep":
        actions.decide(pieces=form.chosen(), decision="grind", chosen=data["option"], group=data["group"], **common)
    elif do == "plain":
        actions.decide(pieces=form.chosen(), decision="grind", **_typed_sizes(data), **common)
    else:
        actions.decide(
            pieces=form.chosen(),
            decision="not_ground" if do in BACK else do,
            chosen=data["option"],
            group=data["group"],
            result=do if do in BACK else "",
            **(_typed_sizes(data) if do == "ask" and data["option"] is None else {}),
            **common,
        )


def _word_question(form: DecideForm) -> str:
    """What the customer is asked, with the figures of the option that was shown."""
    data, pieces = form.cleaned_data, form.chosen()
    shown = next((group for group in group_meant(pieces) if data["group"] in ("", group.key)), None)
    options, index = shown.options if shown else [], data["option"]
    option = options[index] if index is not None and index < len(options) else {}
    return word_question(data["usual_reason"], data["own_words"], pieces, option)


def _typed_sizes(data: Mapping[str, Any]) -> dict[str, Any]:
    """What is ground by hand, and to which sizes, as it was typed."""
    return {
        "grinds": " ".join(data["grinds"]),
        "diameter_nm": data["diameter"].nm if data["diameter"] else None,
        "cut_back_nm": data["cut_back"].nm if data["cut_back"] else None,
    }


@needs("bench", "front_desk")
@require_GET
def plan_piece(request: HttpRequest, number: str) -> HttpResponse:
    """The plan stored for one piece, as it was worked out then; a piece that waits for one is led to its line."""
    piece = piece_or_404(number)
    row = newest(Plan, [piece]).get(piece.pk)
    if piece.status == "inspected" or row is None:
        return redirect("bench:plan", str(piece.line))
    group, unit = _recall_group(piece, cast(Plan, row.copied_from or row)), piece.line.batch.customer.unit
    context = {
        "piece": piece,
        "line": piece.line,
        "row": row,
        "figures": say_plan(row, unit),
        "group": group,
        "unit": unit,
        **show_option(request, group, unit, stored=True),
    }
    return render(request, "bench/plan_piece.html", context)


def _recall_group(piece: Piece, plan: Plan) -> Group | None:
    """The piece with the case and answer that its plan was stored with; None where it has none."""
    if not (plan.answer and plan.inspection):
        return None
    answer = json.loads(plan.answer)
    preferred = answer["recommended"] if plan.chosen is None else plan.chosen
    return Group(plan.inspection, [piece], case=json.loads(plan.case), answer=answer, preferred=preferred)
