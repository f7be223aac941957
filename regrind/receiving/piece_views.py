"""One piece at the counter: a tool that was here before, or a complaint."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from regrind.record.dimension_words import name_tools
from regrind.record.find import piece_or_404
from regrind.record.models import Piece
from regrind.shop.models import Person
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import actions
from .piece_forms import ComplaintForm, KnownForm, NowForm

COUNTER = ("front_desk", "bench")


def _line_of(piece: Piece) -> str:
    return reverse("receiving:line", args=[f"{piece.batch.number}-{piece.line.number}"])


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def known(request: HttpRequest, number: str) -> HttpResponse:
    """Was it here before? By tag, by their number, or among this customer's tools that fit."""
    piece = piece_or_404(number)
    unit = piece.batch.customer.unit
    now = NowForm(request.GET or None, unit=unit)
    form = KnownForm(request.POST or None, piece=piece, now_nm=now.now_nm())
    return _answer(request, piece, form, "receiving/known.html", {"now_form": now, "unit": unit})


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def complaint(request: HttpRequest, number: str) -> HttpResponse:
    """A piece that came back because something is wrong with it: linked to its last visit, at no charge."""
    piece = piece_or_404(number)
    form = ComplaintForm(request.POST or None, piece=piece)
    return _answer(request, piece, form, "receiving/complaint.html", {"unit": piece.batch.customer.unit})


def _answer(
    request: HttpRequest, piece: Piece, form: KnownForm | ComplaintForm, template: str, also: dict[str, Any]
) -> HttpResponse:
    def show() -> HttpResponse:
        context = {
            "piece": piece,
            "line": piece.line,
            "form": form,
            **also,
            "family": name_tools(piece.line, piece.batch.customer.unit),
        }
        wrong = form.is_bound or ("now_form" in also and bool(also["now_form"].errors))
        return render(request, template, context, status=422 if wrong else 200)

    def act() -> str:
        form.act(person_of(request))
        return _line_of(piece)

    return save(request, form, act=act, show=show)


@needs(*COUNTER)
@require_POST
def forget(request: HttpRequest, number: str) -> HttpResponse:
    return _take_back(request, number, actions.forget_tool)


@needs(*COUNTER)
@require_POST
def withdraw(request: HttpRequest, number: str) -> HttpResponse:
    return _take_back(request, number, actions.withdraw_complaint)


def _take_back(request: HttpRequest, number: str, deed: Callable[..., None]) -> HttpResponse:
    piece = piece_or_404(number)
    by: Person = person_of(request)

    def act() -> str:
        deed(by=by, piece=piece)
        return _line_of(piece)

    return save(request, None, act=act, page=_line_of(piece))
