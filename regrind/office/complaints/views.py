"""The open complaints, and the page on which one ends."""

from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from regrind.record.complaints import complaints_about, open_complaints
from regrind.record.find import piece_or_404
from regrind.record.models import Piece
from regrind.record.models.complaints import CAUSES, OUTCOMES
from regrind.shop.fields.forms import ShopForm
from regrind.shop.fields.whole_numbers import read_whole
from regrind.shop.people.access import needs
from regrind.shop.posts.idempotency import person_of
from regrind.shop.posts.saving import save

from ..bill_models import BillParcel
from ..headings import batch_link
from ..models import ParcelPiece
from .actions import end_complaint

PAGE = 50


class EndForm(ShopForm):
    """How a complaint ended."""

    outcome = forms.ChoiceField(label="It ends as", choices=OUTCOMES, widget=forms.RadioSelect)
    cause = forms.ChoiceField(label="What it came from", choices=CAUSES, widget=forms.RadioSelect)
    note = forms.CharField(label="Note", max_length=300, required=False)


@needs("front_desk", "bench", "owner")
@require_GET
def complaints(request: HttpRequest) -> HttpResponse:
    """Every complaint that has not ended, the oldest first."""
    rows, following = open_complaints(PAGE, after=read_whole(request.GET.get("after")) or 0)
    context = {"complaints": rows, "following": following, "may_end": person_of(request).may("front_desk")}
    return render(request, "office/complaints.html", context)


@needs("front_desk")
@require_http_methods(["GET", "POST"])
def complaint(request: HttpRequest, number: str) -> HttpResponse:
    """One complaint with the piece that it is about, and how it ends."""
    piece = piece_or_404(number)
    if piece.complaint_of is None:
        raise Http404(number)
    form = EndForm(request.POST or None)

    def show() -> HttpResponse:
        context: dict[str, Any] = {
            "heading": f"Complaint {piece}",
            "piece": piece,
            "earlier": piece.complaint_of,
            "form": form,
            "complaint": next(row for row in complaints_about([piece]) if row.piece.pk == piece.pk),
            "bill": _bill_of(piece.complaint_of),
            **batch_link(piece.batch),
        }
        return render(request, "office/complaint.html", context, status=422 if form.is_bound else 200)

    def act() -> str:
        end_complaint(by=person_of(request), piece=piece, **form.cleaned_data)
        return reverse("office:batch", args=[piece.batch.number])

    return save(request, form, act=act, show=show)


def _bill_of(earlier: Piece | None) -> str:
    """The number of the bill that the earlier visit is on; "" for none."""
    parcels = ParcelPiece.objects.filter(piece=earlier).values("parcel")
    billed = BillParcel.objects.filter(parcel__in=parcels).select_related("bill").first()
    return str(billed.bill) if billed else ""
