"""Printing: one tap issues a paper and opens its file; a reprint is that same file."""
from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from regrind.paper.values import STOCKS
from regrind.shop.access import needs
from regrind.shop.acting import Refusal
from regrind.shop.forms import ShopForm
from regrind.shop.once import carry_out, person_of

from .issuing import KINDS, issue, read_file
from .models import IssuedPaper


class StockForm(ShopForm):
    stock = forms.ChoiceField(label="Labels", choices=[(key, stock.name) for key, stock in STOCKS.items()],
                              required=False)
    start = forms.IntegerField(label="First free place on the sheet", min_value=1, max_value=60, required=False)


@needs("front_desk", "bench")
@require_POST
def print_paper(request: HttpRequest, kind: str, number: str) -> HttpResponse:
    """Issue a paper (or find the one that says the same) and go to its file."""
    if kind not in KINDS:
        raise Http404(kind)
    form = StockForm(request.POST)
    if not form.is_valid():
        return render(request, "office/print_refused.html", {"form": form, "kind": kind, "number": number}, status=422)
    data = form.cleaned_data

    def act() -> str:
        try:
            paper = issue(by=person_of(request), kind=kind, number=number.replace("_", "/"),
                          stock=data["stock"] or "50x25", start=data["start"] or 1)
        except ValueError as error:     # what the paper module says of a start position or a count
            raise Refusal(str(error)) from error
        return reverse("office:paper_file", args=[paper.pk])
    return carry_out(request, act)


@needs("front_desk", "bench")
@require_GET
def paper_file(request: HttpRequest, pk: int) -> HttpResponse:
    paper = get_object_or_404(IssuedPaper, pk=pk)
    try:
        pdf = read_file(paper)
    except Refusal as refusal:
        return render(request, "shop/refused.html", {"message": str(refusal)}, status=410)
    name = f"{paper.kind}-{paper.number}-r{paper.revision}.pdf".replace("/", "_")
    return HttpResponse(pdf, content_type="application/pdf",
                        headers={"Content-Disposition": f'inline; filename="{name}"'})
