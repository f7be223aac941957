"""Printing: one tap issues a paper and opens its file; a reprint is that same file."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from regrind.record.find import batch_or_404
from regrind.shop.events import Refusal
from regrind.shop.models import SentForm
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import FIELD, new_key, person_of
from regrind.shop.posts.saving import save

from . import overview
from .forms import PrintForm, StockForm
from .issuing import KINDS, LABELS, Prepared, keep, prepare, read_file, usual_stock
from .models import IssuedPaper

FOR_THE_CUSTOMER = ("report", "slip")  # the bench prints for itself; these leave the shop
WORDS = dict(IssuedPaper._meta.get_field("kind").choices or ())


@needs("front_desk", "bench")
@require_GET
def papers(request: HttpRequest, number: str) -> HttpResponse:
    """What can be printed of a batch, on which labels, and what was issued."""
    batch = batch_or_404(number)
    form = PrintForm(request.GET or None, batch=batch, initial={"stock": usual_stock()})
    ready = form.is_valid()
    return render(
        request,
        "office/papers.html",
        {
            "batch": batch,
            "lines": overview.lines_with_counts(batch),
            "parcels": overview.parcels(batch),
            "form": form,
            "told": form.told() if ready else None,
            "piece": form.cleaned_data["piece"] if ready else None,
            "issued": overview.issued(batch),
            "may_all": person_of(request).may("front_desk"),
        },
        status=422 if form.is_bound and not ready else 200,
    )


@needs("front_desk", "bench")
@require_POST
def print_paper(request: HttpRequest, kind: str, number: str) -> HttpResponse:
    """Issue a paper (or find the one that says the same) and go to its file."""
    _refuse_role(request, kind)
    if kind not in KINDS:
        raise Http404(kind)
    number = number.replace("_", "/")  # a parcel's slash cannot stand in an address
    form = StockForm(request.POST)
    prepared = _prepare(form, kind, number)
    _renew_key(request)

    def act() -> str:
        assert prepared is not None
        return reverse("office:paper_file", args=[keep(by=person_of(request), prepared=prepared).pk])

    return save(request, form, act=act, show=lambda: _show(request, form, kind, number))


def _prepare(form: StockForm, kind: str, number: str) -> Prepared | None:
    """Draw the paper before the transaction, since that takes a while; what forbids it is told in the form."""
    try:
        return prepare(kind, number, form.told()) if form.is_valid() else None
    except Refusal as refusal:
        form.refuse(str(refusal))
        return None


def _show(request: HttpRequest, form: StockForm, kind: str, number: str) -> HttpResponse:
    batch = batch_or_404(number.replace("/", "-").split("-")[0])
    return render(
        request,
        "office/print.html",
        {"form": form, "number": number, "labels": kind in LABELS, "words": WORDS[kind], "batch": batch},
        status=422,
    )


def _renew_key(request: HttpRequest) -> None:
    """A page that stays open prints again: what stands then, not the file that its first tap led to."""
    key = request.POST.get(FIELD, "")[:40]
    if key and SentForm.objects.filter(key=key, person=person_of(request)).exists():
        fields = request.POST.copy()
        fields[FIELD] = new_key()
        request.POST = fields  # type: ignore[assignment]  # the stub calls it read-only


@needs("front_desk", "bench")
@require_GET
def paper_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The file as it was issued, byte for byte; a page that says so where it is gone or was altered."""
    paper = get_object_or_404(IssuedPaper.objects.select_related("batch"), pk=pk)
    _refuse_role(request, paper.kind)
    try:
        pdf = read_file(paper)
    except Refusal as refusal:
        return render(request, "office/paper_gone.html", {"paper": paper, "message": str(refusal)}, status=410)
    name = f"{paper.kind}-{paper.number}-r{paper.revision}.pdf".replace("/", "_")
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"', "X-Content-Type-Options": "nosniff"},
    )


def _refuse_role(request: HttpRequest, kind: str) -> None:
    if kind in FOR_THE_CUSTOMER and not person_of(request).may("front_desk"):
        raise PermissionDenied("front desk")
