"""A line of like tools at the counter: its pieces, and what can be done to it."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.actions import fitting_families
from regrind.record.find import line_or_404
from regrind.record.models import Line
from regrind.shop.events import Refusal
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save
from regrind.shop.undo import UNDO_FOR

from . import actions, overview
from .family_choice import choose_family
from .line_form import KindForm
from .line_forms import FORMS, ONE_PIECE, make_form

COUNTER = ("front_desk", "bench")


@needs(*COUNTER)
@require_GET
def line(request: HttpRequest, number: str) -> HttpResponse:
    return _page(request, line_or_404(number))


def _page(request: HttpRequest, found: Line, problem: str = "", status: int = 200) -> HttpResponse:
    pieces = overview.pieces_of(found)
    changes = list(found.changes.select_related("event__by").order_by("-pk"))
    fresh = any(c.what == "logged" and c.recorded_at > timezone.now() - UNDO_FOR for c in changes)
    return render(
        request,
        "receiving/line.html",
        {
            "line": found,
            "family": found.family.name(found.batch.customer.unit),
            "pieces": pieces,
            "changes": changes,
            "tagged": [p for p in pieces if p.tool_id],
            "told": [p for p in pieces if p.complaint or p.reason],
            "missing": any(p.status == "missing" for p in pieces),
            "fresh": fresh and bool(pieces),
            "problem": problem,
            "ticked": request.GET.getlist("pieces"),
        },
        status=status,
    )


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def line_action(request: HttpRequest, number: str, what: str) -> HttpResponse:
    """One deed: its page with the pieces that were ticked, then the deed; a refusal comes back with what was typed."""
    found = line_or_404(number)
    ticked = request.GET.getlist("pieces")
    if what in ONE_PIECE and request.method == "GET":
        return _to_one_piece(request, found, what, ticked)
    if what not in FORMS:
        raise Http404(what)
    form = make_form(what, found, overview.pieces_of(found), request.POST if request.method == "POST" else None, ticked)

    def show() -> HttpResponse:
        return render(
            request,
            "receiving/deed.html",
            {"line": found, "family": found.family.name(found.batch.customer.unit), "form": form, "what": what},
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        form.act(person_of(request))
        return reverse("receiving:line", args=[str(found)])

    return save(request, form, act=act, show=show)


def _to_one_piece(request: HttpRequest, found: Line, what: str, ticked: list[str]) -> HttpResponse:
    chosen = [piece for piece in overview.pieces_of(found) if str(piece.pk) in ticked]
    if len(chosen) != 1:
        return _page(request, found, "Tick the one piece that is meant.", 422)
    return redirect(f"receiving:{what}", str(chosen[0]))


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def kind(request: HttpRequest, number: str) -> HttpResponse:
    """Change what a line's tools are: the same fields as when they were logged, and the families that fit."""
    found = line_or_404(number)
    unit = found.batch.customer.unit
    form = KindForm(request.POST or None, unit=unit, line=found)
    if form.is_bound and form.is_valid():
        [fits] = fitting_families([form.family()])
        form.offer(fits)

    def show() -> HttpResponse:
        return render(
            request,
            "receiving/kind.html",
            {"line": found, "form": form, "family": found.family.name(unit)},
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        by = person_of(request)
        if form.stale():
            raise Refusal("These families fit what is written: choose one, then keep it.")
        actions.change_family(
            by=by, line=found, family=choose_family(by=by, form=form, made=[]), reason=form.cleaned_data["reason"]
        )
        return reverse("receiving:line", args=[str(found)])

    return save(request, form, act=act, show=show)
