"""The sheet of the inspection that asks the customer or sends back at once, with the shop's own reasons."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from regrind.record.models import Line, Piece
from regrind.shop.posts.idempotency import person_of

from ..models import Inspection
from ..planning.at_once import decide_at_once
from ..planning.buttons import EXCEPTIONS, Button
from ..planning.forms import BACK, DecideForm
from ..planning.photo import add_its_photo
from ..planning.question import word_question
from ..revisions import revisions

SENDS = (*BACK, "ask")
OF_PLANS = ("group", "option", "sizes", "grinds", "diameter", "cut_back")  # fields of a plan, which there is not yet


def build_sheet(request: HttpRequest, line: Line, pieces: Sequence[Piece]) -> DecideForm:
    """The form of the sheet: as it was sent, else empty."""
    sent = (request.POST, request.FILES) if request.method == "POST" and request.POST.get("do") in SENDS else ()
    form = DecideForm(*sent, line=line, pieces=pieces, expected=revisions(Inspection, pieces))
    for name in OF_PLANS:
        del form.fields[name]
    return form


def show_sheet(form: DecideForm) -> dict[str, Any]:
    """What its template takes."""
    buttons = [Button(value, words) for value, words in EXCEPTIONS.items()]
    return {"sheet": form, "exceptions": buttons, "exception_open": form.is_bound}


def act_at_once(request: HttpRequest, form: DecideForm, line: Line) -> str:
    """Do what the sheet's button asks: the address to go to."""
    data, pieces, by = form.cleaned_data, form.chosen(), person_of(request)
    asks = data["do"] == "ask"
    decide_at_once(
        by=by,
        pieces=pieces,
        expected=form.revisions(),
        done_at=data["done_at"],
        decision="ask" if asks else "not_ground",
        result="" if asks else data["do"],
        reason=word_question(data["usual_reason"], data["own_words"], pieces, {}) if asks else data["reason"],
    )
    add_its_photo(form, line, by)
    return reverse("bench:line", args=[str(line)])
