"""The office: answers, prices, parcels."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.find import batch_or_404, line_or_404
from regrind.record.moves import reconcile
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import actions, overview
from .charges import bill
from .forms import AnswerForm, ParcelForm, PricesForm, chosen


@needs("front_desk")
@require_GET
def page(request: HttpRequest) -> HttpResponse:
    return render(request, "office/page.html", overview.waiting_and_ready())


@needs("front_desk")
@require_GET
def batch(request: HttpRequest, number: str) -> HttpResponse:
    """One batch as the office sees it: what is ready, prices, parcels, papers."""
    found = batch_or_404(number)
    lines = overview.lines_with_counts(found)
    packable = any(line.released for line in lines)  # type: ignore[attr-defined]  # an annotation of the query
    return render(
        request,
        "office/batch.html",
        {
            "batch": found,
            "lines": lines,
            "packable": packable,
            "counts": reconcile(found),
            "bill": bill(found),
            "parcels": overview.parcels(found),
            "issued": overview.issued(found),
        },
    )


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def answer(request: HttpRequest, number: str) -> HttpResponse:
    """The customer's answer for the waiting pieces of a line."""
    line = line_or_404(number)
    pieces = list(line.pieces.filter(status="waiting").select_related("batch"))
    form = AnswerForm(request.POST or None, line=line, pieces=pieces)

    def show() -> HttpResponse:
        return render(
            request,
            "office/answer.html",
            {
                "line": line,
                "form": form,
                "pieces": pieces,
                "asked": overview.asked(pieces),
                "answers": line.answers.select_related("event__by").prefetch_related("pieces__piece__batch"),
            },
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        data = form.cleaned_data
        actions.record_answer(
            by=person_of(request),
            line=line,
            pieces=chosen(pieces, data["pieces"]),
            who=data["who"],
            how=data["how"],
            agreed=data["agreed"],
            decision=data["decision"],
            answered_at=data["answered_at"],
        )
        return reverse("office:batch", args=[line.batch.number])

    return save(request, form, act=act, show=show)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def prices(request: HttpRequest, number: str) -> HttpResponse:
    found = batch_or_404(number)
    lines = list(found.lines.select_related("family", "batch__customer"))
    before = overview.last_paid(found, lines)
    taken = before if request.GET.get("last") == "1" else {}
    form = PricesForm(request.POST or None, lines=lines, taken=taken)

    def show() -> HttpResponse:
        rows = [(line, bound, before.get(line.family_id)) for line, bound in form.rows()]
        return render(
            request,
            "office/prices.html",
            {"batch": found, "form": form, "rows": rows, "any_paid": bool(before)},
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        actions.set_prices(by=person_of(request), prices=form.prices())
        return reverse("office:batch", args=[found.number])

    return save(request, form, act=act, show=show)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def parcel(request: HttpRequest, number: str) -> HttpResponse:
    """Tick released pieces out, now or in part; what stays behind is named."""
    found = batch_or_404(number)
    released = list(found.pieces.filter(status="released").select_related("batch", "line__family"))
    form = ParcelForm(
        request.POST or None, batch=found, released=released, recycle_scrap=found.customer.scrap == "recycle"
    )

    def show() -> HttpResponse:
        return render(
            request,
            "office/parcel.html",
            {
                "batch": found,
                "form": form,
                "by_line": overview.by_line(released, form),
                "behind": overview.left_behind(found),
            },
            status=422 if form.is_bound else 200,
        )

    def act() -> str:
        data = form.cleaned_data
        actions.send_parcel(
            by=person_of(request),
            batch=found,
            pieces=chosen(released, data["send"]),
            recycled=chosen(released, data["recycle"]),
            note=data["note"],
            sent_at=data["sent_at"],
        )
        return reverse("office:batch", args=[found.number])

    return save(request, form, act=act, show=show)
