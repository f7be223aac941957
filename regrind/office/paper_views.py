"""Printing: one tap issues a paper and opens its file; a reprint is that same file."""

from dataclasses import replace
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from regrind.paper import label
from regrind.paper.values import STOCKS, ArrivalTag
from regrind.record.find import batch_or_404
from regrind.record.models import Batch
from regrind.shop.events import Refusal
from regrind.shop.models import SentForm
from regrind.shop.owner.settings import shop_settings
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import FIELD, new_key, person_of
from regrind.shop.posts.saving import save

from . import overview
from .forms import AddressStockForm, PrintForm, StockForm
from .headings import batch_facts
from .issuing import ADDRESS, BILLS, KINDS, STOCKED, Prepared, give_label_codes, keep, prepare, read_file, usual_stock
from .models import IssuedPaper

WORDS = dict(IssuedPaper._meta.get_field("kind").choices or ())


@needs("front_desk", "bench")
@require_GET
def papers(request: HttpRequest, number: str) -> HttpResponse:
    """The papers of a batch to print, the label stock, and the issued papers."""
    batch, may_all = batch_or_404(number), person_of(request).may("front_desk")
    form = PrintForm(request.GET or None, batch=batch, initial={"stock": usual_stock()})
    ready, sent, lines = form.is_valid(), overview.parcels(batch), overview.lines_with_counts(batch)
    context = {
        "batch": batch,
        "heading": f"Papers of batch {batch.number}",
        "facts": batch_facts(batch),
        "batch_label": f"Batch {batch.number}",
        "batch_address": reverse("office:batch", args=[batch.number]),
        "lines": lines,
        "parcels": sent,
        "buttons": overview.batch_buttons(batch, sent, for_customer=may_all),
        "label_buttons": overview.label_buttons(batch, list(lines)),
        "form": form,
        **(_label_choices(form) if ready else {}),
        "issued": overview.issued(batch, for_customer=may_all),
        "may_all": may_all,
    }
    return render(request, "office/papers.html", context, status=422 if form.is_bound and not ready else 200)


def _label_choices(form: PrintForm) -> dict[str, Any]:
    """The chosen label stock, and the buttons of the one piece that was picked."""
    stock, piece = form.label_stock(), form.cleaned_data["piece"]
    if piece is None:
        return {"label_stock": stock}
    buttons = overview.piece_buttons(piece)
    note = f"{piece.short} is {piece.get_status_display()}: it gets a label when it is released."
    return {
        "label_stock": stock,
        "piece_buttons": buttons,
        "piece_stock": replace(stock, each=False),
        "piece_note": note if len(buttons) == 1 else "",
    }


@needs("front_desk", "bench")
@require_POST
def print_paper(request: HttpRequest, kind: str, number: str) -> HttpResponse:
    """Issue a paper (or find the one that says the same) and go to its file."""
    _refuse_role(request, kind)
    if kind not in KINDS:
        raise Http404(kind)
    number = number.replace("_", "/")  # a parcel's slash cannot stand in an address
    form = (AddressStockForm if kind == ADDRESS else StockForm)(request.POST)
    give_label_codes(by=person_of(request), kind=kind, number=number)
    prepared = _prepare(form, kind, number)
    _renew_key(request)

    def act() -> str:
        assert prepared is not None
        return reverse("office:paper_file", args=[keep(by=person_of(request), prepared=prepared).pk])

    return save(request, form, act=act, show=lambda: _show(request, form, kind, number))


def _prepare(form: StockForm, kind: str, number: str) -> Prepared | None:
    """Draw the paper before the transaction, since that takes a while; a refusal becomes an error of the form."""
    try:
        return prepare(kind, number, form.label_stock()) if form.is_valid() else None
    except Refusal as refusal:
        form.refuse(str(refusal))
        return None


def _show(request: HttpRequest, form: StockForm, kind: str, number: str) -> HttpResponse:
    batch = None if kind in BILLS else batch_or_404(number.replace("/", "-").split("-")[0])
    context = {
        "form": form,
        "heading": f"Print {WORDS[kind]} {number}",
        "labels": kind in STOCKED,
        **_back(number, batch),
    }
    return render(request, "office/print.html", context, status=422)


def _renew_key(request: HttpRequest) -> None:
    """A page that stays open prints again: the content of that moment, not the file of its first tap."""
    key = request.POST.get(FIELD, "")[:40]
    if key and SentForm.objects.filter(key=key, person=person_of(request)).exists():
        fields = request.POST.copy()
        fields[FIELD] = new_key()
        request.POST = fields  # type: ignore[assignment]  # the stub calls it read-only


@needs("front_desk", "bench")
@require_GET
def test_label(request: HttpRequest) -> HttpResponse:
    """A label of nothing on one of the shop's stocks, to set up the printer; it is not issued."""
    stock = STOCKS.get(request.GET.get("stock") or usual_stock())
    if stock is None:
        raise Http404("stock")
    shop = shop_settings()
    sample = ArrivalTag("1-1", timezone.localdate(), shop.name, customer="Test label", description="Scan the code: 1-1")
    return HttpResponse(label.draw([sample], stock), content_type="application/pdf")


@needs("front_desk", "bench")
@require_GET
def paper_file(request: HttpRequest, pk: int) -> HttpResponse:
    """The file as it was issued, byte for byte; an error page where it is missing or was changed."""
    paper = get_object_or_404(IssuedPaper.objects.select_related("batch"), pk=pk)
    _refuse_role(request, paper.kind)
    try:
        pdf = read_file(paper)
    except Refusal as refusal:
        heading = f"{paper.get_kind_display().capitalize()} {paper.number}, revision {paper.revision}"
        context = {"paper": paper, "heading": heading, "message": str(refusal), **_back(paper.number, paper.batch)}
        return render(request, "office/paper_gone.html", context, status=410)
    name = f"{paper.kind}-{paper.number}-r{paper.revision}.pdf".replace("/", "_")
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"', "X-Content-Type-Options": "nosniff"},
    )


def _back(number: str, batch: Batch | None) -> dict[str, str]:
    """Where the trail leads back to: the papers of the batch, or the bill."""
    if batch is None:
        return {"papers_label": f"Bill {number}", "papers_address": reverse("office:bill", args=[number])}
    return {
        "papers_label": f"Papers of batch {batch.number}",
        "papers_address": reverse("office:papers", args=[batch.number]),
    }


def _refuse_role(request: HttpRequest, kind: str) -> None:
    if kind in overview.FOR_THE_CUSTOMER and not person_of(request).may("front_desk"):
        raise PermissionDenied("front desk")
