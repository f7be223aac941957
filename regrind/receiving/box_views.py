"""The counter's boxes: the list, a new one, what is in it, its page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from regrind.record.actions import keep_customer
from regrind.record.find import batch_or_404
from regrind.record.models import Batch
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from . import actions, line_preview, list_views, overview
from .batch_page import page_values
from .forms import BatchForm, BatchHeadForm, ForeignItemForm, WordingForm
from .line_preview import ReadBackForm

COUNTER = ("front_desk", "bench")


@needs(*COUNTER)
@require_GET
def batches(request: HttpRequest) -> HttpResponse:
    values = overview.batches(request.GET.get("before", ""), request.GET.get("customer", ""))
    return render(request, "receiving/batches.html", values | {"may_edit": person_of(request).may("front_desk")})


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """A box on the counter: whose it is and what its paper says."""
    by = person_of(request)
    form = BatchForm(
        request.POST or None,
        may_add=by.may("front_desk"),
        initial={"customer": request.GET.get("customer", "")[:12], "new_unit": shop_settings().unit},
    )

    def show() -> HttpResponse:
        return render(request, "receiving/new.html", {"form": form}, status=422 if form.is_bound else 200)

    def act() -> str:
        data = dict(form.cleaned_data)
        name, unit = data.pop("new_customer", ""), data.pop("new_unit", "")
        if name:
            data["customer"] = keep_customer(by=by, name=name, unit=unit or shop_settings().unit)
        return reverse("receiving:lines", args=[actions.open_batch(by=by, **data).number])

    return save(request, form, act=act, show=show)


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def lines(request: HttpRequest, number: str) -> HttpResponse:
    """What is in the box: read line by line, shown field by field, and saved once it is confirmed."""
    batch = batch_or_404(number)
    if request.POST.get("do") == "save":
        return _save_lines(request, batch)
    wording = request.POST.get("wording", "")
    if request.POST.get("do") == "list":
        return list_views.packing_list(request, number)
    if problem := line_preview.too_much(wording):
        return _lines_page(request, batch, wording, [], problem, 200 if getattr(request, "htmx", False) else 422)
    read = line_preview.read_back(wording, batch.customer.unit, line_preview.answered(request.POST))
    return _lines_page(request, batch, wording, read)


def _lines_page(
    request: HttpRequest,
    batch: Batch,
    wording: str,
    read: list[line_preview.ReadLine],
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    live = bool(getattr(request, "htmx", False)) and status == 200
    return render(
        request,
        "receiving/_preview.html" if live else "receiving/lines.html",
        {
            "batch": batch,
            "wording_form": WordingForm(initial={"wording": wording}),
            "read": read,
            "total": line_preview.total(read, batch),
            "problem": problem,
            "tabular": line_preview.is_tabular(wording),
            "logged": batch.lines.count(),
        },
        status=status,
    )


def _save_lines(request: HttpRequest, batch: Batch) -> HttpResponse:
    """Save the lines, unless the words, a field or the fitting families are no longer as they were shown."""
    form = ReadBackForm(request.POST, unit=batch.customer.unit)

    def show() -> HttpResponse:
        return _lines_page(request, batch, form.words, form.shown(), form.problem, 422)

    def act() -> str:
        line_preview.keep(by=person_of(request), batch=batch, lines=form.lines)
        return reverse("receiving:batch", args=[batch.number])

    return save(request, form, act=act, show=show)


@needs(*COUNTER)
@require_http_methods(["GET", "POST"])
def batch(request: HttpRequest, number: str) -> HttpResponse:
    """One batch: its lines with their pieces, counts that reconcile, and its details to edit."""
    box = batch_or_404(number)
    form = BatchHeadForm(request.POST or None, batch=box)

    def show() -> HttpResponse:
        return _batch_page(request, box, form, ForeignItemForm())

    def act() -> str:
        actions.change_batch(by=person_of(request), batch=box, **form.head())
        return reverse("receiving:batch", args=[box.number])

    return save(request, form, act=act, show=show)


def _batch_page(request: HttpRequest, box: Batch, form: BatchHeadForm, foreign_form: ForeignItemForm) -> HttpResponse:
    values = page_values(person_of(request), box, form, foreign_form)
    status = 422 if form.is_bound or foreign_form.is_bound else 200
    return render(request, "receiving/batch.html", values, status=status)


@needs(*COUNTER)
@require_POST
def foreign_item(request: HttpRequest, number: str) -> HttpResponse:
    box = batch_or_404(number)
    form = ForeignItemForm(request.POST)

    def act() -> str:
        actions.note_foreign_item(by=person_of(request), batch=box, description=form.cleaned_data["description"])
        return reverse("receiving:batch", args=[box.number])

    return save(request, form, act=act, show=lambda: _batch_page(request, box, BatchHeadForm(batch=box), form))
