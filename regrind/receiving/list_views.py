"""A packing list read into the lines of a box: shown line by line like words that were typed, and saved from there."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from regrind.record.find import batch_or_404
from regrind.record.models import Batch
from regrind.shop.people.access import needs

from . import line_preview
from .forms import WordingForm
from .list_forms import TableForm
from .logged_before import logged_before
from .packing_list import PackingList, read_list


@needs("front_desk", "bench")
@require_http_methods(["GET", "POST"])
def packing_list(request: HttpRequest, number: str) -> HttpResponse:
    """Paste a list or choose its file; what it gives stands on the page of the lines. Nothing is stored here."""
    batch = batch_or_404(number)
    sent = request.method == "POST"
    typed, files = (_pasted(request), request.FILES) if sent else (None, None)
    form = TableForm(typed, files, reader=lambda text, data: read_list(text, data, batch.customer.unit))
    if sent and form.is_valid() and form.read:
        return _lines_page(request, batch, form.read)
    context = {"batch": batch, "form": form}
    return render(request, "receiving/list.html", context, status=422 if sent else 200)


def _pasted(request: HttpRequest) -> dict[str, str]:
    """What was pasted: here, or into the field of the lines."""
    return {"text": request.POST.get("text", request.POST.get("wording", ""))}


def _lines_page(request: HttpRequest, batch: Batch, packed: PackingList) -> HttpResponse:
    wording = "\n".join(packed.words)
    read = line_preview.read_back(wording, batch.customer.unit, {})
    return render(
        request,
        "receiving/lines.html",
        {
            "batch": batch,
            "wording_form": WordingForm(initial={"wording": wording}),
            "read": read,
            "total": line_preview.total(read, batch),
            "logged": batch.lines.count(),
            "packed": packed,
            "before": logged_before(batch, [line.parsed.text for line in read]),
        },
    )
