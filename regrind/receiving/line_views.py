"""A line of like tools at the counter: its pieces, and what can be done to it."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.record.actions import fitting_families
from regrind.record.dimension_words import assumed_words, name_tools
from regrind.record.find import line_or_404
from regrind.record.models import Line
from regrind.shop.events import Refusal
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save
from regrind.shop.undo import UNDO_FOR
from regrind.shop.web.request_values import next_page

from . import actions, overview
from .family_choice import choose_family
from .line_form import KindForm
from .line_forms import FORMS, ONE_PIECE, make_form
from .mended import line_bar

COUNTER = ("front_desk", "bench")


@needs(*COUNTER)
@require_GET
def line(request: HttpRequest, number: str) -> HttpResponse:
    return _page(request, line_or_404(number))


def _page(request: HttpRequest, line_shown: Line, problem: str = "", status: int = 200) -> HttpResponse:
    pieces = overview.pieces_of(line_shown)
    for piece in pieces:
        piece.summary = overview.piece_summary(piece)  # type: ignore[attr-defined]  # for the template
    changes = list(line_shown.changes.select_related("event__by").order_by("-pk"))
    fresh = any(c.kind == "logged" and c.recorded_at > timezone.now() - UNDO_FOR for c in changes)
    return render(
        request,
        "receiving/line.html",
        {
            "line": line_shown,
            "family": name_tools(line_shown, line_shown.batch.customer.unit),
            "pieces": pieces,
            "changes": changes,
            "tagged": [p for p in pieces if p.tool_id],
            "noted": [p for p in pieces if p.complaint or p.reason],
            "missing": any(p.status == "missing" for p in pieces),
            "fresh": fresh and bool(pieces),
            "problem": problem,
            "undo": line_bar(person_of(request), line_shown),
            "assumed": assumed_words(line_shown),
            "may_bench": person_of(request).may("bench"),
            "ticked": request.GET.getlist("pieces"),
        },
        status=status,
    )


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def line_action(request: HttpRequest, number: str, action: str) -> HttpResponse:
    """One action on a line: its page with the ticked pieces, then the action itself."""
    line_shown = line_or_404(number)
    ticked = request.GET.getlist("pieces")
    if action in ONE_PIECE and request.method == "GET":
        return _to_one_piece(request, line_shown, action, ticked)
    if action not in FORMS:
        raise Http404(action)
    form = make_form(
        action, line_shown, overview.pieces_of(line_shown), request.POST if request.method == "POST" else None, ticked
    )

    def show() -> HttpResponse:
        return render(
            request,
            "receiving/action.html",
            {
                "line": line_shown,
                "family": name_tools(line_shown, line_shown.batch.customer.unit),
                "form": form,
                "action": action,
            },
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        form.act(person_of(request))
        return reverse("receiving:line", args=[str(line_shown)])

    return save(request, form, act=act, show=show)


def _to_one_piece(request: HttpRequest, line_shown: Line, action: str, ticked: list[str]) -> HttpResponse:
    chosen = [piece for piece in overview.pieces_of(line_shown) if str(piece.pk) in ticked]
    if len(chosen) != 1:
        return _page(request, line_shown, "Tick one piece, not several.", 422)
    return redirect(f"receiving:{action}", str(chosen[0]))


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def kind(request: HttpRequest, number: str) -> HttpResponse:
    """Change what a line's tools are: the same fields as when they were logged, and the families that fit."""
    line_shown = line_or_404(number)
    unit = line_shown.batch.customer.unit
    form = KindForm(request.POST or None, unit=unit, line=line_shown)
    if form.is_bound and form.is_valid():
        [fits] = fitting_families([form.family()])
        form.offer(fits)

    def show() -> HttpResponse:
        return render(
            request,
            "receiving/kind.html",
            {"line": line_shown, "form": form, "family": name_tools(line_shown, unit)},
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        by = person_of(request)
        if form.stale():
            raise Refusal("These families fit the fields: choose one, then save.")
        actions.change_family(
            by=by,
            line=line_shown,
            family=choose_family(by=by, form=form, made=[]),
            stated=form.stated(),
            reason=form.cleaned_data["reason"],
        )
        return reverse("receiving:line", args=[str(line_shown)])

    return save(request, form, act=act, show=show)


@needs(*COUNTER)
@require_POST
def confirm(request: HttpRequest, number: str) -> HttpResponse:
    """Say that values which the line's family adds are right for this line: one tap, one value or all of them."""
    line_shown = line_or_404(number)
    page = next_page(request)

    def act() -> str:
        names = request.POST.getlist("names")
        actions.confirm_dimensions(by=person_of(request), line=line_shown, names=names)
        return page

    return save(request, None, act=act, page=page)
